"""How long one sag check takes, beside the form's POST, a durable insert and a bare Flask view of the same run.

Run it with `python -m pytest tests/benchmarks/bench_sag_check.py -s -m benchmark`: it prints medians and their ratios
with the goals. Times are never asserted; that every measured answer is a new revision with another pressure is.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from setup_rules import SagCheck, apply_sag_check
from tests.benchmarks.measuring import Row, in_turns, summed_up, table
from tests.benchmarks.speed import FORM, bare_client, make_app, raw_insert
from webapp.setups.actions.find_setup import find_setup

pytestmark = pytest.mark.benchmark

ROUNDS = 60
EARLIER = 10


def test_a_sag_check_beside_the_form_post_and_a_bare_view(
    tmp_path: Path, whole_request: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    app = make_app(tmp_path / "checks", WTF_CSRF_ENABLED=False)
    client, bare = app.test_client(), bare_client()
    codes = [client.post("/api/v1/setups", json=whole_request).get_json()["code"] for _ in range(3 * (ROUNDS + 1))]
    fresh = iter(codes)
    with app.app_context():
        setup = find_setup(codes[0]).setup
    assert setup.front is not None
    check = SagCheck(end="front", pressure_pa=setup.front.pressure_pa, readings_mm=(36.0, 35.0, 36.0))
    known = setup
    for _ in range(EARLIER):
        known = apply_sag_check(known, check)
    body = {"end": "front", "pressure_psi": 84, "readings_mm": [36, 35, 36]}
    form = {"pressure_psi": "84", "readings_mm-0": "36", "readings_mm-1": "35", "readings_mm-2": "36", "base": "1"}
    answers: list[dict[str, Any]] = []

    def over_json(more: dict[str, Any]) -> Callable[[], None]:
        def job() -> None:
            answer = client.post(f"/api/v1/setups/{next(fresh)}/sag-checks", json={**body, **more})
            assert answer.status_code == 201
            answers.append(answer.get_json())

        return job

    def over_the_page() -> None:
        answer = client.post(f"/s/{next(fresh)}/sag-check?end=front", data=form)
        assert answer.status_code == 303, answer.get_data(as_text=True)[:2000]

    def form_post() -> None:
        assert client.post("/", data={**FORM, "bike_label": uuid.uuid4().hex}).status_code == 303

    jobs = {
        "bare": lambda: bare.get("/"),
        "insert": raw_insert(tmp_path, "x" * 9000),
        "form post": form_post,
        "rules": lambda: apply_sag_check(setup, check),
        "rules after ten": lambda: apply_sag_check(known, check),
        "json": over_json({}),
        "json on a base": over_json({"base_revision": 1}),
        "page": over_the_page,
    }
    t = summed_up(in_turns(jobs, ROUNDS, frozenset({"bare"})))
    names = {
        "bare": ("bare Flask view", "1 (floor)"),
        "insert": ("one durable raw insert / bare view", "-"),
        "form post": ("the setup form's POST / bare view", "-"),
        "rules": ("a sag check in the rules alone / bare view", "(≤ 30 ms)"),
        "rules after ten": (f"the same after {EARLIER} earlier checks / bare view", "(≤ 30 ms)"),
        "json": ("sag check over JSON, saved / bare view", "≤ 60"),
        "json on a base": ("the same on a named revision / bare view", "≤ 60"),
        "page": ("sag check on the page, saved / bare view", "≤ 60"),
    }
    rows = [Row(what, t[job], t[job] / t["bare"], goal) for job, (what, goal) in names.items()]
    with capsys.disabled():
        print(f"\n{table(rows)}")
    assert {answer["revision"] for answer in answers} == {2}
    assert all(answer["front"]["pressure_psi"] > 84 and not answer["settled"] for answer in answers)
    assert len({answer["front"]["pressure_psi"] for answer in answers}) == 1
