"""The rider's second visit on a phone: the answer first, the device's own list, both weights, one press an answer."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.long]

#: A phone of the usual size, in CSS pixels.
PHONE = {"width": 390, "height": 844}
#: Screens of that phone that each page may take: the result down to its folds (the issue's goal; it took 9 with nothing
#: folded), and whole pages with their folds closed.
MOST_SCREENS = {"before the folds": 4.0, "result": 5.0, "entries": 6.5, "what-if": 4.5}


def make_setup(page: Page, server: str) -> str:
    """Enter a bike with both ends and return its page's address."""
    page.goto(f"{server}/")
    for name, text in (("rider_mass_kg", "78"), ("front.travel_mm", "140"), ("front.rebound_clicks", "16")):
        page.locator(f'[name="{name}"]').fill(text)
    page.locator('[id="riding_style-trail"]').check()
    page.locator('[id="rear.wanted"]').check()
    for name, text in (("stroke_mm", "210 × 55"), ("wheel_travel_mm", "145"), ("rebound_clicks", "14")):
        page.locator(f'[name="rear.{name}"]').fill(text)
    page.locator('[name="bike_label"]').fill("Heron 4, green")
    page.get_by_role("button", name="Calculate and save").click()
    expect(page.get_by_role("heading", name="Heron 4, green")).to_be_visible()
    page.wait_for_load_state()  # the device's own list is written by a script that comes after the heading
    return page.url


def screens(page: Page) -> float:
    """Return how many screens of the phone the page takes."""
    height = page.evaluate("document.documentElement.scrollHeight")
    return float(height) / PHONE["height"]


def picture(page: Page, name: str) -> None:
    """Keep a picture of the whole page where somebody wants to look."""
    if folder := os.environ.get("SETUP_CARD_PICTURES", ""):
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)


def bottom(target: Locator) -> float:
    """Return where something ends, from the top of the page."""
    box = target.bounding_box()
    assert box is not None
    return box["y"] + box["height"]


def test_the_answer_stands_on_the_first_screen_and_the_rest_is_folded(
    new_context: Callable[..., BrowserContext], server: str
) -> None:
    page = new_context(viewport=PHONE).new_page()
    address = make_setup(page, server)
    page.goto(address)  # the second time nothing is said of the owner's link
    picture(page, "result-390")
    for end in ("front", "rear"):
        numbers = page.locator(f'[aria-labelledby="end-{end}"] .big')
        expect(numbers).to_have_count(3)
        assert max(bottom(numbers.nth(i)) for i in range(3)) <= PHONE["height"], end
    folds = page.locator(".folds").bounding_box()
    assert folds is not None
    counted = {"before the folds": folds["y"] / PHONE["height"], "result": screens(page)}
    for name in ("entries", "what-if"):
        page.goto(f"{address}/{name}")
        picture(page, f"{name}-390")
        counted[name] = screens(page)
    print("screens of a phone:", {name: round(count, 1) for name, count in counted.items()})
    assert all(counted[name] <= most for name, most in MOST_SCREENS.items()), counted


def test_cautions_stay_in_sight_in_one_box(new_context: Callable[..., BrowserContext], server: str) -> None:
    page = new_context(viewport=PHONE).new_page()
    make_setup(page, server)
    expect(page.locator(".cautions")).to_have_count(1)
    box = page.locator(".cautions")
    expect(box).to_be_visible()
    expect(box).to_contain_text("Never pump above the maximum")
    assert page.locator("details .cautions, details .mind").count() == 0


def test_this_device_lists_its_bikes_until_they_are_cleared(
    new_context: Callable[..., BrowserContext], server: str
) -> None:
    context = new_context(viewport=PHONE)
    page = context.new_page()
    page.goto(server)
    expect(page.locator("#my-bikes")).to_be_hidden()
    address = make_setup(page, server)
    page.goto(server)
    listed = page.locator("#my-bikes").get_by_role("link")
    expect(listed).to_have_text(["Heron 4, green"])
    picture(page, "home-390")
    for button in page.locator("#my-bikes button").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= 44
    listed.click()
    expect(page).to_have_url(address)
    page.goto(server)
    page.locator("#my-bikes li button").click()
    expect(page.locator("#my-bikes")).to_be_hidden()
    page.goto(address)
    page.goto(server)
    page.get_by_role("button", name="Clear the list").click()
    expect(page.locator("#my-bikes")).to_be_hidden()
    assert page.evaluate("window.localStorage.length") == 0
    stranger = new_context(viewport=PHONE).new_page()
    stranger.goto(server)
    expect(stranger.locator("#my-bikes")).to_be_hidden()


