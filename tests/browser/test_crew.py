"""The crew's screens in a real browser at 390 × 844: from a scan to numbers by keys and by touch, nothing to scroll."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from playwright.sync_api import BrowserContext, Page, expect

from webapp.accounts.actions.open_shop import open_shop
from webapp.demo_day.actions.create_bike import create_bike
from webapp.demo_day.bike import Bike

pytestmark = pytest.mark.browser

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
PHONE = {"width": 390, "height": 844}
BIKE: dict[str, Any] = {
    "number": "12",
    "label": "Heron, rust",
    "riding_style": "enduro",
    "front": {"travel_mm": 150, "rebound_clicks": 16, "compression_clicks": 12, "max_pressure_psi": 140},
    "rear": {
        "stroke_mm": 60,
        "leverage_start": 2.8,
        "leverage_end": 2.4,
        "rebound_clicks": 14,
        "compression_clicks": 9,
    },
}
#: A tap and a key, as the issue counts them [s].
TAP_S, KEY_S, GOAL_S = 1.3, 0.4, 10.0


class Visit:
    """A page with a count of what a hand does on it and of the pages that it loads."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps = self.keys = self.loads = 0
        # Counted when a page begins: who is quick leaves it before its last script is there.
        page.on("framenavigated", lambda frame: self._loaded(frame.parent_frame is None))

    def _loaded(self, whole_page: bool) -> None:
        self.loads += whole_page

    def begin(self) -> None:
        """Count from here."""
        self.taps = self.keys = self.loads = 0

    def tap(self, name: str) -> None:
        """Tap a button."""
        self.taps += 1
        self.page.get_by_role("button", name=name, exact=True).tap()

    def type(self, text: str) -> None:
        """Type where the focus is, as a scanner or a thumb does."""
        self.keys += len(text)
        self.page.keyboard.type(text)

    def press(self, key: str) -> None:
        """Press one key."""
        self.keys += 1
        self.page.keyboard.press(key)

    @property
    def seconds(self) -> float:
        """How long the hand takes."""
        return self.taps * TAP_S + self.keys * KEY_S


@pytest.fixture
def bike(server: str, make_app: Callable[..., Flask]) -> Bike:
    """A shop's bike."""
    with make_app(PUBLIC_BASE_URL=server).app_context():
        shop = open_shop("Lantern Lane Cycles", "mira", PASSWORD).shop_id
        return create_bike(shop, BIKE)


@pytest.fixture
def visit(server: str, bike: Bike, new_context: Callable[..., BrowserContext]) -> Visit:
    """Somebody of the crew with a phone, logged in."""
    page = new_context(viewport=PHONE, has_touch=True, is_mobile=True).new_page()
    page.goto(f"{server}/shop/log-in")
    page.get_by_label("Login").fill("mira")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("heading", name="Lantern Lane Cycles")).to_be_visible()
    page.wait_for_load_state()  # or it is counted later
    return Visit(page)


def fits(page: Page) -> None:
    """Hold a screen to its size: nothing to scroll either way."""
    size = page.evaluate("[document.documentElement.scrollHeight, document.documentElement.scrollWidth]")
    assert size[0] <= PHONE["height"], size
    assert size[1] <= PHONE["width"], size


def every_change_is_in_sight(page: Page) -> None:
    for line in page.locator(".turn").all():
        box = line.bounding_box()
        assert box is not None
        assert box["y"] >= 0 and box["y"] + box["height"] <= PHONE["height"]  # noqa: PT018 one place
        size = line.locator("strong").evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
        assert size >= 20


def test_by_touch_from_a_scanned_tag_to_numbers(server: str, bike: Bike, visit: Visit, violations: Any) -> None:
    page = visit.page
    visit.begin()
    page.goto(f"{server}/BIKE/{bike.tag}")  # the phone's camera opens the link
    fits(page)
    assert violations(page) == []
    expect(page.get_by_label("Rider weight")).to_be_focused()
    assert page.get_by_label("Rider weight").get_attribute("inputmode") == "decimal"
    expect(page.get_by_label("Enduro")).to_be_checked()
    visit.type("82")
    visit.tap("Set up")
    expect(page.get_by_role("button", name="Set and out")).to_be_visible()
    page.wait_for_load_state()
    assert (visit.taps <= 2, visit.loads) == (True, 2)
    assert visit.seconds <= GOAL_S
    fits(page)
    every_change_is_in_sight(page)
    assert violations(page) == []
    visit.tap("Set and out")
    expect(page.get_by_role("status")).to_contain_text("mira set the bike")
    assert violations(page) == []


def test_by_keys_from_a_typed_number_to_the_change_for_the_next_rider(server: str, visit: Visit) -> None:
    page = visit.page
    for kg in ("95", "60"):
        page.goto(f"{server}/shop/bikes")
        visit.begin()
        expect(page.get_by_label("Number, or scan the tag")).to_be_focused()
        visit.type("12")
        visit.press("Enter")
        expect(page.get_by_label("Rider weight")).to_be_focused()
        fits(page)
        visit.type(kg)
        visit.press("Enter")
        expect(page.get_by_role("button", name="Set and out")).to_be_visible()
        page.wait_for_load_state()
        assert (visit.taps, visit.loads) == (0, 2)
        assert visit.seconds <= GOAL_S
        fits(page)
        every_change_is_in_sight(page)
        if kg == "95":
            page.get_by_role("button", name="Set and out").press("Enter")
            expect(page.get_by_role("status")).to_contain_text("mira set the bike")
    expect(page.get_by_text("let out").first).to_be_visible()
    expect(page.get_by_text("(quicker)").first).to_be_visible()


@pytest.mark.parametrize("width", [360, pytest.param(1280, marks=pytest.mark.long)])
def test_the_fleets_pages_are_whole_at_both_widths(
    server: str, bike: Bike, visit: Visit, violations: Any, width: int
) -> None:
    page = visit.page
    page.set_viewport_size({"width": width, "height": 800})
    paths = ["", "/new", "/import", "/free"] + [f"/{bike.bike_id}{more}" for more in ("", "/edit", "/set-up")]
    for path in paths:
        page.goto(f"{server}/shop/bikes{path}")
        assert violations(page) == [], path
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
