"""Every kind of page in a language that is a third longer, on a phone and on a desk: nothing reaches over the edge."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from flask import Flask
from playwright.sync_api import BrowserContext
from werkzeug.serving import make_server

from tests.browser.conftest import answered_whole
from tests.kept.unpack import read_manifest, unpack
from tests.pseudo.catalogue import settings, switch_on
from webapp import create_app

pytestmark = [pytest.mark.browser, pytest.mark.long]

#: Words that are cut, or reach out of what holds them; a scrolling table's own inside may be wider than its frame.
CUT: Final = """() => [...document.querySelectorAll('button, a.button, input[type=submit], summary, legend, h1, h2')]
  .filter(e => e.offsetParent && !e.closest('[aria-hidden=true]'))
  .filter(e => e.clientWidth > 1 && e.scrollWidth > e.clientWidth + 1)
  .filter(e => getComputedStyle(e).display !== 'inline')
  .map(e => e.textContent.trim())"""


@pytest.fixture
def address(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """The kept folder, served in the invented language."""
    switch_on(monkeypatch)
    holder = make_server("127.0.0.1", 0, Flask("holder"), threaded=True)
    base = f"http://127.0.0.1:{holder.server_port}"
    holder.app = answered_whole(create_app(settings(DATA=str(unpack(tmp_path / "kept")), PUBLIC_BASE_URL=base)))
    thread = threading.Thread(target=holder.serve_forever, daemon=True)
    thread.start()
    yield base
    holder.shutdown()
    thread.join(10)
    holder.server_close()


def pages() -> list[str]:
    """Return one address of every kind, with the fullest setup and record there are."""
    manifest = read_manifest()
    code, owner = manifest["setups"]["both"]["code"], manifest["setups"]["both"]["owner_key"]
    fork, records = manifest["setups"]["travel"]["code"], manifest["records"]
    return [
        *(
            "/",
            "/find",
            "/about",
            "/privacy",
            "/safety",
            "/leak",
            "/nothing-here",
            "/shop",
            "/shop/password",
            "/shop/staff",
            "/shop/tokens",
        ),
        *(
            f"/s/{code}{p}"
            for p in ("", "/history", "/compare", "/print", "/sag-check", "/bounce", "/ride", "/what-if", "/2/answer")
        ),
        *(f"/owner/{owner}{p}" for p in ("", "/renew", "/delete")),
        *("/shop/units", "/shop/units/new", "/shop/units/1", "/shop/units/import", "/shop/bench", "/shop/bench/new"),
        *("/shop/bench/checklist", f"/s/{fork}/travel", f"/shop/bench/{records['closed']}"),
        *(f"/shop/bench/{records['open']}{p}" for p in ("", "/found", "/left", "/setup", "/card")),
        *(
            f"/shop/bench/{records['open']}/steps/{key}"
            for key in ("eyes", "parts", "seals", "travel", "torque", "leak")
        ),
    ]


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_nothing_reaches_over_the_edge(address: str, new_context: Callable[..., BrowserContext], width: int) -> None:
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    page.goto(f"{address}/shop/log-in")
    for name, value in read_manifest()["shop"]["owner"].items():
        page.fill(f"[name={name}]", value)
    page.locator("main button[type=submit]").first.click()
    wrong: dict[str, Any] = {}
    for path in pages():
        page.goto(address + path)
        assert "«" in page.inner_text("body"), path
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if over > 0 or (cut := page.evaluate(CUT)):
            wrong[path] = over or cut
    assert not wrong