def test_both_weights_stand_beside_what_is_typed_and_a_question_takes_one_press(
    new_context: Callable[..., BrowserContext], server: str
) -> None:
    page = new_context(viewport=PHONE).new_page()
    page.goto(server)
    weight = page.locator('[name="rider_mass_kg"]')
    for text, both in (
        ("78", "78 kg = 172 lb = 12 st 4"),
        ("12 st 7", "79.5 kg = 175 lb = 12 st 7"),
        ("11½ st", "73 kg = 161 lb = 11 st 7"),
        ("180 lb", "81.5 kg = 180 lb = 12 st 12"),
        ("no", ""),
    ):
        weight.fill(text)
        expect(page.locator(".both-weights").first).to_have_text(both)
    weight.fill("150")
    page.locator('[name="front.travel_mm"]').fill("140")
    page.locator('[id="riding_style-trail"]').check()
    page.get_by_role("button", name="Calculate and save").click()
    picture(page, "question-390")
    expect(page.get_by_role("button", name="It is 150 lb")).to_be_visible()
    expect(page.get_by_role("button", name="It is 150 kg")).to_be_visible()
    page.locator('[name="front.travel_mm"]').press("Enter")  # never an answer
    expect(page.get_by_role("button", name="It is 150 lb")).to_be_visible()
    page.get_by_role("button", name="It is 150 lb").click()
    expect(page.get_by_role("heading", name="Your setup")).to_be_visible()


def test_share_and_copy_show_only_where_the_browser_has_them(
    new_context: Callable[..., BrowserContext], server: str
) -> None:
    context = new_context(viewport=PHONE)
    context.add_init_script("Object.defineProperty(navigator, 'share', {value: undefined})")
    context.add_init_script("Object.defineProperty(navigator, 'clipboard', {value: undefined})")
    page = context.new_page()
    make_setup(page, server)
    expect(page.locator("#share")).to_be_hidden()
    able = new_context(viewport=PHONE)
    able.add_init_script(
        "Object.defineProperty(navigator, 'share', {value: what => { window.shared = what;"
        " return Promise.resolve(); }});"
        "Object.defineProperty(navigator, 'clipboard', {value: {writeText: text => { window.copied = text;"
        " return Promise.resolve(); }}});"
    )
    page = able.new_page()
    address = make_setup(page, server)
    page.get_by_role("button", name="Share").click()
    page.get_by_role("button", name="Copy the link").click()
    expect(page.locator("#copied")).to_have_text("Copied.")
    assert page.evaluate("window.copied") == address
    assert page.evaluate("window.shared.url") == address


def test_the_phones_home_screen_finds_its_icons(new_context: Callable[..., BrowserContext], server: str) -> None:
    page = new_context(viewport=PHONE).new_page()
    page.goto(server)
    told = page.evaluate("fetch(document.querySelector('link[rel=manifest]').href).then(answer => answer.json())")
    assert told["start_url"] == "/"
    for icon in told["icons"]:
        side = page.evaluate(
            "src => new Promise(done => { const image = new Image(); image.onload = () => done(image.naturalWidth);"
            " image.onerror = () => done(0); image.src = src; })",
            icon["src"],
        )
        assert icon["sizes"] == f"{side}x{side}"


@pytest.mark.parametrize("width", [360, 1280])
def test_the_pages_are_accessible_and_fit(
    new_context: Callable[..., BrowserContext], violations: Callable[[Page], list[str]], server: str, width: int
) -> None:
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    address = make_setup(page, server)
    look_over(page, violations)
    picture(page, f"saved-{width}")
    page.goto(address)
    for summary in page.locator(".folds summary").all():
        summary.click()
    look_over(page, violations)
    picture(page, f"open-{width}")
    page.goto(f"{address}/entries")
    look_over(page, violations)
    page.locator('[name="front.travel_mm"]').fill("1400")
    page.get_by_role("button", name="Save the correction").click()
    look_over(page, violations)
    page.goto(f"{address}/what-if")
    for name, text in (("rider_mass_kg", "66"), ("luggage_rear_kg", "8"), ("rider_name", "Ana")):
        page.locator(f'[name="{name}"]').fill(text)
    page.get_by_role("button", name="Show the effect").click()
    look_over(page, violations)
    picture(page, f"causes-{width}")
    page.get_by_role("button", name="Save as a new version").click()
    page.goto(address)
    expect(page.get_by_text("Ana is on it")).to_be_visible()
    look_over(page, violations)
    picture(page, f"borrowed-{width}")
    page.get_by_role("button", name="Back to its own rider").click()
    look_over(page, violations)
    page.goto(server)
    look_over(page, violations)
    page.locator('[name="rider_mass_kg"]').fill("150")
    page.get_by_role("button", name="Calculate and save").click()
    look_over(page, violations)


def look_over(page: Page, violations: Callable[[Page], list[str]]) -> None:
    """Ask axe, and look that nothing stands out sideways."""
    assert violations(page) == [], page.url
    over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert over <= 0, page.url
