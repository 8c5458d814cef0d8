"""The rows of the speed table that a server sees: a crowd, a start and a database that grows."""

from __future__ import annotations

import itertools
import os
import random
import sqlite3
import statistics
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flask import Flask
from flask.testing import FlaskClient

from webapp.cards.rendering.card_cache import card_cache_of
from webapp.cards.rendering.renderer import warm_up
from webapp.commands.serve import SWITCH_S
from webapp.ground.link_codes import new_code

from .measuring import Row, Timing, in_turns, share, summed_up
from .speed import make_app

#: The pause between pages while cards print [s]: asked for without one they would keep the cards from printing.
_PAUSE_S = 0.002

COLD_FLOOR = "import flask, sqlalchemy, pint; pint.UnitRegistry()"
#: Imports the modules named, which are those that a start of the app imports from libraries: no more and no less.
COLD_SAME = """
import importlib, sys, warnings
warnings.simplefilter("ignore")
for name in sys.argv[1].split(","):
    importlib.import_module(name)
"""
COLD_APP = """
import sys
from webapp import create_app
app = create_app({"DATA": sys.argv[1], "PUBLIC_BASE_URL": "https://cards.example", "SECRET_KEY": "only-for-tests-0123"})
assert app.test_client().get("/", base_url="https://cards.example").status_code == 200
if sys.argv[2:]:
    print(",".join(sys.modules))
"""
#: Prints, in a process of its own: seconds for the first card, then for the median of five more. With a third word,
#: after what the server warms up beside its start: the press and the unit definitions.
COLD_CARD = """
import statistics, sys, time
from setup_rules.types.units import registry
from webapp import create_app
from webapp.cards.rendering.renderer import start_warm_up
from webapp.cards.rendering.card_cache import card_cache_of
app = create_app({"DATA": sys.argv[1], "PUBLIC_BASE_URL": "http://localhost", "SECRET_KEY": "only-for-tests-0123456789",
                  "RATELIMIT_ENABLED": False})
if sys.argv[3:]:
    start_warm_up(app).join()
    registry()
client = app.test_client()
def card():
    begun = time.perf_counter()
    answer = client.get(f"/s/{sys.argv[2]}/card.pdf")
    taken = time.perf_counter() - begun
    assert answer.status_code == 200, answer.status
    card_cache_of(app).clear()
    return taken
print(card(), statistics.median(card() for _ in range(5)))
"""


def crowd_rows(folder: Path, request: dict[str, Any], rounds: int) -> list[Row]:
    """Measure a plain page while cards print, and saves by four clients at once."""
    app = make_app(folder / "crowd", WTF_CSRF_ENABLED=False)
    code = app.test_client().post("/api/v1/setups", json=request).get_json()["code"]
    warm_up(app)
    usual_s = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH_S)  # as the server does
    try:
        idle, busy = _page_times(app, code, rounds)
        with ThreadPoolExecutor(4) as pool:
            saves = list(pool.map(lambda _: _save_time(app, request), range(8 * rounds)))
    finally:
        sys.setswitchinterval(usual_s)
    page, save = Timing.at(busy, 0.99), Timing.at(saves, 0.99)
    return [
        Row("p99 of a page while cards print / idle", page, page / share(idle, 0.99), "≤ 5"),
        Row("save, four clients: p99 / p50", save, save / share(saves, 0.5), "≤ 5"),
    ]


