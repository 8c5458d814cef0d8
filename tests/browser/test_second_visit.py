"""The second visit in a browser: a returning bike in few presses, the lists, the card, and a server that is away."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import APIResponse, BrowserContext, Page, Route, expect

from tests.browser.test_counts import RECORD, _look_over, at_home, short_code

__all__ = ["short_code"]

pytestmark = [pytest.mark.browser, pytest.mark.long]


def opened_record(page: Page, server: str, code: str) -> str:
    """Take a bike in for its lower legs, tick what comes first, and return the address of its record."""
    page.goto(f"{server}/shop")
    page.locator("#q").fill(code)
    page.get_by_role("button", name="Find").click()
    page.locator('[id="service_kind-lower_legs"]').click()
    page.get_by_role("button", name="Start the visit").click()
    page.wait_for_url(RECORD)
    record = page.url.split("#")[0]
    for key in ("eyes", "release", "release_again"):
        page.locator(f'[id="{key}.done"]').click()
    return record


def closed_record(page: Page, server: str, code: str) -> str:
    """Take a bike through a visit of lower legs, close it, and return the address of its record."""
    record = opened_record(page, server, code)
    page.locator('[name="left.pressure_psi"]').fill("80")
    page.locator('[name="left.next_due_hours"]').fill("50")
    page.get_by_role("button", name="Save, close and create the card").click()
    expect(page.get_by_role("heading", name="Print the card")).to_be_visible()
    return record


def test_a_press_right_after_typing_does_not_meet_its_own_change(
    new_context: Callable[..., BrowserContext], server: str, short_code: str
) -> None:
    page = at_home(new_context, server).page
    opened_record(page, server, short_code)
    late: list[tuple[Route, APIResponse]] = []

    def hold_back(route: Route) -> None:
        """Let the server save what is sent as it is typed, but the page not hear of it yet."""
        if route.request.headers.get("x-as-you-go"):
            late.append((route, route.fetch()))
        else:
            route.continue_()

    page.route("**/sheet", hold_back)
    page.locator('[name="left.pressure_psi"]').fill("80")
    page.locator('[name="left.pressure_psi"]').press("Tab")
    while not late:
        page.wait_for_timeout(100)
    page.locator('[name="left.next_due_hours"]').fill("50")
    page.get_by_role("button", name="Save, close and create the card").click(no_wait_after=True)
    page.wait_for_timeout(1000)
    for route, answer in late:
        route.fulfill(response=answer)
    expect(page.get_by_role("heading", name="Print the card")).to_be_visible()


def test_a_returning_bike_takes_a_code_and_two_presses(
    new_context: Callable[..., BrowserContext], server: str, short_code: str
) -> None:
    walk = at_home(new_context, server)
    walk.type("q", short_code)
    walk.click(walk.page.get_by_role("button", name="Find"))
    expect(walk.page.get_by_role("heading", name="Heron 4, green")).to_be_visible()
    walk.click(walk.page.get_by_role("button", name="Start the visit"))
    expect(walk.page.get_by_text("This bike has a setup")).to_be_visible()
    print("returning bike:", walk.total)
    assert walk.total == (2, 6, 2)


@pytest.mark.parametrize("width", [360, 1280])
def test_every_page_of_the_second_visit_is_accessible_and_fits(
    new_context: Callable[..., BrowserContext],
    violations: Callable[[Page], list[str]],
    server: str,
    short_code: str,
    width: int,
) -> None:
    context = new_context(viewport={"width": width, "height": 800})
    page = at_home(lambda **_more: context, server).page
    record = closed_record(page, server, short_code)
    _look_over(page, violations)
    bike = f"/shop/bench/bike/{short_code}"
    for path in ("/shop", "/shop/bench", "/shop/bench?show=all", "/shop/bench/due", "/shop/settings", bike):
        page.goto(f"{server}{path}")
        _look_over(page, violations)
        for row in page.locator(".records tbody tr").all():
            box = row.bounding_box()
            assert box is not None
            assert box["height"] >= 44, path
        small = page.evaluate(
            "[...document.querySelectorAll('main .tabs a, main .records a')].filter(a => a.offsetHeight < 44).length"
        )
        assert small == 0, path
    page.goto(record)
    _look_over(page, violations)
    page.get_by_role("link", name="Add an addendum").click()
    _look_over(page, violations)
    page.locator('[name="note"]').fill("Checked again after a ride")
    page.get_by_role("button").last.click()
    expect(page.get_by_text("Checked again after a ride").first).to_be_visible()


@pytest.mark.parametrize(
    ("path", "name", "button"),
    [
        ("/shop/bench/new", "bike_label", "Start the record"),
        ("/shop/settings", "phone", "Save the settings"),
        ("/shop/settings", "initials", "Save your initials"),
        ("bike", "customer_reference", "Start the visit"),
        ("addendum", "note", "Add"),
    ],
)
def test_a_server_that_is_away_keeps_what_was_typed_and_one_press_sends_it_again(
    new_context: Callable[..., BrowserContext], server: str, short_code: str, path: str, name: str, button: str
) -> None:
    context = new_context(viewport={"width": 360, "height": 740})
    page = at_home(lambda **_more: context, server).page
    if path == "addendum":
        path = closed_record(page, server, short_code).removeprefix(server) + "/addendum"
    page.goto(server + (f"/shop/bench/bike/{short_code}" if path == "bike" else path))
    page.locator(f'[name="{name}"]').fill("77")
    context.route("**/*", lambda route: route.abort())
    press = page.get_by_role("button", name=button).last
    press.click()
    expect(page.get_by_role("alert")).to_contain_text("Not saved: the server does not answer")
    assert page.locator(f'[name="{name}"]').input_value() == "77"
    context.unroute("**/*")
    with page.expect_response(lambda answer: answer.request.method == "POST") as sent:
        press.click()
    assert sent.value.status == 303


def test_the_sheet_is_sent_again_after_the_server_was_away(
    new_context: Callable[..., BrowserContext], server: str, short_code: str
) -> None:
    context = new_context(viewport={"width": 360, "height": 740})
    page = at_home(lambda **_more: context, server).page
    page.clock.install()
    page.goto(f"{server}/shop/bench/bike/{short_code}")
    page.get_by_role("button", name="Start the visit").click()
    page.wait_for_url(RECORD)
    record = page.url
    context.route("**/*", lambda route: route.abort())
    page.locator('[name="left.pressure_psi"]').fill("81")
    page.locator('[name="left.pressure_psi"]').blur()
    expect(page.locator("#saved-as-you-go")).to_contain_text("What you typed is kept on this page")
    context.unroute("**/*")
    page.clock.fast_forward(30_000)
    expect(page.locator("#saved-as-you-go")).to_have_text("Saved.")
    page.goto(record)
    assert page.locator('[name="left.pressure_psi"]').input_value() == "81"
