"""The rules answer 650 kept requests, and what was reported afterwards, with the numbers that they gave at the time.

These are regression values, not evidence: they say that nothing moved, not that it was right. Floats are held to
2e-7 relative (see `replay`), counts, clicks, flags, codes and refusals exactly. A change of the rules that is meant
to move numbers raises the rules version and freezes answers of its own beside these.
"""

from __future__ import annotations

import copy
import gzip
import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

import setup_rules as rules
from tests.kept import replay


def kept(name: str) -> dict[str, Any]:
    """Return a kept file."""
    found: dict[str, Any] = json.loads(gzip.decompress((Path(__file__).parent / name).read_bytes()))
    return found


KEPT, MORE = kept("answers-v3.json.gz"), kept("more-answers-v3.json.gz")
CASES: list[dict[str, Any]] = KEPT["cases"]
AT_A_TIME = 25


def moved(number: int, case: dict[str, Any]) -> list[str]:
    """Return what a case answers otherwise than it did."""
    kept = {"answer": case["answer"], "steps": case["answers"]}
    return list(replay.differences(kept, replay.replay(case), f"case {number}"))


def test_there_is_enough_of_every_kind_kept() -> None:
    steps = Counter(step["do"] for case in CASES for step in case["steps"])
    refused = sum("refused" in answer for case in CASES for answer in case["answers"])
    assert len(CASES) == 500
    assert set(steps) == set(replay.STEPS)
    assert min(steps.values()) >= 100
    assert 0 < refused < sum(steps.values()) / 5
    assert {case["request"]["riding_style"] for case in CASES} == {
        "cross_country",
        "trail",
        "enduro",
        "downhill",
        "park",
    }


def test_the_kept_answers_are_of_the_rules_version_of_today() -> None:
    setup = rules.recommend(rules.read_request(CASES[0]["request"]))
    assert setup.rules_version == KEPT["rules_version"] == MORE["rules_version"]


@pytest.mark.parametrize("first", range(0, 500, AT_A_TIME))
def test_every_kept_case_answers_with_the_same_numbers(first: int) -> None:
    misses = [miss for n in range(first, first + AT_A_TIME) for miss in moved(n, CASES[n])]
    assert not misses, f"{len(misses)} numbers moved, the first of them: " + "; ".join(misses[:8])


@pytest.mark.parametrize("first", range(0, 150, AT_A_TIME))
def test_every_kept_case_of_what_is_rarer_answers_with_the_same_numbers(first: int) -> None:
    misses = [miss for n in range(first, first + AT_A_TIME) for miss in moved(n, MORE["cases"][n])]
    assert not misses, f"{len(misses)} numbers moved, the first of them: " + "; ".join(misses[:8])


def test_there_is_enough_of_what_is_rarer() -> None:
    cases = MORE["cases"]
    ends = [case["request"][name] for case in cases for name in ("front", "rear") if name in case["request"]]
    for field, least in (("spring", 30), ("second_volume_cm3", 20), ("spring_test", 30), ("air_lubricant_cm3", 30)):
        assert sum(field in end for end in ends) >= least, field
    for field in ("luggage_front_kg", "luggage_rear_kg", "front_axle_kg", "rear_axle_kg"):
        assert sum(field in case["request"] for case in cases) >= 10, field
    loaded = [case["request"] for case in cases if "luggage_rear_kg" in case["request"]]
    assert any("chart" in case.get(name, {}) for case in loaded for name in ("front", "rear"))


def test_the_json_interface_says_what_it_said(client: FlaskClient) -> None:
    asked = [case for case in CASES if "http" in case]
    assert len(asked) > 50
    misses = [
        miss
        for case in asked
        for miss in replay.differences(case["http"], replay.ask_over_http(client, case), str(case["request"]))
    ]
    assert not misses, misses[:8]


@pytest.mark.parametrize("path", [("pressure_pa",), ("sag_high_mm",), ("curve", 1, 2)])
def test_a_number_moved_by_a_millionth_is_noticed(path: tuple[Any, ...]) -> None:
    number, case = next((n, copy.deepcopy(case)) for n, case in enumerate(CASES) if case["answer"].get("front"))
    place = case["answer"]["front"]
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] *= 1 + 1e-6
    (miss,) = moved(number, case)
    assert str(path[-1]) in miss


def test_a_lost_code_a_turned_click_and_a_missing_end_are_noticed() -> None:
    number, case = next((n, c) for n, c in enumerate(CASES) if (c["answer"].get("front") or {}).get("rebound"))
    for change in (
        lambda answer: answer["reasons"].pop(),
        lambda answer: answer["front"]["rebound"].update(out=answer["front"]["rebound"]["out"] + 1),
        lambda answer: answer.update(front=None),
    ):
        changed = copy.deepcopy(case)
        change(changed["answer"])
        assert moved(number, changed)
