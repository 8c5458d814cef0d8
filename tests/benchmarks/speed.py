"""The rows of the speed table: pages, saves, checks, cards, start-up and a growing database."""

from __future__ import annotations

import itertools
import os
import re
import sqlite3
import subprocess
import sys
import threading
import time
import uuid
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from flask import Flask, render_template
from flask.testing import FlaskClient
from weasyprint import HTML

from setup_rules import read_request
from webapp import create_app, links
from webapp.codes import new_code
from webapp.forms.correction_form import new_key
from webapp.forms.quantity import QuantityField
from webapp.forms.setup_form import SetupForm
from webapp.presenters.setup_page import present_setup
from webapp.rendering.plot import force_plot
from webapp.rendering.printer import warm_up
from webapp.rendering.shelf import shelf
from webapp.services import create_setup, find_setup

from .measuring import Row, in_turns, medians, share

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

COLD_FLOOR = "import flask, sqlalchemy, pint; pint.UnitRegistry()"
COLD_APP = """
import sys
from webapp import create_app, links
app = create_app({"DATA": sys.argv[1], "PUBLIC_BASE_URL": "https://cards.example", "SECRET_KEY": "only-for-tests-0123"})
assert app.test_client().get("/", base_url="https://cards.example").status_code == 200
"""


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


def page_rows(folder: Path, request: dict[str, Any], rounds: int) -> list[Row]:
    """Measure the form, saving, the result page, a sag check and the card, beside their floors."""
    app = make_app(folder / "pages", WTF_CSRF_ENABLED=False)
    client, bare = app.test_client(), bare_client()
    with app.app_context():
        code = create_setup(read_request(request), bike_label="Bluebell 140, number 7").saved.code
        saved = find_setup(code)
    pressure = client.get(f"/api/v1/setups/{code}").get_json()["front"]["pressure_psi"]
    check = {"end": "front", "pressure_psi": pressure, "readings_mm": [33, 31, 32]}
    codes = iter([client.post("/api/v1/setups", json=request).get_json()["code"] for _ in range(rounds + 2)])
    context = app.test_request_context(f"/s/{code}")

    def expect(answer: Any, status: int) -> None:
        assert answer.status_code == status, (answer.status_code, answer.get_data(as_text=True)[:500])

    def page_without_database() -> None:
        with context:
            page = present_setup(saved)
            link = links.setup_url(saved.code)
            extra = {
                "entry_key": new_key(),
                "link": link,
                "link_is_local": links.is_local_address(),
                "owner_link": None,
            }
            assert render_template("setups/show.html", page=page, draw=force_plot, **extra)

    def unit_fields() -> None:
        for field, text in typed:
            field.process_formdata([text])

    def first_card() -> None:
        shelf.clear()
        expect(client.get(f"/s/{code}/card.pdf"), 200)

    with context:
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
        "form post": lambda: expect(client.post("/", data={**FORM, "bike_label": uuid.uuid4().hex}), 303),
        "json post": lambda: expect(client.post("/api/v1/setups", json=request), 201),
        "result": lambda: expect(client.get(f"/s/{code}"), 200),
        "result without database": page_without_database,
        "sag check": lambda: expect(client.post(f"/api/v1/setups/{next(codes)}/sag-checks", json=check), 201),
        "empty A6": lambda: HTML(string=EMPTY_PAGE).write_pdf(),
        "first card": first_card,
        "card again": lambda: expect(client.get(f"/s/{code}/card.pdf"), 200),
    }
    t = medians(in_turns(jobs, rounds, _QUICK))
    save_floor = t["template page"] + t["raw insert"]
    return [
        Row("bare Flask view", t["bare"], 1.0, "1 (floor)"),
        Row("template page / bare view", t["template page"], t["template page"] / t["bare"], "-"),
        Row("form GET / template page", t["form"], t["form"] / t["template page"], "≤ 1.5"),
        Row("form GET / bare view", t["form"], t["form"] / t["bare"], "≤ 6"),
        Row(f"all {len(typed)} unit fields / bare view", t["unit fields"], t["unit fields"] / t["bare"], "≤ 0.2"),
        Row("one durable raw insert / bare view", t["raw insert"], t["raw insert"] / t["bare"], "-"),
        Row("form POST / (template page + raw insert)", t["form post"], t["form post"] / save_floor, "≤ 2"),
        Row("JSON POST / (template page + raw insert)", t["json post"], t["json post"] / save_floor, "≤ 2"),
        Row("result GET / same without database", t["result"], t["result"] / t["result without database"], "≤ 1.5"),
        Row("sag check POST / bare view", t["sag check"], t["sag check"] / t["bare"], "≤ 60 (and ≤ 30 ms)"),
        Row("empty A6 page / bare view", t["empty A6"], t["empty A6"] / t["bare"], "-"),
        Row("card, first time, tagged / empty A6 page", t["first card"], t["first card"] / t["empty A6"], "≤ 6"),
        Row("card again / bare view", t["card again"], t["card again"] / t["bare"], "≤ 1.5"),
    ]


