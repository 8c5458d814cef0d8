"""Coming back from the card: sag check, new card, history, the way back; two at once; back button and double tap."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

pytestmark = pytest.mark.browser

SIZES = [pytest.param(360, id="phone"), pytest.param(1280, id="desktop", marks=pytest.mark.long)]
PAGES = ("sag-check", "bounce", "bounce?end=rear", "ride", "what-if", "history", "compare", "2/answer", "3/answer")


def open_all(page: Page) -> None:
    """Open every folded part."""
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")


def sideways(page: Page) -> int:
    """Return how far the page is wider than its window [px]."""
    return int(page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


def save_new(page: Page, server: str) -> str:
    """Save a setup for both ends and return its address."""
    page.goto(server)
    page.get_by_label("Rider weight").fill("82")
    page.get_by_label("Trail Up and down").check()
    page.get_by_label("Fork travel").fill("140")
    page.get_by_label("Set up the shock").check()
    page.get_by_label("Shock stroke").fill("55")
    page.get_by_label("Rear wheel travel").fill("145")
    page.get_by_label("Bike", exact=True).fill("blue trail bike")
    page.get_by_role("button", name="Calculate and save").click()
    expect(page.get_by_role("heading", name="blue trail bike")).to_be_visible()
    return page.url


def fork(page: Page) -> Locator:
    """Return the fork's part of a page that is about both ends."""
    return page.get_by_role("region", name="Fork front")


def sag_box(page: Page, number: int) -> Locator:
    """Return the box of one of the fork's readings."""
    return fork(page).get_by_label(f"Sag measured, mm: {number}", exact=True)


def pressure_box(page: Page) -> Locator:
    """Return the box of the fork's pressure as set."""
    return fork(page).get_by_label("Pressure in it now")


def check_sag(page: Page, address: str, *readings: str) -> None:
    """Send the fork's sag check with these readings at 84 psi."""
    page.goto(f"{address}/sag-check")
    for number, reading in enumerate(readings, 1):
        sag_box(page, number).fill(reading)
    pressure_box(page).fill("84")
    page.get_by_role("button", name="Calculate pressure").click()


def pressure(page: Page) -> str:
    """Return the first large number of the page."""
    return page.locator(".big").first.inner_text()


@pytest.mark.parametrize(
    "scripts", [pytest.param(True, id="scripts on"), pytest.param(False, id="scripts off", marks=pytest.mark.long)]
)
def test_from_the_card_to_a_sag_check_a_new_card_the_history_and_back(
    new_context: Callable[..., BrowserContext], server: str, scripts: bool
) -> None:
    address = save_new(new_context(java_script_enabled=scripts).new_page(), server)
    # Another phone, which knows nothing but what the QR code says: capitals after the scheme.
    code = address.rsplit("/", 1)[1]
    page = new_context(java_script_enabled=scripts).new_page()
    page.goto(f"{server}/S/{code}")
    before = pressure(page)
    short = page.locator("details.sag-entry").first
    short.get_by_text("Enter measured sag").click()
    short.get_by_label("reading 1").fill("39")
    short.get_by_label("reading 2").fill("40")
    short.get_by_label("Pressure in it now").fill(before)
    short.get_by_role("button", name="Calculate pressure").click()
    expect(page.get_by_role("heading", name="Add air")).to_be_visible()
    after = pressure(page)
    assert float(after) > float(before)
    expect(page.get_by_text("What this check shows:")).to_be_visible()

    card = page.get_by_role("link", name="Print the new card (PDF)")
    fetched = page.request.get(f"{server}{card.get_attribute('href')}")
    assert (fetched.status, fetched.headers["content-type"]) == (200, "application/pdf")

    page.get_by_role("link", name="History").click()
    lines = page.locator(".revisions li.panel")
    assert lines.count() == 2
    expect(lines.first).to_contain_text("Sag check of the fork")
    expect(lines.first).to_contain_text(f"{before} → {after} psi")
    expect(lines.last).to_contain_text("First setup")
    expect(page.get_by_role("img", name="Fork front: pressure and sag")).to_be_visible()

    page.get_by_role("button", name="Restore version 1").click()
    expect(page).to_have_url(f"{server}/s/{code}/3/answer")
    assert pressure(page) == before
    page.goto(f"{server}/S/{code}")
    assert pressure(page) == before


