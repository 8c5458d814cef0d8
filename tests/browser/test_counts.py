"""How much work a card and a record are: clicks, keys and pages loaded, counted in a browser as a mechanic would."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from flask import Flask
from playwright.sync_api import BrowserContext, Frame, Locator, Page, expect

from setup_rules import read_request
from tests.webapp.workshop.views.test_sheet import UNIT
from webapp.accounts.actions.find_session import find_session
from webapp.accounts.actions.open_shop import open_shop
from webapp.library.actions.save_suspension_unit import save_suspension_unit
from webapp.library.forms.suspension_unit_csv import read_csv
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.shop_setups import printed_short_code, register_setup
from webapp.setups.revision import CardTexts

pytestmark = [pytest.mark.browser, pytest.mark.long]

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
FRONT = {"travel_mm": 140, "longest_travel_mm": 160, "stanchion_mm": 35, "rebound_clicks": 16}
#: The address of a record: a form is sent a moment after its press, once the server has answered.
RECORD = re.compile(r"/shop/bench/[0-9A-Z]{6}")
#: The goals of the issue, and what the first count of each walk was before the sheet.
COLLECTION_GOAL = (3, 15, 2)
RECORD_GOAL = (18, 90, 4)


@dataclass
class Count:
    """Clicks, keys and loads of one walk. A choice from a list of names is its first letters; a Tab is no key."""

    page: Page
    clicks: int = 0
    keys: int = 0
    loads: int = 0
    shown: str = ""

    def __post_init__(self) -> None:
        """Count every page that comes, also one that comes a moment after its click."""
        self.shown = self.page.url.split("#")[0]
        self.page.on("framenavigated", self._note_load)

    def _note_load(self, frame: Frame) -> None:
        here = frame.url.split("#")[0]
        if frame == self.page.main_frame and here != self.shown:
            self.loads, self.shown = self.loads + 1, here

    def click(self, target: Locator) -> None:
        """Click something; the page that it loads counts when it is there."""
        target.click()
        self.page.wait_for_load_state()
        self.clicks += 1

    def type(self, name: str, text: str) -> None:
        """Type into the field of that name."""
        self.page.locator(f'[name="{name}"]').fill(text)
        self.keys += len(text)

    def tick(self, name: str) -> None:
        """Tick a box or a radio by its label."""
        self.click(self.page.locator(f'[id="{name}"]'))

    @property
    def total(self) -> tuple[int, int, int]:
        """Everything counted."""
        return self.clicks, self.keys, self.loads


@pytest.fixture
def short_code(server: str, make_app: Callable[..., Flask]) -> str:
    """The shop's code of a bike that was here before; the shop has one fork in its library."""
    app = make_app(PUBLIC_BASE_URL=server)
    with app.app_context():
        opened = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        member = find_session(opened.staff_id, opened.session_epoch)
        assert member is not None
        rows = ",".join(UNIT), ",".join(UNIT.values())
        save_suspension_unit(member.shop_id, read_csv("\n".join(rows)).suspension_units[0])
        request = read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": FRONT})
        code = create_setup(request, CardTexts("Heron 4, green")).saved.code
        register_setup(member, code)
        return printed_short_code(code)


