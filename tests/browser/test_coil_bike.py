"""A bike with coils at both ends on a phone: from form to card to sag check, with and without JavaScript."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

pytestmark = pytest.mark.browser

ENTRIES = {
    "front.travel_mm": "150",
    "front.stocked_rates_n_per_mm": "7 8 9 10 11",
    "front.preload_mm_max": "8",
    "front.coil_stroke_mm": "170",
    "rear.stroke_mm": "55",
    "rear.wheel_travel_mm": "145",
    "rear.stocked_rates_n_per_mm": "350 400 450 500 550 lb/in",
    "rear.preload_mm_max": "3",
    "rear.coil_stroke_mm": "60",
}


def overflow(page: Page) -> int:
    """Return how far the page reaches beyond the screen [px]."""
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return int(wide)


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_coil_bike_goes_from_form_to_card_to_check(
    server: str, new_context: Callable[..., BrowserContext], violations: Callable[[Page], Any], scripts: bool
) -> None:
    page = new_context(viewport={"width": 360, "height": 740}, java_script_enabled=scripts).new_page()
    page.goto(server)
    page.get_by_label("Rider weight").fill("80")
    page.get_by_label("Enduro").check()
    page.get_by_label("Set up the shock").check()
    for name in ("front", "rear"):
        expect(page.locator(f'[name="{name}.preload_mm_max"]')).to_be_hidden()
        page.locator(f'[name="{name}.spring"][value="coil"]').check()
        expect(page.locator(f'[name="{name}.max_pressure_psi"]')).to_be_hidden()
    for name, text in ENTRIES.items():
        page.locator(f'[name="{name}"]').fill(text)
    assert overflow(page) <= 0
    page.get_by_role("button", name="Calculate and save").click()
    expect(page.get_by_text("Spring rate", exact=True).first).to_be_visible()
    main = page.locator("main").inner_text()
    assert "N/mm" in main
    assert "psi" not in main
    assert overflow(page) <= 0
    if scripts:
        assert violations(page) == []
    saved_at = page.url.partition("?")[0].partition("#")[0]
    card = page.request.get(f"{saved_at}/card.pdf")
    assert card.ok
    assert card.body().startswith(b"%PDF")
    page.goto(f"{saved_at}/sag-check")
    for name, sag in (("front", "44"), ("rear", "22")):
        assert page.locator(f'[name="{name}.spring_rate_n_per_mm"]').input_value()
        for place in range(3):
            page.locator(f'[name="{name}.readings_mm-{place}"]').fill(sag)
    assert overflow(page) <= 0
    if scripts:
        assert violations(page) == []
    page.get_by_role("button", name="Calculate spring").click()
    expect(
        page.get_by_role("heading", name="Add preload")
        .or_(page.get_by_role("heading", name="Fit another spring"))
        .first
    ).to_be_visible()
    assert overflow(page) <= 0
    if scripts:
        assert violations(page) == []


def test_a_list_of_rates_shows_whole_on_a_phone(server: str, new_context: Callable[..., BrowserContext]) -> None:
    page = new_context(viewport={"width": 360, "height": 740}).new_page()
    page.goto(server)
    page.get_by_label("Set up the shock").check()
    page.locator('[name="rear.spring"][value="coil"]').check()
    rates = page.locator('[name="rear.stocked_rates_n_per_mm"]')
    rates.fill("350, 400, 450; 500 lb/in")
    assert rates.evaluate("one => one.scrollWidth - one.clientWidth") <= 0
    expect(page.locator('[name="rear.preload_pitch_mm"]')).to_be_visible()
    assert overflow(page) <= 0
