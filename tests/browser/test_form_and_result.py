"""A rider with a phone: fill, send, read; by keyboard, without JavaScript, small, and with mistakes."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from setup_rules import read_request, recommend
from webapp.ground.text import numbers

pytestmark = pytest.mark.browser

SIZES = [pytest.param(360, id="phone"), pytest.param(1280, id="desktop", marks=pytest.mark.long)]


def fill_both(page: Page, server: str) -> None:
    """Fill the form for fork and shock, in mixed units."""
    page.goto(server)
    page.get_by_label("Rider weight").fill("82,5")
    page.get_by_label("Trail Up and down").check()
    page.get_by_label("Fork travel").fill("140")
    page.get_by_label("Set up the shock").check()
    page.get_by_label("Shock stroke").fill("55 mm")
    page.get_by_label("Rear wheel travel").fill("5.7 in")
    page.get_by_label("Bike", exact=True).fill("blue trail bike")


def send(page: Page) -> None:
    """Press the form's button and wait for the answer."""
    with page.expect_navigation():
        page.get_by_role("button", name="Calculate and save").click()


def sideways(page: Page) -> int:
    """Return how far the page is wider than its window [px]."""
    return int(page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


@pytest.mark.parametrize("width", SIZES)
def test_a_rider_fills_the_form_and_reads_the_numbers_of_the_rules(
    new_context: Callable[..., BrowserContext], server: str, width: int
) -> None:
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    fill_both(page, server)
    send(page)
    expect(page.get_by_role("heading", name="blue trail bike")).to_be_visible()
    expected = recommend(
        read_request({"rider_mass_kg": 82.5, "riding_style": "trail", "front": {"travel_mm": 140}})
    ).front
    assert expected is not None
    fork = page.get_by_role("region", name="Fork front")
    shown = fork.locator(".big").all_inner_texts()
    assert expected.rebound is not None
    assert shown == [
        numbers.psi(expected.pressure_pa),
        numbers.halves(expected.sag_target_mm),
        str(expected.rebound.out),
    ]
    assert len(page.get_by_role("region", name="Shock rear").locator(".big").all_inner_texts()) == 3


def test_the_whole_way_goes_by_keyboard_alone(phone: Page, server: str) -> None:
    phone.goto(server)
    focus = "document.activeElement.id || document.activeElement.textContent.trim()"

    def tab_to(wanted: str) -> None:
        for _step in range(60):
            phone.keyboard.press("Tab")
            if phone.evaluate(focus) == wanted:
                return
        raise AssertionError(f"{wanted} is not reached by Tab")

    phone.keyboard.press("Tab")
    assert phone.evaluate(focus) == "Skip to content"
    tab_to("rider_mass_kg")
    phone.keyboard.type("180 lb")
    tab_to("riding_style-cross_country")
    phone.keyboard.press("ArrowDown")
    assert phone.evaluate("document.activeElement.value") == "trail"
    tab_to("front.travel_mm")
    phone.keyboard.type("140")
    tab_to("rear.wanted")
    phone.keyboard.press("Space")
    tab_to("rear.stroke_mm")
    phone.keyboard.type("55")
    tab_to("rear.wheel_travel_mm")
    phone.keyboard.type("145")
    phone.keyboard.press("Enter")
    expect(phone.get_by_role("region", name="Shock rear")).to_be_visible()
    assert re.search(r"/s/[0-9A-Z]{26}$", phone.url)


def test_the_focused_input_is_clearly_marked(phone: Page, server: str) -> None:
    phone.goto(server)
    phone.get_by_label("Rider weight").focus()
    width = phone.evaluate("parseFloat(getComputedStyle(document.activeElement).outlineWidth)")
    style = phone.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert (width >= 2, style) == (True, "solid")


def test_nonsense_is_kept_and_the_summary_leads_to_its_field(phone: Page, server: str) -> None:
    phone.goto(server)
    phone.get_by_label("Rider weight").fill("1,234")
    phone.get_by_label("Fork travel").fill("long")
    send(phone)
    expect(phone).to_have_title(re.compile("^Error: "))
    summary = phone.get_by_role("alert")
    expect(summary).to_be_focused()
    assert summary.get_by_role("link").count() == 3
    expect(phone.get_by_label("Rider weight")).to_have_value("1,234")
    expect(phone.get_by_label("Fork travel")).to_have_value("long")
    summary.get_by_role("link", name="Fork travel").click()
    expect(phone.get_by_label("Fork travel")).to_be_focused()
    assert phone.get_by_label("Fork travel").get_attribute("aria-invalid") == "true"


def test_it_works_with_javascript_off(new_context: Callable[..., BrowserContext], server: str) -> None:
    page = new_context(java_script_enabled=False).new_page()
    fill_both(page, server)
    send(page)
    expect(page.get_by_role("region", name="Fork front")).to_be_visible()
    page.get_by_text("Spring curve").click()
    expect(page.get_by_role("img", name="Fork: force over travel")).to_be_visible()


def test_choosing_a_unit_changes_every_label_and_what_a_bare_number_means(phone: Page, server: str) -> None:
    phone.goto(server)
    expect(phone.get_by_role("textbox", name="Rider weight, kg")).to_be_visible()
    phone.locator("summary", has_text="Units of measure").click()
    phone.get_by_role("radio", name="lb").check()
    expect(phone.get_by_role("textbox", name="Rider weight, lb")).to_be_visible()
    phone.get_by_label("Rider weight").fill("500")
    send(phone)
    expect(phone.get_by_role("textbox", name="Rider weight, lb")).to_be_visible()
    expect(phone.get_by_role("alert")).to_contain_text("Rider weight: 500 lb is outside 44.1 to 352 lb")


def test_the_shock_is_only_asked_about_when_it_is_wanted(phone: Page, server: str) -> None:
    phone.goto(server)
    expect(phone.get_by_label("Shock stroke")).to_be_hidden()
    phone.get_by_label("Set up the shock").check()
    expect(phone.get_by_label("Shock stroke")).to_be_visible()
    phone.get_by_label("Set up the fork").uncheck()
    expect(phone.get_by_label("Fork travel")).to_be_hidden()


def test_going_back_and_sending_again_makes_no_second_setup(phone: Page, server: str) -> None:
    fill_both(phone, server)
    send(phone)
    first = phone.url
    phone.go_back()
    assert phone.url.rstrip("/") == server
    fill_both(phone, server)
    send(phone)
    assert phone.url != first  # a fresh page is a fresh setup …
    phone.go_back()
    phone.reload()
    assert phone.url.rstrip("/") == server  # … and neither going back nor loading again sends anything


@pytest.mark.parametrize("path", ["/", "/find", "/about", "/privacy", "/safety", "/s/nothing"])
def test_no_page_scrolls_sideways_at_320_pixels(
    new_context: Callable[..., BrowserContext], server: str, path: str
) -> None:
    page = new_context(viewport={"width": 320, "height": 700}).new_page()
    page.goto(server + path)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    assert sideways(page) <= 0


def test_form_errors_and_result_do_not_scroll_sideways_at_320_pixels(
    new_context: Callable[..., BrowserContext], server: str
) -> None:
    page = new_context(viewport={"width": 320, "height": 700}).new_page()
    page.goto(server)
    page.get_by_label("Rider weight").fill("x" * 300)
    send(page)
    assert sideways(page) <= 0
    fill_both(page, server)
    page.get_by_label("Bike", exact=True).fill("W" * 60)
    send(page)
    expect(page.get_by_role("region", name="Fork front")).to_be_visible()
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    assert sideways(page) <= 0


@pytest.mark.long
def test_at_twice_the_text_size_nothing_is_cut(phone: Page, server: str) -> None:
    fill_both(phone, server)
    send(phone)
    expect(phone.get_by_role("region", name="Fork front")).to_be_visible()
    # The phone's own larger text: the root's size doubles, the window stays.
    phone.evaluate("document.styleSheets[0].insertRule('html { font-size: 200% }')")
    assert phone.evaluate("parseFloat(getComputedStyle(document.body).fontSize)") >= 32
    assert sideways(phone) <= 0


@pytest.mark.parametrize("width", SIZES)
def test_every_target_is_at_least_44_pixels_high(
    new_context: Callable[..., BrowserContext], server: str, width: int
) -> None:
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    page.goto(server)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    targets = page.locator("main button, main input[type=text], main summary, main .option label, header a, footer a")
    low = [
        (target.inner_text(), box["height"])
        for target in targets.all()
        if (box := target.bounding_box()) and box["height"] < 44
    ]
    assert targets.count() > 60
    assert low == []


@pytest.mark.parametrize("width", SIZES)
def test_text_is_at_least_16_pixels(new_context: Callable[..., BrowserContext], server: str, width: int) -> None:
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    fill_both(page, server)
    script = """[...document.querySelectorAll('body *')]
        .filter(e => !e.closest('svg') && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
        .map(e => [parseFloat(getComputedStyle(e).fontSize), e.textContent.slice(0, 40)])"""
    sizes: list[Any] = page.evaluate(script)
    send(page)
    sizes += page.evaluate(script)
    assert len(sizes) > 100
    assert [entry for entry in sizes if entry[0] < 15.99] == []


@pytest.mark.long
def test_letters_in_the_drawings_of_the_numbers_are_16_pixels_at_320(
    new_context: Callable[..., BrowserContext], server: str
) -> None:
    page = new_context(viewport={"width": 320, "height": 700}).new_page()
    fill_both(page, server)
    send(page)
    sizes: list[float] = page.evaluate(
        """[...document.querySelectorAll('.picture text')]
        .map(t => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a)"""
    )
    assert len(sizes) == 12  # two to a drawing, three drawings to an end
    assert min(sizes) >= 15.99


def contrast_of(page: Page, selector: str) -> list[float]:
    """Return the contrast of each match's text against the nearest painted ground (WCAG 2.2, relative luminance)."""
    return list(
        page.eval_on_selector_all(
            selector,
            """elements => {
              const rgb = text => text.match(/[\\d.]+/g).map(Number)
              const light = c => { const [r, g, b] = c.slice(0, 3).map(v => v / 255)
                .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
                return 0.2126 * r + 0.7152 * g + 0.0722 * b }
              const ground = e => { for (; e; e = e.parentElement) {
                const c = rgb(getComputedStyle(e).backgroundColor); if (c.length < 4 || c[3] === 1) return c }
                return [255, 255, 255] }
              return elements.map(e => { const a = light(rgb(getComputedStyle(e).color)), b = light(ground(e))
                return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05) })
            }""",
        )
    )


@pytest.mark.long
def test_all_text_has_a_contrast_of_seven_to_one(phone: Page, server: str) -> None:
    phone.goto(server)
    send(phone)
    found = contrast_of(phone, "main :is(label, p, li, a, legend, summary, h1, h2, .suffix, button), footer a")
    fill_both(phone, server)
    send(phone)
    figures = contrast_of(phone, ".big, .value, .second")
    assert len(figures) >= 6
    assert min(figures) >= 7
    assert min(found + contrast_of(phone, "main :is(p, li, dt, dd, a, th, td, h2, h3)")) >= 7


@pytest.mark.parametrize("width", SIZES)
def test_axe_finds_nothing_on_any_page(
    new_context: Callable[..., BrowserContext], server: str, violations: Callable[[Page], list[str]], width: int
) -> None:
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    found: dict[str, list[str]] = {}
    for path in ("/", "/find", "/about", "/privacy", "/safety", "/s/nothing"):
        page.goto(server + path)
        found[path] = violations(page)
    page.goto(server)
    page.get_by_label("Set up the shock").check()
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    found["form, all open"] = violations(page)
    send(page)
    found["form with errors"] = violations(page)
    fill_both(page, server)
    send(page)
    found["result"] = violations(page)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    found["result, all open"] = violations(page)
    page.goto(server + "/find")
    page.get_by_label("Card link or code").fill("nonsense")
    page.get_by_role("button", name="Open").click()
    found["find with errors"] = violations(page)
    assert {where: broken for where, broken in found.items() if broken} == {}


def test_no_page_reports_an_error_or_a_blocked_file(phone: Page, server: str) -> None:
    said: list[str] = []
    phone.on("console", lambda message: said.append(message.text))
    phone.on("pageerror", lambda error: said.append(str(error)))
    fill_both(phone, server)
    send(phone)
    phone.goto(f"{server}/about")
    assert said == []


def test_the_printed_page_leads_with_the_numbers_on_paper_of_a_cards_size(phone: Page, server: str) -> None:
    fill_both(phone, server)
    send(phone)
    phone.emulate_media(media="print")
    expect(phone.get_by_role("navigation")).to_be_hidden()
    expect(phone.get_by_text("Print the card")).to_be_hidden()
    expect(phone.get_by_role("region", name="Fork front")).to_be_visible()
    sheet = phone.pdf(prefer_css_page_size=True)
    boxes = re.findall(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)", sheet)
    width_mm, height_mm = (float(v) / 72 * 25.4 for v in boxes[0])
    assert (round(width_mm), round(height_mm)) == (105, 148)  # ISO 216, A6
