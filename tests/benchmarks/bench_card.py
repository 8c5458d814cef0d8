"""How long a card takes, beside a bare Flask view and an empty A6 page laid out in the same run.

Run it with `python -m pytest tests/benchmarks/bench_card.py -s -m benchmark`: it prints medians as ratios with
their goals. Times are never asserted; that every measured answer is the right one is.
"""

from __future__ import annotations

import gc
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from weasyprint import HTML

from setup_rules import read_request
from webapp.rendering.printer import warm_up
from webapp.rendering.shelf import shelf
from webapp.services import create_setup

pytestmark = pytest.mark.benchmark

ROUNDS = 40
EMPTY_PAGE = "<!doctype html><html lang='en'><title>Card</title><style>@page{size:A6}</style><p>Card"

#: Prints, in a process of its own: seconds for the first card after the warm-up, then for the median of five more.
COLD = """
import sys, time, statistics
from webapp import create_app
from webapp.rendering.printer import start_warm_up
from webapp.rendering.shelf import shelf
app = create_app({"TESTING": True, "DATA": sys.argv[1], "PUBLIC_BASE_URL": "https://cards.example",
                  "SECRET_KEY": "only-for-tests-0123456789", "RATELIMIT_ENABLED": False})
start_warm_up(app).join()
client = app.test_client()
def card():
    begun = time.perf_counter()
    answer = client.get(f"/s/{sys.argv[2]}/card.pdf")
    taken = time.perf_counter() - begun
    assert answer.status_code == 200, answer.status
    shelf.clear()
    return taken
first = card()
print(first, statistics.median(card() for _ in range(5)))
"""


def timed(work: Callable[[], Any]) -> float:
    """Return how long `work` takes [s]."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def bare_app() -> Flask:
    """Return an app whose one view answers a few bytes: the floor of every page."""
    bare = Flask("bare")
    bare.add_url_rule("/", view_func=lambda: "ok")
    return bare


def test_cards_beside_a_bare_view_and_an_empty_page(
    app: Flask, whole_request: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with app.app_context():
        code = create_setup(read_request(whole_request), bike_label="Bluebell 140, number 7").saved.code
    bare, client = bare_app().test_client(), app.test_client()
    address = f"/s/{code}/card.pdf"
    answers: list[bytes] = []

    def first_card() -> None:
        shelf.clear()
        answers.append(client.get(address).data)

    def card_again() -> None:
        answers.append(client.get(address).data)

    jobs: dict[str, Callable[[], Any]] = {
        "bare": lambda: bare.get("/"),
        "empty": lambda: HTML(string=EMPTY_PAGE).write_pdf(),
        "first": first_card,
        "again": card_again,
    }
    warm_up(app)
    for job in jobs.values():
        job()
    gc.collect()
    times: dict[str, list[float]] = {name: [] for name in jobs}
    for _ in range(ROUNDS):
        for name, job in jobs.items():
            # The quick ones are timed in tens: a single turn is near the clock's own noise.
            turns = 10 if name in ("bare", "again") else 1
            times[name].append(timed(lambda job=job, turns=turns: [job() for _ in range(turns)]) / turns)
    medians = {name: statistics.median(values) for name, values in times.items()}
    cold, warm = _after_start(tmp_path, code)
    rows = [
        ("bare Flask view", medians["bare"], 1.0, "1 (floor)"),
        ("empty A6 page", medians["empty"], 1.0, "1 (floor)"),
        ("card, first time, tagged / empty A6 page", medians["first"], medians["first"] / medians["empty"], "≤ 6"),
        ("card again / bare Flask view", medians["again"], medians["again"] / medians["bare"], "≤ 1.5"),
        ("first card after start / warm card", cold, cold / warm, "≤ 1.5"),
    ]
    with capsys.disabled():
        print(f"\n{'what':<44}{'median ms':>11}{'ratio':>8}  goal")
        for what, seconds, ratio, goal in rows:
            print(f"{what:<44}{seconds * 1e3:>11.3f}{ratio:>8.2f}  {goal}")
    assert all(answer.startswith(b"%PDF-") for answer in answers)
    assert len(set(answers[-10:])) == 1


def _after_start(tmp_path: Path, code: str) -> tuple[float, float]:
    """Return medians [s] over fresh processes: the first card after the start's warm-up, and a warm card."""
    pairs = []
    for _ in range(3):
        done = subprocess.run(
            [sys.executable, "-c", COLD, str(tmp_path / "data"), code],
            capture_output=True,
            text=True,
            check=True,
        )
        pairs.append([float(word) for word in done.stdout.split()])
    return statistics.median(p[0] for p in pairs), statistics.median(p[1] for p in pairs)
