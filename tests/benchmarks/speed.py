"""The rows of the speed table that one visitor sees: pages, saves, a sag check and cards; and what all rows share."""

from __future__ import annotations

import io
import re
import sqlite3
import uuid
from pathlib import Path
from typing import Any

import pikepdf
from flask import Flask, render_template
from flask.testing import FlaskClient
from weasyprint import HTML

from setup_rules import read_request
from webapp import create_app
from webapp.cards.rendering.card_cache import card_cache_of
from webapp.cards.rendering.renderer import warm_up
from webapp.ground import urls
from webapp.ground.drawing import start_pictures
from webapp.ground.drawing.force_plot import force_plot
from webapp.ground.extensions import limit_links
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.submission_key import new_key
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.forms.setup_form import SetupForm
from webapp.setups.pages.setup_page import present_setup
from webapp.setups.revision import CardTexts, Revision

from .measuring import Row, in_turns, summed_up

EMPTY_PAGE = "<!doctype html><html lang='en'><title>Card</title><style>@page{size:A6}</style><p>Card"
FORM = {
    "rider_mass_kg": "180 lb",
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "140",
    "front.stanchion_mm": "34",
    "rear.wanted": "y",
    "rear.stroke_mm": "55",
    "rear.leverage_start": "2.9",
    "rear.leverage_end": "2.4",
}
_QUICK = frozenset({"bare", "unit fields", "card again", "template page"})

#: Limits as a server has them, but so wide that a benchmark never reaches them.
_RATES = ("RATE_CREATE", "RATE_LINKS", "RATE_CARDS")
_COUNTED = {"RATELIMIT_ENABLED": True, **dict.fromkeys(_RATES, "9999999 per minute")}


def make_app(folder: Path, **settings: Any) -> Flask:
    """Return an app on a folder of its own, without rate limits."""
    given = {"DATA": str(folder), "PUBLIC_BASE_URL": "http://localhost", "SECRET_KEY": "only-for-tests-0123456789"}
    return create_app({**given, "TESTING": True, "RATELIMIT_ENABLED": False, **settings})


def bare_client() -> FlaskClient:
    """Return a client of an app whose one view answers a few bytes: the floor of every page."""
    bare = Flask("bare")
    bare.add_url_rule("/", view_func=lambda: "ok")
    return bare.test_client()


def raw_insert(folder: Path, body: str) -> Any:
    """Return a job that saves `body` durably with nothing between: SQLite, write-ahead log, full synchronous."""
    connection = sqlite3.connect(folder / "raw.db", isolation_level=None)
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("CREATE TABLE IF NOT EXISTS raw (id INTEGER PRIMARY KEY, body TEXT)")
    return lambda: connection.execute("INSERT INTO raw (body) VALUES (?)", (body,))


def page_from_memory(app: Flask, saved: list[Revision]) -> None:
    """Give `app` a page that is a saved setup's own, limits and headers included, but asks no database."""

    @limit_links
    def result() -> str:
        (held,) = saved
        return render_template(
            "setups/show.html",
            page=present_setup(held),
            draw=force_plot,
            pictures=start_pictures,
            entry_key=new_key(),
            link=urls.setup_url(held.code),
            link_is_local=urls.is_local_address(),
            owner_link=None,
        )

    app.add_url_rule("/result-from-memory", view_func=result)


def page_rows(folder: Path, request: dict[str, Any], rounds: int) -> list[Row]:
    """Measure the form, saving, the result page, a sag check and the card, beside their floors."""
    app = make_app(folder / "pages", **_COUNTED)
    held: list[Revision] = []
    page_from_memory(app, held)
    client, browser, bare = app.test_client(), app.test_client(), bare_client()
    with app.app_context():
        code = create_setup(read_request(request), CardTexts("Bluebell 140, number 7")).saved.code
        held.append(find_setup(code))
    token = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', browser.get("/").get_data(as_text=True))
    assert token is not None
    form_data = {**FORM, "csrf_token": token.group(1)}
    pressure = client.get(f"/api/v1/setups/{code}").get_json()["front"]["pressure_psi"]
    check = {"end": "front", "pressure_psi": pressure, "readings_mm": [33, 31, 32]}
    codes = iter([client.post("/api/v1/setups", json=request).get_json()["code"] for _ in range(rounds + 2)])

    def expect(answer: Any, status: int) -> None:
        assert answer.status_code == status, (answer.status_code, answer.get_data(as_text=True)[:500])

    def unit_fields() -> None:
        for field, text in typed:
            field.process_formdata([text])

    def first_card() -> None:
        card_cache_of(app).clear()
        expect(client.get(f"/s/{code}/card.pdf"), 200)

    with app.test_request_context("/"):
        form = SetupForm()
        ends = (form.front.form, form.rear.form)
        typed = [(f, "12") for part in (form, *ends) for f in part if isinstance(f, QuantityField)]
    warm_up(app)
    jobs = {
        "bare": lambda: bare.get("/"),
        "template page": lambda: expect(client.get("/about"), 200),
        "form": lambda: expect(client.get("/"), 200),
        "unit fields": unit_fields,
        "raw insert": raw_insert(folder, "x" * 9000),
        "form post": lambda: expect(browser.post("/", data={**form_data, "bike_label": uuid.uuid4().hex}), 303),
        "json post": lambda: expect(client.post("/api/v1/setups", json=request), 201),
        "result": lambda: expect(client.get(f"/s/{code}"), 200),
        "result from memory": lambda: expect(client.get("/result-from-memory"), 200),
        "sag check": lambda: expect(client.post(f"/api/v1/setups/{next(codes)}/sag-checks", json=check), 201),
        "empty A6": lambda: HTML(string=EMPTY_PAGE).write_pdf(),
        "first card": first_card,
        "card again": lambda: expect(client.get(f"/s/{code}/card.pdf"), 200),
    }
    t = summed_up(in_turns(jobs, rounds, _QUICK))
    with pikepdf.open(io.BytesIO(client.get(f"/s/{code}/card.pdf").data)) as card:
        assert len(card.pages) == 1
        assert "/StructTreeRoot" in card.Root
    save_floor = t["template page"].median + t["raw insert"].median
    return [
        Row("bare Flask view", t["bare"], 1.0, "1 (floor)"),
        Row("template page / bare view", t["template page"], t["template page"] / t["bare"], "-"),
        Row("form GET / template page", t["form"], t["form"] / t["template page"], "≤ 1.5"),
        Row("form GET / bare view", t["form"], t["form"] / t["bare"], "≤ 6"),
        Row(f"all {len(typed)} unit fields / bare view", t["unit fields"], t["unit fields"] / t["bare"], "≤ 0.2"),
        Row("one durable raw insert / bare view", t["raw insert"], t["raw insert"] / t["bare"], "-"),
        Row("form POST / (template page + raw insert)", t["form post"], t["form post"] / save_floor, "≤ 2"),
        Row("JSON POST / (template page + raw insert)", t["json post"], t["json post"] / save_floor, "≤ 2"),
        Row("result GET / same without database", t["result"], t["result"] / t["result from memory"], "≤ 1.5"),
        Row("sag check POST / bare view", t["sag check"], t["sag check"] / t["bare"], "≤ 60 (and ≤ 30 ms)"),
        Row("empty A6 page / bare view", t["empty A6"], t["empty A6"] / t["bare"], "-"),
        Row("card, first time, tagged / empty A6 page", t["first card"], t["first card"] / t["empty A6"], "≤ 6"),
        Row("card again / bare view", t["card again"], t["card again"] / t["bare"], "≤ 1.5"),
    ]
