"""What sag checks call for beyond the first few: which of many count, and of which end."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from setup_rules.advice import check_cautions as module
from setup_rules.advice.check_cautions import check_cautions
from setup_rules.advice.reasons import rules_changed, sag_check_advice
from setup_rules.inference.end_model import EndModel
from setup_rules.types.request import RearEnd
from setup_rules.types.result import SagCheck, Setup
from tests.setup_rules.advice.test_carried_words import end_at
from tests.setup_rules.advice.test_check_words import REQUEST, codes, taken
from tests.setup_rules.advice.test_end_reasons import at


@pytest.mark.parametrize(("newest", "before"), [(-1.0, 9.0), (1.0, -9.0), (0.0, 9.0)])
def test_what_was_expected_ends_no_swing(monkeypatch: pytest.MonkeyPatch, newest: float, before: float) -> None:
    monkeypatch.setattr(module, "learned_of", lambda *_: SimpleNamespace(surprise=before))
    assert codes(taken(), taken(), taken(), newest_surprise=newest) == []


def test_of_many_checks_the_five_newest_are_held_against_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    misses = [0.0] * 8 + [3.0] * 5
    monkeypatch.setattr(module, "likelihoods_of", lambda _name, checks: tuple(range(len(checks))))
    monkeypatch.setattr(module, "learn", lambda *_: None)
    monkeypatch.setattr(module, "expect", lambda _earlier, one: SimpleNamespace(surprise=misses[one]))
    assert codes(*[taken()] * 13) == ["something_changed"]
    misses[:] = [0.0] * 5 + [3.0] * 3 + [0.0] * 5
    assert codes(*[taken()] * 13) == []


def test_a_shocks_checks_are_told_apart_from_the_forks() -> None:
    shock = RearEnd(stroke_mm=55.0, leverage_start=2.8)
    model = EndModel("rear", shock, replace(REQUEST, rear=shock))
    result: Any = replace(end_at(500_000.0), end="rear", newest_surprise=9.0, answers_disagree=True)
    assert check_cautions(model, (taken(10.0, 40.0), taken(10.0, 40.0)), result) == ()


@pytest.mark.parametrize(("expected", "code"), [(32.0, "sag_settled"), (28.0, "sag_settled"), (32.1, "sag_at_limit")])
def test_the_tolerance_itself_is_on_target(expected: float, code: str) -> None:
    # 2 mm of 100 mm of travel.
    result = at(travel_mm=100.0, sag_expected_mm=expected)
    assert sag_check_advice(SagCheck(end="front"), result, 500_000.0, settled=True).code == code


def test_one_check_alone_goes_neither_to_nor_fro(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "learned_of", lambda *_: SimpleNamespace(surprise=-9.0))
    assert codes(taken(), newest_surprise=3.1) == []


@pytest.mark.parametrize(("version", "told"), [("2", True), ("3", False), ("4", True)])
def test_numbers_of_older_and_of_newer_rules_are_told(version: str, told: bool) -> None:
    before = Setup(request=REQUEST, front=at(), rear=None, cautions=(), reasons=(), rules_version=version)
    assert [note.code for note in rules_changed(before, "front")] == ["rules_changed"] * told
