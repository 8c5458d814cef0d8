"""The shop in a real browser: log-in, unit with chart, setup from it, staff; at both widths, by the rules of axe."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from playwright.sync_api import BrowserContext, Page, expect

from webapp.accounts.actions.open_shop import open_shop

pytestmark = pytest.mark.browser

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
SIZES = [pytest.param(360, id="phone"), pytest.param(1280, id="desktop", marks=pytest.mark.long)]


def look(page: Page, violations: Callable[[Page], Any]) -> None:
    """Hold a page to the rules: nothing for axe to name, no sideways scroll."""
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]  # type: ignore[index]


@pytest.mark.parametrize("width", SIZES)
def test_a_unit_with_its_chart_sets_the_start_of_a_setup(
    server: str,
    make_app: Callable[..., Flask],
    new_context: Callable[..., BrowserContext],
    violations: Callable[[Page], Any],
    width: int,
) -> None:
    with make_app(PUBLIC_BASE_URL=server).app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    page.goto(f"{server}/shop")
    look(page, violations)
    page.get_by_label("Login").fill("mira")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("heading", name="Lantern Lane Cycles")).to_be_visible()
    look(page, violations)
    page.get_by_role("link", name="Forks and shocks").click()
    look(page, violations)
    page.get_by_role("link", name="Add a fork or shock").click()
    page.get_by_label("Name").fill("Fen 34")
    page.get_by_label("Travels or strokes").fill("120 140 150")
    page.get_by_label("Stanchion diameter").fill("34")
    page.locator("[name='chart1.travel_mm']").fill("140")
    page.locator("[name='chart1.rows']").fill("60 70\n55 60")
    page.get_by_role("button", name="Save fork or shock").click()
    expect(page.locator("#problems")).to_contain_text("Row 2")
    look(page, violations)
    page.locator("[name='chart1.rows']").fill("55 60\n80\t88\n105 119")
    page.get_by_role("button", name="Save fork or shock").click()
    expect(page.get_by_role("status")).to_contain_text("Saved")
    look(page, violations)
    for path in ("/shop/units/import", "/shop/staff", "/shop/tokens"):
        page.goto(f"{server}{path}")
        look(page, violations)
    page.goto(server)
    look(page, violations)
    page.get_by_label("Rider weight").fill("78")
    page.get_by_label("Trail Up and down").check()
    page.get_by_label("Fork from the library").fill("fen 34")
    page.get_by_label("Fork travel").fill("140")
    page.get_by_label("Bike", exact=True).fill("Heron 4")
    page.get_by_role("button", name="Calculate and save").click()
    page.get_by_text("Why these numbers").click()
    expect(page.get_by_text("The chart gives")).to_be_visible()
    page.get_by_role("link", name="Shop").click()
    expect(page.get_by_role("link", name="Heron 4")).to_be_visible()
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("button", name="Log in")).to_be_visible()
