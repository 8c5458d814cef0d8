"""The network goes while a crew works: nothing typed is lost, and numbers of every loaded bike are there."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from flask import Flask
from playwright.sync_api import Browser, BrowserContext, Page, expect
from werkzeug.serving import make_server

from tests.browser.conftest import CHROMIUM_FLAGS, answered_whole, chromium_path
from webapp.accounts.actions.open_shop import open_shop
from webapp.demo_day.actions import numbers_table
from webapp.demo_day.actions.create_bike import create_bike
from webapp.demo_day.actions.list_bikes import bike_events

pytestmark = pytest.mark.browser

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
CREW_PHONE = {"width": 390, "height": 844}
#: A name that is no loopback address: what a phone on the field's network sees.
FIELD = "field-laptop.test"
BIKE = {"front": {"travel_mm": 150, "rebound_clicks": 16, "max_pressure_psi": 140}, "riding_style": "trail"}


@dataclass
class Field:
    """A laptop with three bikes, served over plain http on loopback."""

    app: Flask
    port: int
    shop_id: int

    def done(self, bike: int) -> list[str]:
        """Return what was done to a bike, the oldest first."""
        with self.app.app_context():
            return [event.kind for event in reversed(bike_events(self.shop_id, bike))]


@pytest.fixture
def field(make_app: Callable[..., Flask], monkeypatch: pytest.MonkeyPatch) -> Iterator[Field]:
    monkeypatch.setattr(numbers_table, "WEIGHTS_KG", (60, 80, 100))
    numbers_table._tables.clear()
    holder = make_server("127.0.0.1", 0, Flask("holder"), threaded=True)
    port = holder.server_port
    hosts = f"127.0.0.1,localhost,{FIELD}"
    app = make_app(PUBLIC_BASE_URL=f"http://127.0.0.1:{port}", WTF_CSRF_ENABLED=True, TRUSTED_HOSTS=hosts)
    holder.app = answered_whole(app)
    with app.app_context():
        shop_id = open_shop("Lantern Lane Cycles", "mira", PASSWORD).shop_id
        for number in ("7", "8", "12"):
            create_bike(shop_id, {**BIKE, "number": number, "label": f"Heron {number}"})
    thread = threading.Thread(target=holder.serve_forever, daemon=True)
    thread.start()
    yield Field(app, port, shop_id)
    holder.shutdown()
    thread.join(10)
    holder.server_close()


def log_in(page: Page, address: str) -> None:
    page.goto(f"{address}/shop/bikes")
    page.locator("#login").fill("mira")
    page.locator("#password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("heading", name="Bikes", exact=True)).to_be_visible()


def await_true(page: Page, question: str) -> None:
    """Ask by the debugger until it is so: the page's own policy lets nothing else ask."""
    for _ in range(100):
        if page.evaluate(question):
            return
        page.wait_for_timeout(100)
    raise AssertionError(question)


def load_numbers(page: Page, address: str) -> None:
    """Open the page of numbers and wait until every bike is on it."""
    page.goto(f"{address}/shop/bikes/numbers")
    expect(page.get_by_text("3 of 3 bikes are ready.")).to_be_visible(timeout=30_000)


def type_and_lose(context: BrowserContext, page: Page, address: str) -> None:
    """Type a rider, lose the network, press, and see that it is not saved and still there, with numbers looked up."""
    page.goto(f"{address}/shop/bikes/1/set-up")
    page.get_by_label("Rider weight").fill("83")
    page.get_by_text("Enduro", exact=True).click()
    context.set_offline(True)
    page.get_by_role("button", name="Set up", exact=True).click()
    lost = page.locator("#not-saved")
    expect(lost).to_contain_text("Not saved.")
    expect(lost.locator(".whose")).to_have_text("Bike 7 at 80 kg, Enduro")
    expect(lost.locator(".number").first).to_have_text(re.compile(r"^Fork: \d+ psi maximum 140 psi$"))
    assert page.get_by_label("Rider weight").input_value() == "83"
    assert page.get_by_role("radio", name="Enduro").is_checked()


def send_again(context: BrowserContext, page: Page, field: Field) -> None:
    """Press once in vain, then with the network back: one event and one rider come of it all."""
    page.get_by_role("button", name="Send again").click()
    expect(page.locator("#not-saved")).to_be_visible()
    assert field.done(1) == []
    context.set_offline(False)
    page.get_by_role("button", name="Send again").click()
    page.wait_for_url("**/shop/bikes/1/change")
    assert field.done(1) == ["set_up"]
    context.set_offline(True)
    page.get_by_role("button", name="Set and out").click()
    expect(page.locator("#not-saved")).to_contain_text("Not saved.")
    context.set_offline(False)
    page.get_by_role("button", name="Send again").click()
    page.wait_for_url("**/shop/bikes?done=1")
    assert field.done(1) == ["set_up", "set"]