def test_two_people_save_at_once_and_nobody_loses_anything(
    new_context: Callable[..., BrowserContext], server: str
) -> None:
    first, second = new_context().new_page(), new_context().new_page()
    address = save_new(first, server)
    for page in (first, second):
        page.goto(f"{address}/sag-check")
    for page, reading in ((first, "36"), (second, "37.5")):
        sag_box(page, 1).fill(reading)
        pressure_box(page).fill("5.8 bar")
    first.get_by_role("button", name="Calculate pressure").click()
    expect(first).to_have_url(f"{address}/2/answer")
    second.get_by_role("button", name="Calculate pressure").click()
    told = second.get_by_role("alert")
    expect(told).to_be_focused()
    expect(told).to_contain_text("Version 2 was saved while this page was open: Sag check of the fork")
    expect(sag_box(second, 1)).to_have_value("37.5")
    expect(pressure_box(second)).to_have_value("5.8 bar")
    second.get_by_role("button", name="Save anyway").click()
    expect(second).to_have_url(f"{address}/3/answer")
    second.get_by_role("link", name="History").click()
    expect(second.locator(".revisions li.panel")).to_have_count(3)


def test_a_double_tap_makes_one_revision(phone: Page, server: str) -> None:
    address = save_new(phone, server)
    phone.goto(f"{address}/sag-check")
    sag_box(phone, 1).fill("36")
    pressure_box(phone).fill("84")
    phone.get_by_role("button", name="Calculate pressure").dblclick(no_wait_after=True)
    expect(phone).to_have_url(f"{address}/2/answer")
    phone.goto(f"{address}/history")
    expect(phone.locator(".revisions li.panel")).to_have_count(2)


def test_a_lost_reply_sent_again_makes_no_second_revision(phone: Page, server: str) -> None:
    address = save_new(phone, server)
    phone.goto(f"{address}/sag-check")
    sag_box(phone, 1).fill("36")
    pressure_box(phone).fill("84")
    entries = phone.eval_on_selector("main form", "f => Object.fromEntries(new FormData(f))")
    # The server hears it, the phone never hears back; then its owner presses the button again.
    heard = phone.request.post(phone.url, form=entries, max_redirects=0, headers={"Referer": phone.url})
    assert heard.status == 303
    phone.get_by_role("button", name="Calculate pressure").click()
    expect(phone).to_have_url(f"{address}/2/answer")


def test_going_back_and_loading_again_saves_nothing(phone: Page, server: str) -> None:
    address = save_new(phone, server)
    check_sag(phone, address, "36")
    expect(phone).to_have_url(f"{address}/2/answer")
    phone.reload()
    phone.go_back()
    phone.reload()
    phone.go_forward()
    phone.goto(f"{address}/history")
    expect(phone.locator(".revisions li.panel")).to_have_count(2)


def test_a_sag_check_goes_by_keyboard_alone(phone: Page, server: str) -> None:
    address = save_new(phone, server)
    phone.goto(f"{address}/sag-check")

    def tab_to(wanted: str) -> None:
        for _step in range(40):
            phone.keyboard.press("Tab")
            if phone.evaluate("document.activeElement.id") == wanted:
                return
        raise AssertionError(f"{wanted} is not reached by Tab")

    tab_to("front.pressure_psi")
    phone.keyboard.type("84")
    tab_to("front.readings_mm-0")
    phone.keyboard.type("39 mm")
    phone.keyboard.press("Enter")
    expect(phone).to_have_url(f"{address}/2/answer")


def test_a_questioned_reading_is_kept_by_keyboard_and_without_scripts(
    new_context: Callable[..., BrowserContext], server: str
) -> None:
    page = new_context(java_script_enabled=False, viewport={"width": 360, "height": 800}).new_page()
    address = save_new(page, server)
    shown = pressure(page)
    page.goto(f"{address}/sag-check")
    pressure_box(page).fill(shown)
    sag_box(page, 1).fill("3.1")
    page.keyboard.press("Enter")
    expect(page).to_have_title(re.compile("^Question: "))
    expect(page.get_by_role("alert")).to_contain_text("Is it 3.1 cm, which is 31 mm?")
    expect(sag_box(page, 1)).to_have_value("3.1")
    page.get_by_role("button", name="Check again").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{address}/2/answer")


def test_nonsense_is_kept_and_the_summary_leads_to_its_box(phone: Page, server: str) -> None:
    address = save_new(phone, server)
    check_sag(phone, address, "31", "1,234")
    expect(phone).to_have_title(re.compile("^Error: "))
    summary = phone.get_by_role("alert")
    expect(summary).to_be_focused()
    summary.get_by_role("link", name="Reading 2").click()
    box = sag_box(phone, 2)
    expect(box).to_be_focused()
    expect(box).to_have_value("1,234")
    check_sag(phone, address, "5", "60")
    phone.get_by_role("alert").get_by_role("link", name="apart").click()
    expect(fork(phone).get_by_role("group", name="Sag measured, mm")).to_be_focused()


