"""Checks of both ends at once and one struck out, with made-up answers: what is refused, said and kept."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice import taken_checks as module
from setup_rules.advice.taken_checks import _recount, _with_clicks, apply_sag_checks, strike_check
from setup_rules.messages.message import Message
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.result import Note, SagCheck, Setup, TakenBounce, TakenCheck
from tests.setup_rules.advice.test_corrections_parts import BOTH, FRONT, REAR, clicks, setup_of

FORK_CHECK = SagCheck(end="front", pressure_pa=500_000.0, readings_mm=(31.0,))
SHOCK_CHECK = SagCheck(end="rear", pressure_pa=900_000.0, readings_mm=(15.0,))


def note(code: str) -> Note:
    """Return a word of advice."""
    return Note(code, Message(code))


def answered(monkeypatch: pytest.MonkeyPatch, **answers: Any) -> list[Setup]:
    """Have the check of each end answered by (advice, settled) or refused; return the setups that were corrected."""
    corrected: list[Setup] = []

    def apply(setup: Setup, check: SagCheck) -> Setup:
        corrected.append(setup)
        answer = answers[check.end]
        if isinstance(answer, RequestError):
            raise answer
        advice, settled = answer
        checks: Any = (*setup.checks, check)
        return replace(setup, advice=tuple(note(code) for code in advice), settled=settled, checks=checks)

    monkeypatch.setattr(module, "apply_sag_check", apply)
    return corrected


def refused(*fields: str) -> RequestError:
    """Return the refusal of some fields of a check."""
    return RequestError(tuple(Problem(field, Message.of("sag_check.no_reading")) for field in fields))


def test_both_ends_are_corrected_one_after_the_other(monkeypatch: pytest.MonkeyPatch) -> None:
    before = setup_of()
    corrected = answered(monkeypatch, front=(("pump_fork", "wait"), True), rear=(("pump_shock", "wait"), True))
    after = apply_sag_checks(before, iter([FORK_CHECK, SHOCK_CHECK]))
    assert corrected[0] is before
    one, both = list[Any](corrected[1].checks), list[Any](after.checks)
    assert (one, both) == ([FORK_CHECK], [FORK_CHECK, SHOCK_CHECK])
    # What is said twice is told once, in the order in which it was first said.
    assert [one.code for one in after.advice] == ["pump_fork", "wait", "pump_shock"]


@pytest.mark.parametrize(
    ("front", "rear", "settled"),
    [(True, True, True), (True, False, False), (False, True, False), (False, False, False)],
)
def test_they_are_done_when_every_end_is(
    monkeypatch: pytest.MonkeyPatch, front: bool, rear: bool, settled: bool
) -> None:
    answered(monkeypatch, front=((), front), rear=((), rear))
    assert apply_sag_checks(setup_of(), [FORK_CHECK, SHOCK_CHECK]).settled is settled


def test_all_of_them_or_none(monkeypatch: pytest.MonkeyPatch) -> None:
    answered(monkeypatch, front=((), True), rear=refused("readings_mm"))
    with pytest.raises(RequestError) as found:
        apply_sag_checks(setup_of(), [FORK_CHECK, SHOCK_CHECK])
    assert [one.field for one in found.value.problems] == ["rear.readings_mm"]


def test_what_is_wrong_with_both_is_told_at_once_with_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    answered(monkeypatch, front=refused("pressure_psi", "readings_mm"), rear=refused("datum"))
    with pytest.raises(RequestError) as found:
        apply_sag_checks(setup_of(), [FORK_CHECK, SHOCK_CHECK])
    fields = [one.field for one in found.value.problems]
    assert fields == ["front.pressure_psi", "front.readings_mm", "rear.datum"]


def test_no_check_at_all_is_no_reading() -> None:
    with pytest.raises(RequestError) as found:
        apply_sag_checks(setup_of(), [])
    (problem,) = found.value.problems
    assert (problem.field, problem.said) == ("readings_mm", Message.of("sag_check.no_reading"))


def taken(check: SagCheck, *, struck: bool = False, kit: float = 4.0) -> TakenCheck:
    """Return a check that was taken, with so much kit on."""
    return TakenCheck(check=check, request=replace(BOTH, kit_mass_kg=kit), struck=struck)


def recounted(monkeypatch: pytest.MonkeyPatch, name: Any, *checks: TakenCheck) -> Any:
    """Return which check is judged again after a recount of an end."""
    monkeypatch.setattr(module, "compose", lambda _request, _checks, latest: latest)
    return _recount(BOTH, checks, name)


def test_the_newest_check_that_counts_is_judged_again(monkeypatch: pytest.MonkeyPatch) -> None:
    older, newer = (replace(FORK_CHECK, readings_mm=(mm,)) for mm in (30.0, 33.0))
    assert recounted(monkeypatch, "front", taken(older), taken(newer), taken(SHOCK_CHECK)) is newer
    assert recounted(monkeypatch, "front", taken(older), taken(newer, struck=True)) is older
    assert recounted(monkeypatch, "rear", taken(SHOCK_CHECK), taken(newer)) is SHOCK_CHECK


def test_nothing_is_judged_again_without_a_check_or_after_a_change(monkeypatch: pytest.MonkeyPatch) -> None:
    assert recounted(monkeypatch, "rear", taken(FORK_CHECK)) is None
    assert recounted(monkeypatch, "front", taken(FORK_CHECK, struck=True)) is None
    assert recounted(monkeypatch, "front", taken(FORK_CHECK), taken(FORK_CHECK, kit=5.0)) is None


@pytest.mark.parametrize(
    ("index", "struck", "key"),
    [
        (-1, True, "sag_check.unknown"),
        (2, True, "sag_check.unknown"),
        (5, True, "sag_check.unknown"),
        (1, True, "sag_check.struck_already"),
        (0, False, "sag_check.counted_already"),
    ],
)
def test_what_cannot_be_struck_out_or_counted_again(index: int, struck: bool, key: str) -> None:
    checks = (taken(FORK_CHECK), taken(SHOCK_CHECK, struck=True))
    with pytest.raises(RequestError) as found:
        strike_check(setup_of(checks=checks), index, struck=struck)
    (problem,) = found.value.problems
    assert (problem.field, problem.said) == ("check", Message.of(key))


@pytest.mark.parametrize(("index", "struck"), [(0, True), (1, False), (2, True)])
def test_one_check_is_struck_out_or_counted_again_and_the_others_stay(
    monkeypatch: pytest.MonkeyPatch, index: int, struck: bool
) -> None:
    checks = (taken(FORK_CHECK), taken(SHOCK_CHECK, struck=True), taken(FORK_CHECK))
    moved = setup_of(front=replace(FRONT, sag_low_mm=1.0), rear=replace(REAR, sag_low_mm=1.0), settled=True)
    monkeypatch.setattr(module, "compose", lambda _request, now, _latest: replace(moved, checks=now))
    bounces = (TakenBounce(end="front", clicks_out=8, direction=1),)
    rides: Any = ("a ride",)
    before = setup_of(checks=checks, rides=rides, bounces=bounces)
    after = strike_check(before, index, struck=struck)
    assert [one.struck for one in after.checks] == [
        struck if n == index else one.struck for n, one in enumerate(checks)
    ]
    own, other = ("rear", "front") if index == 1 else ("front", "rear")
    assert getattr(after, own) == getattr(moved, own)
    assert getattr(after, other) is getattr(before, other)
    assert (after.rides, after.bounces, after.settled) == (rides, bounces, None)


def test_a_check_is_struck_out_where_nothing_else_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "compose", lambda _request, now, _latest: setup_of(checks=now))
    assert [one.struck for one in strike_check(setup_of(checks=(taken(FORK_CHECK),)), 0).checks] == [True]


@pytest.mark.parametrize(
    ("pascals", "kept"),
    [
        (540_000.0, True),  # 8 % more: the clicks go back to where they stood
        (560_000.0, False),  # 12 % more: they follow
        (552_000.0, False),  # 10.4 % more
        (460_000.0, True),  # 8 % less
        (453_000.0, False),  # 9.4 % less, but up again it would be 10.4 %
        (440_000.0, False),
    ],
)
def test_clicks_go_back_unless_the_pressure_moved_far_either_way(
    monkeypatch: pytest.MonkeyPatch, pascals: float, kept: bool
) -> None:
    monkeypatch.setattr(module, "_recount", lambda request, _checks, _name: setup_of(request=request, settled=True))
    after = setup_of(front=replace(FRONT, pressure_pa=pascals, rebound=clicks(10, 16)))
    found = _with_clicks(setup_of(), after, "front")
    if kept:
        # Ten clicks out are two beyond the eight that it stood at.
        assert found.request.front is not None
        assert (found.request.front.rebound_offset_clicks, found.settled) == (-2, True)
    else:
        assert found is after


def test_clicks_that_stand_where_they_stood_need_no_second_answer() -> None:
    after = setup_of(front=replace(FRONT, pressure_pa=510_000.0))
    assert _with_clicks(setup_of(), after, "front") is after
    for one, other in ((setup_of(front=None), after), (setup_of(), setup_of(front=None))):
        assert _with_clicks(one, other, "front") is other
