"""Measure instead of guess, in a real browser: the fold, the pushes, and what the page shows of them."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.long]

ROWS = ((20, "43 lb", "34 lb"), (42, "77 lb", "68 lb"), (70, "128 lb", "119 lb"), (98, "200 lb", "189 lb"))


def sideways(page: Page) -> int:
    """Return how far the page is wider than its window [px]."""
    return int(page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


def fill(page: Page, server: str) -> None:
    """Fill in a fork, a scale under one wheel and four pushes."""
    page.goto(server)
    page.get_by_label("Rider weight").fill("78")
    page.get_by_label("Trail Up and down").check()
    page.get_by_label("Fork travel").fill("140")
    page.get_by_text("A bathroom scale, and four pushes").click()
    page.get_by_label("Scale under the front wheel").fill("40")
    fork = page.get_by_role("group", name="Fork", exact=True).filter(has=page.get_by_label("Push 1: compression"))
    fork.get_by_label("Pressure for the pushes").fill("80")
    for number, (x, down, up) in enumerate(ROWS, 1):
        fork.get_by_label(f"Push {number}: compression").fill(str(x))
        fork.get_by_label(f"Push {number}: going down").fill(down)
        fork.get_by_label(f"Push {number}: coming up").fill(up)


def test_a_fork_is_weighed_and_pushed_on_a_phone_without_scripts(
    new_context: Callable[..., BrowserContext], server: str, violations: Callable[[Page], list[str]]
) -> None:
    page = new_context(viewport={"width": 320, "height": 740}, java_script_enabled=False).new_page()
    fill(page, server)
    with page.expect_navigation():
        page.get_by_role("button", name="Calculate and save").click()
    page.get_by_text("Behind the numbers").click()
    page.get_by_text("Why these numbers").click()
    expect(page.get_by_text("By your pushes, this fork needs").first).to_be_visible()
    expect(page.get_by_text("% of rider, kit and bike is on the front wheel")).to_be_visible()
    assert page.locator("rect.plot-pushed").count() == 4
    address = page.url
    read = new_context(viewport={"width": 320, "height": 740}).new_page()
    read.goto(address)
    assert sideways(read) == 0
    assert violations(read) == []


def test_a_push_that_cannot_be_comes_back_open_with_everything_kept(
    new_context: Callable[..., BrowserContext], server: str, violations: Callable[[Page], list[str]]
) -> None:
    page = new_context(viewport={"width": 320, "height": 740}).new_page()
    fill(page, server)
    assert sideways(page) == 0
    assert violations(page) == []
    page.get_by_label("Push 3: going down").first.fill("60 lb")
    with page.expect_navigation():
        page.get_by_role("button", name="Calculate and save").click()
    expect(page.get_by_text("Springs push harder the further they go in").first).to_be_visible()
    expect(page.get_by_label("Push 4: coming up").first).to_have_value("189 lb")
    assert violations(page) == []
