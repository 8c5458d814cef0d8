"""A whole visit at the bench: log in, bike in, service, longer travel, closed, card, and the rider at its code."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

import pytest
import zxingcpp
from flask import Flask
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

from setup_rules import read_request
from webapp.accounts.actions.open_shop import open_shop
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.revision import CardTexts

pytestmark = pytest.mark.browser

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
FRONT = {"travel_mm": 100, "longest_travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16}
SIZES = [pytest.param(360, id="phone"), pytest.param(1280, id="desktop", marks=pytest.mark.long)]


@pytest.fixture
def code(server: str, make_app: Callable[..., Flask]) -> str:
    """The code of the saved setup of the bike that comes in, in the data that the server shows."""
    app = make_app(PUBLIC_BASE_URL=server)
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        request = read_request({"rider_mass_kg": 123.5, "riding_style": "trail", "front": FRONT})
        return create_setup(request, CardTexts("Heron 4, green")).saved.code


def log_in(page: Page, server: str) -> None:
    """Log in, and stand at the bench."""
    page.goto(f"{server}/shop/bench")
    page.locator("#login").fill("mira")
    page.locator("#password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("heading", name="Service records")).to_be_visible()


def note(page: Page, key: str, **fields: str) -> None:
    """Fill what belongs to a step of the sheet."""
    step = page.locator(f"#step-{key}")
    for name, text in fields.items():
        field = step.locator(f'[name="{key}.{name.replace("__", ".")}"]')
        if not field.is_visible():
            step.locator("summary").first.click()
        field.fill(text)


def tick(page: Page, step: str) -> None:
    """Tick a step off."""
    page.get_by_role("checkbox", name=re.compile(f"^Done – {step}")).check()


def save(page: Page) -> None:
    """Save the sheet."""
    with page.expect_navigation():  # a form is sent a moment after its press, once the server has answered
        page.get_by_role("button", name="Save the sheet").last.click()


def scan(pdf: bytes, page: int) -> str:
    """Return the address that a phone reads off a printed page."""
    if shutil.which("pdftoppm") is None:
        pytest.skip("pdftoppm is not installed (poppler-utils)")
    command = ["pdftoppm", "-r", "150", "-f", str(page), "-singlefile", "-"]
    done = subprocess.run(command, input=pdf, capture_output=True, check=True)
    (address,) = {found.text for found in zxingcpp.read_barcodes(Image.open(io.BytesIO(done.stdout)))}
    return address


@pytest.mark.parametrize(
    "script",
    [pytest.param(True, id="script"), pytest.param(False, id="no-script", marks=pytest.mark.long)],
)
def test_a_whole_visit_from_the_door_to_the_rider(
    new_context: Callable[..., BrowserContext], server: str, code: str, script: bool
) -> None:
    page = new_context(java_script_enabled=script, viewport={"width": 1280, "height": 900}).new_page()
    log_in(page, server)

    page.get_by_role("link", name="New service record").click()
    page.get_by_role("textbox", name="Bike", exact=True).fill("Heron 4, green")
    page.get_by_label("Customer reference").fill("T-1042")
    page.get_by_label("Card link or code").fill(f"{server}/S/{code}".lower())
    page.get_by_label("Pressure as received").fill("4,3 bar")
    page.get_by_label("Symptoms").fill("harsh, loses air overnight")
    page.get_by_role("button", name="Start the record").click()
    expect(page.get_by_text("62.4 psi", exact=True)).to_be_visible()

    page.get_by_role("button", name="Save, close and create the card").click()
    expect(page.get_by_role("alert")).to_contain_text("is a safety step and not done yet")

    for step in ("Eye protection on", "All air released through the valve", "Cycled through the travel"):
        tick(page, step)
    note(page, "parts", part1__part="bushings")
    note(page, "seals", what="air piston and wipers")
    note(page, "lubricant", what="as in the manual", amount_cm3="3 ml")
    save(page)

    plan = page.get_by_role("link", name="Plan a change of travel")
    plan.click()
    page.locator("#travel_mm").fill("120")
    for row, (size, count) in enumerate(((10, 2), (20, 2)), 1):
        page.locator(f'[name="spacer{row}.size_mm"]').fill(str(size))
        page.locator(f'[name="spacer{row}.count"]').fill(str(count))
    page.get_by_role("button", name="Show the plan").click()
    assert page.locator('[name="stack"] + label').all_inner_texts() == [
        "Travel spacer 1 × 20 mm",
        "Travel spacers 2 × 10 mm",
    ]
    planned = page.get_by_role("row", name=re.compile("^Set pressure")).locator("td").last.inner_text()
    pressure = planned.replace("\u00a0", " ")
    page.goto(f"{server}/shop/bench")
    page.get_by_role("link", name="Heron 4, green").click()

    note(page, "travel", after_mm="120", spacer1__size_mm="10", spacer1__count="1")
    save(page)
    expect(page.get_by_role("alert")).to_contain_text("do not match")
    note(page, "travel", spacer1__count="2")
    save(page)
    expect(page.get_by_text("100 → 120 mm (140 mm minus 2 × 10 mm)").first).to_be_visible()
    expect(page.get_by_text(pressure, exact=True)).to_be_visible()

    note(page, "torque", part="top cap", low="6", high="8", torque="62")
    save(page)
    expect(page.get_by_text("62 lbf·in would be inside").first).to_be_visible()
    note(page, "torque", torque="62 lbf·in")
    tick(page, "Air out, fully compressed")
    note(page, "leak", first_psi="99", second_psi="98.5", hours="60 min")
    tick(page, "Handed over")
    page.get_by_label("Pressure set").last.fill("99")
    page.get_by_label("Next service after").last.fill("50")
    page.get_by_role("button", name="Save, close and create the card").click()

    expect(page.get_by_role("link", name="Print both sides (PDF)")).to_be_visible()
    assert urlsplit(page.url).path == f"/s/{code}/card"
    expect(page.get_by_text("120 mm travel")).to_be_visible()

    card = page.request.get(f"{server}/s/{code}/card.pdf?side=both").body()
    addresses = {scan(card, 1), scan(card, 2)}
    assert addresses == {f"{server}/S/{code}"}

    rider = new_context(java_script_enabled=script).new_page()
    rider.goto(addresses.pop())
    expect(rider.get_by_text("120 mm travel")).to_be_visible()
    expect(rider.get_by_text(pressure.split(" ")[0], exact=True).first).to_be_visible()
    # A coordinate of the curve may read like the weight by chance.
    assert "123.5" not in re.sub(r' d="[^"]*"', "", rider.content())
    check = rider.goto(f"{server}/s/{code}/sag-check")
    assert check is not None
    if check.status != 404:  # where that page is built in
        expect(rider.get_by_role("heading", level=1)).to_be_visible()


@pytest.mark.long
@pytest.mark.parametrize("width", SIZES)
def test_every_page_of_the_bench_is_accessible_and_fits(
    new_context: Callable[..., BrowserContext],
    violations: Callable[[Page], list[str]],
    server: str,
    code: str,
    width: int,
) -> None:
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    log_in(page, server)
    page.goto(f"{server}/shop/bench/new")
    page.get_by_role("textbox", name="Bike", exact=True).fill("Heron 4, green")
    page.get_by_role("button", name="Start the record").click()
    page.wait_for_url(re.compile(r"/shop/bench/[0-9A-Z]{6}"))
    record = page.url.split("?")[0]
    steps = [f"{record}/steps/{key}" for key in ("eyes", "parts", "seals", "lubricant", "travel", "torque", "leak")]
    pages = [
        record,
        f"{record}/found",
        f"{record}/left",
        f"{record}/setup",
        f"{record}/card",
        f"{record}/details",
        *steps,
    ]
    pages += [f"{server}{path}" for path in ("/shop/bench", "/shop/bench/new", "/shop/bench/checklist", "/leak")]
    for address in [*pages, f"{server}/s/{code}/travel"]:
        page.goto(address)
        look_over(page, violations)
    for filled in (fill_leak, fill_plan):
        filled(page, server, code)
        look_over(page, violations)


def look_over(page: Page, violations: Callable[[Page], list[str]]) -> None:
    """Ask axe, and look that nothing stands out sideways."""
    assert violations(page) == [], page.url
    over: Any = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert over <= 0, page.url


def fill_leak(page: Page, server: str, _code: str) -> None:
    """Get an answer of the leak check."""
    page.goto(f"{server}/leak")
    for name, text in (("first_psi", "84"), ("second_psi", "70"), ("hours", "48")):
        page.locator(f"#{name}").fill(text)
    page.get_by_role("button", name="Check for a leak").click()
    expect(page.get_by_role("heading", name="Losing air")).to_be_visible()


def fill_plan(page: Page, server: str, code: str) -> None:
    """Get a plan of the planner."""
    page.goto(f"{server}/s/{code}/travel")
    page.locator("#travel_mm").fill("120")
    page.locator('[name="spacer1.size_mm"]').fill("20")
    page.locator('[name="spacer1.count"]').fill("1")
    page.get_by_role("button", name="Show the plan").click()
    expect(page.get_by_role("button", name="Save as a new version")).to_be_visible()