def test_the_difference_is_seen_before_it_is_saved(
    phone: Page, new_context: Callable[..., BrowserContext], server: str
) -> None:
    # Not the browser in which it was entered: there the weight is known and not asked for.
    address = save_new(new_context().new_page(), server)
    phone.goto(f"{address}/what-if")
    phone.get_by_label("Rider weight now").fill("82")
    phone.get_by_label("Kit weight").fill("12")
    phone.keyboard.press("Enter")
    shown = phone.get_by_role("region", name="Effect of the change")
    expect(shown).to_be_focused()
    expect(shown).to_contain_text("psi more")
    phone.get_by_role("link", name="Cancel").click()
    expect(phone).to_have_url(address)
    phone.goto(f"{address}/what-if")
    phone.get_by_label("Kit weight").fill("12")
    phone.get_by_label("Rider weight now").fill("82")
    phone.get_by_role("button", name="Show the effect").click()
    phone.get_by_role("button", name="Save as a new version").click()
    expect(phone).to_have_url(f"{address}/2/answer")


@pytest.fixture
def visited(phone: Page, server: str) -> str:
    """The address of a setup with a sag check and a ride behind it."""
    address = save_new(phone, server)
    check_sag(phone, address, "39", "40")
    phone.goto(f"{address}/ride")
    phone.get_by_label("Bucks you").check()
    phone.get_by_role("button", name="Suggest a change").click()
    expect(phone).to_have_url(f"{address}/3/answer")
    return address


@pytest.mark.long
@pytest.mark.parametrize("width", SIZES)
def test_axe_finds_nothing_on_any_page_of_a_correction(
    new_context: Callable[..., BrowserContext], visited: str, violations: Callable[[Page], list[str]], width: int
) -> None:
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    found: dict[str, list[str]] = {}
    for place in ("", *PAGES):
        page.goto(f"{visited}/{place}".rstrip("/"))
        open_all(page)
        found[place] = violations(page)
    for place, name in (("sag-check", "Calculate"), ("bounce", "Calculate"), ("ride", "Suggest"), ("what-if", "Show")):
        page.goto(f"{visited}/{place}")
        page.get_by_role("button", name=name).click()
        expect(page.get_by_role("alert")).to_be_visible()
        open_all(page)
        found[f"{place} with errors"] = violations(page)
    page.get_by_label("Rider weight now").fill("82")
    page.get_by_label("Kit weight").fill("12")
    page.get_by_role("button", name="Show the effect").click()
    expect(page.get_by_role("region", name="Effect of the change")).to_be_visible()
    found["difference"] = violations(page)
    assert {place: broken for place, broken in found.items() if broken} == {}


@pytest.mark.long
@pytest.mark.parametrize(("width", "text"), [(320, 100), (360, 200)])
def test_small_windows_and_large_text_never_scroll_sideways(
    new_context: Callable[..., BrowserContext], visited: str, width: int, text: int
) -> None:
    page = new_context(viewport={"width": width, "height": 700}).new_page()
    wide = {}
    for place in ("", *PAGES):
        page.goto(f"{visited}/{place}".rstrip("/"))
        page.evaluate(f"document.styleSheets[0].insertRule('html {{ font-size: {text}% }}')")
        open_all(page)
        wide[place] = sideways(page)
    assert {place: by for place, by in wide.items() if by > 0} == {}


@pytest.mark.long
@pytest.mark.parametrize("width", SIZES)
def test_targets_are_44_pixels_high_and_text_16(
    new_context: Callable[..., BrowserContext], visited: str, width: int
) -> None:
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    low, small, seen = [], [], 0
    for place in ("", *PAGES):
        page.goto(f"{visited}/{place}".rstrip("/"))
        open_all(page)
        targets = page.locator("main :is(button, input[type=text], summary, .option label, .button, .which a, .ways a)")
        seen += targets.count()
        low += [
            (place, target.inner_text(), box["height"])
            for target in targets.all()
            if (box := target.bounding_box()) and box["height"] < 44
        ]
        small += page.evaluate(
            """[...document.querySelectorAll('body *')]
            .filter(e => !e.closest('svg') && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
            .map(e => [parseFloat(getComputedStyle(e).fontSize), e.textContent.slice(0, 40)])
            .filter(([size]) => size < 15.99)"""
        )
    assert seen > 100
    assert (low, small) == ([], [])


def test_no_page_of_a_correction_reports_an_error_or_a_blocked_file(phone: Page, visited: str) -> None:
    said: list[str] = []
    phone.on("console", lambda message: said.append(message.text))
    phone.on("pageerror", lambda error: said.append(str(error)))
    for place in ("", *PAGES):
        phone.goto(f"{visited}/{place}".rstrip("/"))
    assert said == []
