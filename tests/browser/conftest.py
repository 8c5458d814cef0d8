"""A real Chromium against a real server, and axe-core for the accessibility rules."""

from __future__ import annotations

import contextlib
import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from playwright.sync_api import Browser, BrowserContext, BrowserType, Page, sync_playwright
from werkzeug.serving import make_server

CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
#: Standards and good practice that every page has to meet.
AXE_RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PHONE = {"width": 360, "height": 740}
#: How much later every script arrives [s]. With 0.6 a test fails that takes a heading in sight for a page that is
#: ready; without, it fails on a busy machine, one time in many.
LATE_SCRIPTS_S = float(os.environ.get("SETUP_CARD_LATE_SCRIPTS", "0"))


def missing(what: str) -> Any:
    """Skip with the reason, but fail where everything has to be there."""
    if os.environ.get("CI", "").lower() == "true":
        pytest.fail(what)
    pytest.skip(what)


@pytest.fixture(scope="session")
def axe_source() -> str:
    """The text of axe-core, from SETUP_CARD_AXE or an `npm install axe-core` below .ci."""
    root = Path(__file__).parents[2]
    places = [Path(p) for p in [os.environ.get("SETUP_CARD_AXE", "")] if p]
    places.append(root / ".ci" / "node_modules" / "axe-core" / "axe.min.js")
    for place in places:
        if place.is_file():
            return place.read_text(encoding="utf-8")
    return str(missing("axe-core was not found: set SETUP_CARD_AXE or install it below .ci with npm."))


def chromium_path(kind: BrowserType) -> str:
    """Return where Chromium is: the system's, without its windows where that is installed, or playwright's own."""
    named = map(shutil.which, ("chromium-headless-shell", "chromium", "chromium-browser"))
    path = next(filter(None, named), kind.executable_path)
    if not Path(path).is_file():
        missing("No Chromium was found: install it, or run `playwright install chromium`.")
    return path


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium without a window: half the processor's time of one that only does not show it."""
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=chromium_path(playwright.chromium), args=CHROMIUM_FLAGS)
        yield chromium
        chromium.close()


def answered_whole(app: Flask) -> Callable[..., list[bytes]]:
    """Answer from memory: the test server leaves a file open whose browser hangs up, as one does that goes away."""

    def answer(environ: Any, start_response: Any) -> list[bytes]:
        if environ["PATH_INFO"].endswith(".js"):
            time.sleep(LATE_SCRIPTS_S)
        with contextlib.closing(app(environ, start_response)) as parts:
            return [b"".join(parts)]

    return answer


@pytest.fixture
def server(make_app: Callable[..., Flask]) -> Iterator[str]:
    """The address of the tool, served as on a laptop: plain http, form tokens on."""
    holder = make_server("127.0.0.1", 0, Flask("holder"), threaded=True)
    address = f"http://127.0.0.1:{holder.server_port}"
    holder.app = answered_whole(make_app(PUBLIC_BASE_URL=address, WTF_CSRF_ENABLED=True))
    thread = threading.Thread(target=holder.serve_forever, daemon=True)
    thread.start()
    yield address
    holder.shutdown()
    thread.join(10)
    holder.server_close()


@pytest.fixture
def new_context(browser: Browser) -> Iterator[Callable[..., BrowserContext]]:
    """Open separate browsers, each with its own cookies; all are closed at the end."""
    opened: list[BrowserContext] = []

    def open_context(**settings: Any) -> BrowserContext:
        context = browser.new_context(**{"viewport": PHONE, "reduced_motion": "reduce", **settings})
        context.set_default_timeout(10_000)
        opened.append(context)
        return context

    yield open_context
    for context in opened:
        context.close()


@pytest.fixture
def phone(new_context: Callable[..., BrowserContext]) -> Page:
    """A phone's browser."""
    return new_context(viewport=PHONE).new_page()


@pytest.fixture
def violations(axe_source: str) -> Callable[[Page], list[str]]:
    """Ask axe about a page: one line for each broken rule."""

    def ask(page: Page) -> list[str]:
        page.wait_for_load_state()  # without its style sheet every page is in the wrong
        # Evaluated by the debugger, so that the page's own policy against scripts stays in force.
        page.evaluate(axe_source)
        # Of what passes no more than the number comes back: the rest takes as long to send as to find.
        found = page.evaluate(
            "rules => axe.run(document, {runOnly: rules, resultTypes: ['violations']})"
            ".then(all => ({passes: all.passes.length, violations: all.violations}))",
            AXE_RULES,
        )
        assert found["passes"] > 0, "axe looked at nothing"
        return [f"{v['id']}: {v['help']} {[n['target'] for n in v['nodes']]}" for v in found["violations"]]

    return ask
