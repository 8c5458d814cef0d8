"""How right we are in a real browser: checks, the switch on and back, no sideways scroll, by the rules of axe."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from playwright.sync_api import BrowserContext, Page, expect

from setup_rules import SagCheck, read_request
from webapp.accounts.actions.open_shop import open_shop
from webapp.checks.actions.check_sag import check_sags
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.shop_setups import register_setup

pytestmark = pytest.mark.browser

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
SIZES = [pytest.param(360, id="phone"), pytest.param(1280, id="desktop", marks=pytest.mark.long)]


def check_bikes(app: Flask) -> None:
    """Open a shop with eight checked forks and as many shocks, all softer than expected."""
    with app.app_context():
        owner = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        for place in range(8):
            request = read_request(
                {
                    "rider_mass_kg": 70 + place,
                    "riding_style": "trail",
                    "front": {"travel_mm": 150, "stanchion_mm": 36},
                    "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.5},
                }
            )
            saved = create_setup(request).saved
            register_setup(owner, saved.code)
            assert saved.setup.front is not None
            assert saved.setup.rear is not None
            checks = [
                SagCheck(end="front", pressure_pa=saved.setup.front.pressure_pa, readings_mm=(40.0 + place % 3,)),
                SagCheck(end="rear", pressure_pa=saved.setup.rear.pressure_pa, readings_mm=(18.0 + place % 2,)),
            ]
            check_sags(saved.code, tuple(checks))


@pytest.mark.parametrize("width", SIZES)
def test_the_owner_lets_the_checks_count_and_goes_back(
    server: str,
    make_app: Callable[..., Flask],
    new_context: Callable[..., BrowserContext],
    violations: Callable[[Page], Any],
    width: int,
) -> None:
    check_bikes(make_app(PUBLIC_BASE_URL=server))
    page = new_context(viewport={"width": width, "height": 800}).new_page()

    def look() -> None:
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width

    page.goto(f"{server}/shop")
    page.get_by_label("Login").fill("mira")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.get_by_role("link", name="How right we are").click()
    expect(page.get_by_role("heading", name="How often the range held")).to_be_visible()
    look()
    page.get_by_role("button", name="Use our checks").click()
    expect(page.get_by_text("On. New setups of your shop start from your own checks.")).to_be_visible()
    page.get_by_role("button", name="Use the estimates again").click()
    expect(page.get_by_text("Off. New setups of your shop start from our estimates.")).to_be_visible()
    look()
    page.get_by_role("button", name="Go back to this").click()
    expect(page.get_by_text("On. New setups")).to_be_visible()
    with page.expect_download() as download:
        page.get_by_role("link", name="Download the file (CSV)").click()
    assert download.value.suggested_filename == "calibration.csv"