def at_home(new_context: Callable[..., BrowserContext], server: str) -> Count:
    """Stand at the shop's home, logged in."""
    page = new_context(viewport={"width": 1280, "height": 900}).new_page()
    page.goto(f"{server}/shop")
    page.locator("#login").fill("mira")
    page.locator("#password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("heading", name="Lantern Lane Cycles")).to_be_visible()
    return Count(page)


@pytest.mark.usefixtures("short_code")
def test_a_card_for_a_bike_at_collection(new_context: Callable[..., BrowserContext], server: str) -> None:
    walk = at_home(new_context, server)
    walk.click(walk.page.get_by_role("main").get_by_role("link", name="New setup"))
    walk.type("rider_mass_kg", "78")
    walk.tick("riding_style-trail")
    walk.type("front_unit", "fen")
    walk.type("front.travel_mm", "140")
    walk.type("bike_label", "Heron 4")
    walk.click(walk.page.locator('main form button[type="submit"]').last)
    expect(walk.page.get_by_text("140 mm travel")).to_be_visible()
    print("card at collection:", walk.total)
    assert all(count <= goal for count, goal in zip(walk.total, COLLECTION_GOAL, strict=True)), walk.total


@pytest.mark.parametrize("script", [True, False], ids=["script", "no-script"])
def test_a_full_record(new_context: Callable[..., BrowserContext], server: str, short_code: str, script: bool) -> None:
    def context(**more: object) -> BrowserContext:
        return new_context(java_script_enabled=script, **more)

    walk = at_home(context, server)
    walk.click(walk.page.get_by_role("link", name="New service record"))
    walk.type("setup_code", short_code)
    walk.type("unit_label", "fen")
    walk.tick("service_kind-lower_legs")
    walk.type("customer_reference", "1042")
    walk.type("pressure_psi", "62")
    walk.type("symptoms", "harsh over small bumps")
    walk.click(walk.page.get_by_role("button", name="Start the record"))
    for key in ("eyes", "release", "release_again", "legs_parts", "legs_seals", "legs_left", "legs_right"):
        walk.tick(f"{key}.done")
    walk.type("legs_torque.torque", "7")
    walk.click(walk.page.locator("#step-travel summary").first)
    for name, text in (("after_mm", "120"), ("spacer1.size_mm", "20"), ("spacer1.count", "2")):
        walk.type(f"travel.{name}", text)
    walk.tick("clearance.done")
    walk.click(walk.page.locator("#step-leak summary").first)
    for name, text in (("first_psi", "80"), ("second_psi", "80"), ("hours", "2")):
        walk.type(f"leak.{name}", text)
    walk.tick("handover.done")
    walk.type("left.pressure_psi", "80")
    walk.type("left.rebound_out", "8")
    walk.click(walk.page.get_by_role("button", name="Save, close and create the card"))
    expect(walk.page.get_by_text("120 mm travel")).to_be_visible()
    expect(walk.page.get_by_role("link", name="Print both sides (PDF)")).to_be_visible()
    print("full record:", walk.total)
    assert all(count <= goal for count, goal in zip(walk.total, RECORD_GOAL, strict=True)), walk.total


def test_what_was_typed_outlives_a_lost_network(
    new_context: Callable[..., BrowserContext], server: str, short_code: str
) -> None:
    context = new_context(viewport={"width": 360, "height": 740})
    walk = at_home(lambda **_more: context, server)
    page = walk.page
    page.goto(f"{server}/shop/bench/new")
    walk.type("setup_code", short_code)
    walk.click(page.get_by_role("button", name="Start the record"))
    page.wait_for_url(RECORD)
    record = page.url
    context.set_offline(True)
    page.locator('[name="left.pressure_psi"]').fill("81")
    page.locator('[name="left.rebound_out"]').fill("7")
    page.locator('[name="left.rebound_out"]').blur()
    expect(page.locator("#saved-as-you-go")).to_contain_text("What you typed is kept on this page")
    assert page.locator('[name="left.pressure_psi"]').input_value() == "81"
    context.set_offline(False)
    expect(page.locator("#saved-as-you-go")).to_have_text("Saved.")
    page.goto(record)
    assert page.locator('[name="left.pressure_psi"]').input_value() == "81"
    assert page.locator('[name="left.rebound_out"]').input_value() == "7"


FORMS = [
    ("found", "symptoms"),
    ("left", "note"),
    ("details", "customer_reference"),
    ("steps/seals", "what"),
    ("setup", "rider_mass_kg"),
    ("card", "setup_code"),
    ("", "left.pressure_psi"),
]


@pytest.mark.parametrize(("path", "name"), FORMS, ids=[path or "sheet" for path, _name in FORMS])
def test_a_form_that_cannot_be_sent_stays_as_it_was_typed(
    new_context: Callable[..., BrowserContext], server: str, short_code: str, path: str, name: str
) -> None:
    context = new_context(viewport={"width": 360, "height": 740})
    walk = at_home(lambda **_more: context, server)
    page = walk.page
    page.goto(f"{server}/shop/bench/new")
    context.set_offline(True)
    walk.type("bike_label", "Heron 9")
    page.get_by_role("button", name="Start the record").click()
    expect(page.get_by_role("alert")).to_contain_text("What you typed is still here")
    context.set_offline(False)
    walk.click(page.get_by_role("button", name="Start the record"))
    page.wait_for_url(RECORD)
    record = page.url.split("#")[0]
    assert short_code
    if path:
        page.goto(f"{record}/{path}")
    context.set_offline(True)
    page.locator(f'[name="{name}"]').fill("77")
    send = page.locator('main form[method="post"] button[type="submit"]:visible')
    button = page.get_by_role("button", name="Save the sheet").last if not path else send.last
    button.click()
    expect(page.get_by_role("alert")).to_contain_text("What you typed is still here")
    assert page.locator(f'[name="{name}"]').input_value() == "77"
    context.set_offline(False)
    with page.expect_response(lambda answer: answer.request.method == "POST") as sent:
        button.click()
    assert sent.value.status in (303, 422, 200)


@pytest.mark.parametrize("width", [360, 1280])
def test_the_new_pages_are_accessible_and_fit(
    new_context: Callable[..., BrowserContext],
    violations: Callable[[Page], list[str]],
    server: str,
    short_code: str,
    width: int,
) -> None:
    context = new_context(viewport={"width": width, "height": 800})
    walk = at_home(lambda **_more: context, server)
    page = walk.page
    page.goto(f"{server}/shop/bench/new")
    walk.type("setup_code", short_code)
    walk.type("unit_label", "fen")
    walk.tick("service_kind-full")
    _look_over(page, violations)
    walk.click(page.get_by_role("button", name="Start the record"))
    page.wait_for_url(RECORD)
    record = page.url.split("?")[0].split("#")[0]
    for summary in page.locator("#sheet summary").all():
        summary.click()
    _look_over(page, violations)
    for path in ("/details", "/left", "/steps/air_lubricant"):
        page.goto(record + path)
        _look_over(page, violations)
    context.clear_cookies()
    page.locator("#note").fill("kept")
    page.get_by_role("button", name="Save and mark done").click()
    expect(page.get_by_role("heading", name="You were logged out")).to_be_visible()
    _look_over(page, violations)


def _look_over(page: Page, violations: Callable[[Page], list[str]]) -> None:
    """Ask axe, and look that nothing stands out sideways."""
    assert violations(page) == [], page.url
    over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert over <= 0, page.url