def look_up_offline(page: Page) -> None:
    """Look up every bike, and see its numbers with their date."""
    for number in ("7", "8", "12"):
        page.locator("#look-bike").select_option(label=f"{number} · Heron {number}")
        page.locator("#look-weight").fill("97,5")
        page.get_by_role("button", name="Look up").click()
        told = page.locator("#look-up .looked-up")
        expect(told.locator(".whose")).to_have_text(f"Bike {number} at 100 kg, Trail")
        expect(told).to_contain_text(re.compile(r"Calculated \d+ \w+ \d{4}, \d\d:\d\d UTC"))
        expect(told.locator(".number").first).to_have_text(re.compile(r"^Fork: \d+ psi maximum 140 psi$"))
        assert told.locator(".number").first.evaluate("one => parseFloat(getComputedStyle(one).fontSize)") >= 20
    page.locator("#look-weight").fill("60")  # numbers of another rider do not stay in sight
    expect(told.locator("p")).to_have_count(0)
    page.locator("#look-bike").select_option("")
    page.get_by_role("button", name="Look up").click()
    expect(told).to_have_text("Choose a bike.")


def test_a_service_worker_answers_offline_and_goes_at_the_log_out(
    new_context: Callable[..., BrowserContext], field: Field
) -> None:
    context, address = new_context(viewport=CREW_PHONE), f"http://127.0.0.1:{field.port}"
    page = context.new_page()
    log_in(page, address)
    await_true(page, "navigator.serviceWorker.controller !== null")
    load_numbers(page, address)
    type_and_lose(context, page, address)
    send_again(context, page, field)

    context.set_offline(True)
    page.goto(f"{address}/shop/bikes/2/set-up")  # which the worker answers with the page of numbers, at this bike
    assert page.locator("#look-bike").input_value() == "2"
    look_up_offline(page)
    kept = page.evaluate(
        "async () => { const found = []; for (const name of await caches.keys()) for (const one of "
        "await (await caches.open(name)).matchAll()) found.push([one.url, await one.text()]); return found; }"
    )
    assert sum("/shop/bikes/numbers" in url for url, _text in kept) == 1
    assert all("/static/" in url or url.endswith("/shop/bikes/numbers") for url, _text in kept)
    assert not any("mira" in text for _url, text in kept)
    context.set_offline(False)

    page.goto(f"{address}/shop")
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("button", name="Log in")).to_be_visible()
    await_true(page, "async () => (await caches.keys()).length === 0")
    assert page.evaluate("async () => (await navigator.serviceWorker.getRegistrations()).length") == 0


@pytest.mark.long
@pytest.mark.parametrize("width", [360, 1280])
def test_the_pages_of_the_day_are_accessible_and_fit(
    new_context: Callable[..., BrowserContext], violations: Callable[[Page], list[str]], field: Field, width: int
) -> None:
    context, address = new_context(viewport={"width": width, "height": 800}), f"http://127.0.0.1:{field.port}"
    page = context.new_page()
    log_in(page, address)
    load_numbers(page, address)
    for path in ("numbers?print=1", "day", "day/erase"):
        page.goto(f"{address}/shop/bikes/{path}")
        assert violations(page) == [], path
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, path
    type_and_lose(context, page, address)
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    again = page.get_by_role("button", name="Send again").bounding_box()
    assert again is not None
    assert again["height"] >= 44


@pytest.mark.long
def test_every_table_is_printed(new_context: Callable[..., BrowserContext], field: Field) -> None:
    address = f"http://127.0.0.1:{field.port}"
    page = new_context(viewport=CREW_PHONE, java_script_enabled=False).new_page()
    log_in(page, address)
    for _bike in range(3):
        page.goto(f"{address}/shop/bikes/numbers?print=1")
    page.emulate_media(media="print")
    assert not page.locator(".crew-top").is_visible()
    tables = page.locator(".numbers")
    assert [tables.nth(n).is_visible() for n in range(tables.count())] == [True] * 15


@pytest.mark.long
def test_plain_http_has_no_worker_and_its_pages_answer_offline(browser: Browser, field: Field) -> None:
    rules = f"--host-resolver-rules=MAP {FIELD} 127.0.0.1"
    path = chromium_path(browser.browser_type)
    chromium = browser.browser_type.launch(executable_path=path, args=[*CHROMIUM_FLAGS, rules])
    context, address = chromium.new_context(viewport=CREW_PHONE), f"http://{FIELD}:{field.port}"
    context.set_default_timeout(10_000)
    numbers, page = context.new_page(), context.new_page()
    log_in(page, address)
    assert page.evaluate("[window.isSecureContext, 'serviceWorker' in navigator]") == [False, False]
    load_numbers(numbers, address)
    type_and_lose(context, page, address)
    look_up_offline(numbers)
    send_again(context, page, field)
    chromium.close()


@pytest.mark.long
def test_without_scripts_loading_again_sends_what_was_typed(
    new_context: Callable[..., BrowserContext], field: Field
) -> None:
    context, address = new_context(viewport=CREW_PHONE, java_script_enabled=False), f"http://127.0.0.1:{field.port}"
    page = context.new_page()
    log_in(page, address)
    page.goto(f"{address}/shop/bikes/1/set-up")
    page.get_by_label("Rider weight").fill("83")
    page.get_by_text("Enduro", exact=True).click()
    context.set_offline(True)
    page.get_by_role("button", name="Set up", exact=True).click(no_wait_after=True)
    page.wait_for_timeout(500)
    assert field.done(1) == []
    context.set_offline(False)
    page.reload()
    expect(page.get_by_role("button", name="Set and out")).to_be_visible()
    assert field.done(1) == ["set_up"]