def _page_times(app: Flask, code: str, rounds: int) -> tuple[list[float], list[float]]:
    """Return times [s] of a page with nothing else to do and while cards print, in turns of about half a second."""
    client, printed = app.test_client(), itertools.count()
    idle: list[float] = []
    busy: list[float] = []

    def print_cards(done: threading.Event) -> None:
        printing = app.test_client()
        while not done.is_set():
            card_cache_of(app).clear()
            assert printing.get(f"/s/{code}/card.pdf").status_code == 200
            next(printed)

    for _ in range(max(1, rounds // 5)):
        _ask_for_pages(client, idle)
        done = threading.Event()
        printer = threading.Thread(target=print_cards, args=(done,))
        printer.start()
        _ask_for_pages(client, busy)
        done.set()
        printer.join()
    assert next(printed) >= 2 * max(1, rounds // 5)
    return idle, busy


def _ask_for_pages(client: FlaskClient, times: list[float]) -> None:
    for _ in range(200):
        # From when the page was due: waiting for the interpreter after the sleep is part of what a visitor waits.
        due = time.perf_counter() + _PAUSE_S
        time.sleep(_PAUSE_S)
        assert client.get("/about").status_code == 200
        times.append(time.perf_counter() - due)


def _save_time(app: Flask, request: dict[str, Any]) -> float:
    begun = time.perf_counter()
    assert app.test_client().post("/api/v1/setups", json=request).status_code == 201
    return time.perf_counter() - begun


def start_rows(folder: Path, request: dict[str, Any], rounds: int) -> list[Row]:
    """Measure a start to its first answer and to its first card in fresh processes, beside what they are held to."""
    spare = itertools.count()

    def fresh(script: str, *words: str) -> str:
        command, environment = [sys.executable, "-c", script, *words], {**os.environ, "PYTHONWARNINGS": ""}
        return subprocess.run(command, check=True, env=environment, stdout=subprocess.PIPE, text=True).stdout

    started = folder / "start"
    code = make_app(started).test_client().post("/api/v1/setups", json=request).get_json()["code"]
    same = _library_modules(fresh(COLD_APP, str(started), "names"))
    cards: dict[str, list[list[float]]] = {"warmed": [], "cold": []}

    def card(kind: str, *words: str) -> None:
        cards[kind].append([float(word) for word in fresh(COLD_CARD, str(started), code, *words).split()])

    jobs = {
        "floor": lambda: fresh(COLD_FLOOR),
        "same": lambda: fresh(COLD_SAME, same),
        "again": lambda: fresh(COLD_APP, str(started)),
        "card": lambda: card("warmed", "warm"),
        "cold card": lambda: card("cold"),
        "very first": lambda: fresh(COLD_APP, str(folder / f"start-{next(spare)}")),
    }
    t = summed_up(in_turns(jobs, max(1, rounds // 6)))
    floor = "importing Flask, SQLAlchemy and pint"
    libraries = f"importing the same {same.count(',') + 1} library modules"
    first = {kind: Timing.of([pair[0] for pair in pairs]) for kind, pairs in cards.items()}
    warm = statistics.median(pair[1] for pairs in cards.values() for pair in pairs)
    return [
        Row(f"cold start to first answer / {floor}", t["again"], t["again"] / t["floor"], "≤ 1.5"),
        Row(f"cold start to first answer / {libraries}", t["again"], t["again"] / t["same"], "-"),
        Row(f"the same, making the database / {floor}", t["very first"], t["very first"] / t["floor"], "-"),
        Row(
            "first card after start, press and units warmed / warm card",
            first["warmed"],
            first["warmed"] / warm,
            "≤ 1.5",
        ),
        Row("first card after start, nothing warmed / warm card", first["cold"], first["cold"] / warm, "-"),
    ]


def _library_modules(loaded: str) -> str:
    """Return which of a process's modules come from installed packages, with commas between them."""
    found = []
    for name in loaded.strip().split(","):
        module = sys.modules.get(name)
        if module is not None and "site-packages" in str(getattr(module, "__file__", None)):
            found.append(name)
    return ",".join(found)


def growth_rows(folder: Path, request: dict[str, Any], sizes: tuple[int, ...], rounds: int) -> list[Row]:
    """Measure the 95th percentile of opening setups drawn at random from ever more, in turns between the sizes."""
    stores = [_Store.filled(folder / f"growth-{size}", request, size, 20 * rounds) for size in sizes]
    times: list[list[float]] = [[] for _ in stores]
    for turn in range(20 * rounds):
        for store, taken in zip(stores, times, strict=True):
            begun = time.perf_counter()
            assert store.client.get(f"/api/v1/setups/{store.codes[turn]}").status_code == 200
            taken.append(time.perf_counter() - begun)
    p95 = [Timing.at(taken, 0.95) for taken in times]
    return [
        Row(f"opening one of {size:,} setups at random: p95", timing, timing / p95[0], "flat")
        for size, timing in zip(sizes, p95, strict=True)
    ]


@dataclass(frozen=True, slots=True)
class _Store:
    """An app with a number of setups, and codes of some of them drawn at random."""

    client: FlaskClient
    codes: list[str]

    @classmethod
    def filled(cls, folder: Path, request: dict[str, Any], size: int, wanted: int) -> _Store:
        """Fill a database with copies of one setup, and draw from all of them."""
        client = make_app(folder, WTF_CSRF_ENABLED=False).test_client()
        first = client.post("/api/v1/setups", json=request).get_json()["code"]
        codes = _grow(next(folder.glob("*.db")), first, size)
        return cls(client, random.Random(size).choices(codes, k=wanted))


def _grow(path: Path, first: str, size: int) -> list[str]:
    """Copy the first setup and its revision until there are `size` of them; return all codes."""
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
        return [row[0] for row in connection.execute("SELECT code FROM setup WHERE code IS NOT NULL")]