def crowd_rows(folder: Path, request: dict[str, Any], rounds: int) -> list[Row]:
    """Measure a plain page while cards print, and saves by four clients at once."""
    app = make_app(folder / "crowd", WTF_CSRF_ENABLED=False)
    client = app.test_client()
    code = client.post("/api/v1/setups", json=request).get_json()["code"]
    warm_up(app)

    def pages() -> list[float]:
        times = []
        for _ in range(12 * rounds):
            begun = time.perf_counter()
            assert client.get("/about").status_code == 200
            times.append(time.perf_counter() - begun)
        return times

    done = threading.Event()

    def print_cards() -> None:
        printing = app.test_client()
        while not done.is_set():
            shelf.clear()
            printing.get(f"/s/{code}/card.pdf")

    def save(_: int) -> float:
        begun = time.perf_counter()
        assert app.test_client().post("/api/v1/setups", json=request).status_code == 201
        return time.perf_counter() - begun

    idle = pages()
    printer = threading.Thread(target=print_cards)
    printer.start()
    busy = pages()
    done.set()
    printer.join()
    with ThreadPoolExecutor(4) as pool:
        saves = list(pool.map(save, range(8 * rounds)))
    return [
        Row("p99 of a page while cards print / idle", share(busy, 0.99), share(busy, 0.99) / share(idle, 0.99), "≤ 5"),
        Row("save, four clients: p99 / p50", share(saves, 0.99), share(saves, 0.99) / share(saves, 0.5), "≤ 5"),
    ]


def start_rows(folder: Path, rounds: int) -> list[Row]:
    """Measure a start to its first answer in fresh processes, beside importing the libraries alone."""
    spare = itertools.count()

    def fresh(script: str, *words: str) -> None:
        subprocess.run([sys.executable, "-c", script, *words], check=True, env={**os.environ, "PYTHONWARNINGS": ""})

    started = folder / "start"
    jobs = {
        "floor": lambda: fresh(COLD_FLOOR),
        "again": lambda: fresh(COLD_APP, str(started)),
        "very first": lambda: fresh(COLD_APP, str(folder / f"start-{next(spare)}")),
    }
    t = medians(in_turns(jobs, max(2, rounds // 6)))
    floor = "importing Flask, SQLAlchemy and pint"
    return [
        Row(f"cold start to first answer / {floor}", t["again"], t["again"] / t["floor"], "≤ 1.5"),
        Row(f"the same, making the database / {floor}", t["very first"], t["very first"] / t["floor"], "-"),
    ]


def growth_rows(folder: Path, request: dict[str, Any], sizes: tuple[int, ...], rounds: int) -> list[Row]:
    """Measure the 95th percentile of opening a setup as the number of stored ones grows."""
    app = make_app(folder / "growth", WTF_CSRF_ENABLED=False)
    client = app.test_client()
    first = client.post("/api/v1/setups", json=request).get_json()["code"]
    path = next((folder / "growth").glob("*.db"))
    rows: list[Row] = []
    for size in sizes:
        some = _grow(path, first, size)
        times = []
        for code in itertools.islice(itertools.cycle(some), 20 * rounds):
            begun = time.perf_counter()
            assert client.get(f"/api/v1/setups/{code}").status_code == 200
            times.append(time.perf_counter() - begun)
        p95 = share(times, 0.95)
        rows.append(Row(f"opening one of {size:,} setups: p95", p95, p95 / (rows[0].seconds if rows else p95), "flat"))
    return rows


def _grow(path: Path, first: str, size: int) -> list[str]:
    """Copy the first setup and its revision until there are `size` of them; return some of the codes."""
    with sqlite3.connect(path) as connection:
        columns = {t: [row[1] for row in connection.execute(f"PRAGMA table_info({t})")] for t in ("setup", "revision")}
        setup = connection.execute("SELECT * FROM setup WHERE code = ?", (first,)).fetchone()
        revision = connection.execute("SELECT * FROM revision WHERE setup_id = ?", (setup[0],)).fetchone()
        have, top = connection.execute("SELECT count(*), max(id) FROM setup").fetchone()
        codes = [new_code() for _ in range(max(0, size - have))]
        blank = {"owner_key_hash": None, "creation_key": None, "creation_fingerprint": None, "idempotency_key": None}
        for table, source in (("setup", setup), ("revision", revision)):
            marks = ",".join("?" * len(source))
            whole = {**dict(zip(columns[table], source, strict=True))}
            whole |= {key: value for key, value in blank.items() if key in whole}
            rows = (
                tuple({**whole, "id": top + 1 + i, "setup_id": top + 1 + i, "code": code}[c] for c in columns[table])
                for i, code in enumerate(codes)
            )
            connection.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)  # noqa: S608 (names of this file)
        found = connection.execute("SELECT code FROM setup WHERE code IS NOT NULL ORDER BY code LIMIT 500")
        return [row[0] for row in found if re.fullmatch(r"[0-9A-Z]{26}", row[0])]
