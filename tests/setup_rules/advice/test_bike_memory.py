"""What a bike remembers goes to its own ends, and what a rider teaches it comes from what can be believed."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from setup_rules.advice import bike_memory as module
from setup_rules.advice.bike_memory import lesson_of, with_memories, with_unit_memories
from setup_rules.types.request import SetupRequest
from setup_rules.types.result import SagCheck, Setup, TakenCheck
from setup_rules.types.spring_memory import SpringMemory
from tests.setup_rules.advice.test_corrections_parts import BOTH, FORK, SHOCK, setup_of

ONE = SpringMemory(riders=1, shift=(20.0, 0.0, 0.0), precision=(200.0, 0.0, 0.0, 0.0, 0.0, 0.0))
TWO = replace(ONE, riders=2)
NOBODY = replace(ONE, riders=0)


def remembered(request: SetupRequest, field: str) -> tuple[Any, Any]:
    """Return what front and rear remember, "none" where there is no such end."""
    ends = (request.front, request.rear)
    return tuple("none" if end is None else getattr(end, field) for end in ends)  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("memories", "found"),
    [
        ({"front": ONE, "rear": TWO}, (ONE, TWO)),
        ({"front": ONE}, (ONE, None)),
        ({"rear": TWO}, (None, TWO)),
        ({"front": None, "rear": None}, (None, None)),
        ({}, (None, None)),
    ],
)
def test_each_end_remembers_its_own(memories: Any, found: tuple[Any, Any]) -> None:
    assert remembered(with_memories(BOTH, memories), "memory") == found
    assert remembered(with_unit_memories(BOTH, memories), "unit_memory") == found
    # Nothing else of the request moves, and the one memory leaves the other alone.
    assert remembered(with_memories(BOTH, memories), "unit_memory") == (None, None)
    assert remembered(with_unit_memories(BOTH, memories), "memory") == (None, None)
    cleared = with_memories(with_memories(BOTH, memories), {})
    assert cleared == BOTH
    assert with_unit_memories(with_unit_memories(BOTH, memories), {}) == BOTH


def test_a_bike_that_nobody_rode_remembers_nothing() -> None:
    assert remembered(with_memories(BOTH, {"front": NOBODY, "rear": ONE}), "memory") == (None, ONE)


@pytest.mark.parametrize("missing", ["front", "rear"])
def test_an_end_that_is_not_there_is_not_made_by_a_memory(missing: str) -> None:
    alone: Any = replace(BOTH, **{missing: None})  # type: ignore[arg-type]
    found = ("none", TWO) if missing == "front" else (ONE, "none")
    assert remembered(with_memories(alone, {"front": ONE, "rear": TWO}), "memory") == found
    assert remembered(with_unit_memories(alone, {"front": ONE, "rear": TWO}), "unit_memory") == found


def taken(number: int, end: Any = "front", *, confirm: bool = False, **given: Any) -> TakenCheck:
    """Return a check that can be told by its reading [mm]."""
    check = SagCheck(end=end, pressure_pa=500_000.0, readings_mm=(float(number),), confirm=confirm)
    return TakenCheck(**{"check": check, "request": BOTH, **given})


def taught(monkeypatch: pytest.MonkeyPatch, setup: Setup, name: Any = "front", *, odd: tuple[int, ...] = ()) -> Any:
    """Return (end, rider's mass, readings before and after) of a lesson, None without one; `odd` are questioned."""

    def numbers(checks: tuple[TakenCheck, ...]) -> tuple[int, ...]:
        return tuple(round(one.check.readings_mm[0]) for one in checks)

    def question(_request: SetupRequest, kept: tuple[TakenCheck, ...], check: SagCheck) -> Any:
        assert not check.confirm  # asked as if nobody had kept it
        asked.append((numbers(kept), round(check.readings_mm[0])))
        return "?" if round(check.readings_mm[0]) in odd else None

    def lesson(model: Any, before: Any, after: Any) -> Any:
        return model.name, model.request.rider_mass_kg, before, after

    asked: list[Any] = []
    monkeypatch.setattr(module, "question", question)
    monkeypatch.setattr(module, "learned_of", lambda _model, checks: SimpleNamespace(spring=numbers(checks)))
    monkeypatch.setattr(module, "lesson_between", lesson)
    found = lesson_of(setup, name)
    return found if not asked else (found, asked)


def test_a_lesson_is_what_the_checks_of_one_end_add(monkeypatch: pytest.MonkeyPatch) -> None:
    checks = (taken(30), taken(15, "rear"), taken(33), taken(60, struck=True))
    assert taught(monkeypatch, setup_of(checks=checks)) == ("front", 78.0, (), (30, 33))
    assert taught(monkeypatch, setup_of(checks=checks), "rear") == ("rear", 78.0, (), (15,))


def test_nothing_is_taught_without_a_check_that_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    assert taught(monkeypatch, setup_of()) is None
    assert taught(monkeypatch, setup_of(checks=(taken(15, "rear"), taken(60, struck=True)))) is None


def test_a_coil_has_nothing_to_teach(monkeypatch: pytest.MonkeyPatch) -> None:
    coil = replace(BOTH, front=replace(FORK, spring="coil"))
    assert taught(monkeypatch, setup_of(request=coil, checks=(taken(30),))) is None
    assert taught(monkeypatch, setup_of(request=coil, checks=(taken(15, "rear"),)), "rear") is not None


def test_what_was_kept_against_a_question_is_not_taught(monkeypatch: pytest.MonkeyPatch) -> None:
    checks = (taken(30), taken(62, confirm=True), taken(34, confirm=True), taken(33))
    found, asked = taught(monkeypatch, setup_of(checks=checks), odd=(62,))
    assert found == ("front", 78.0, (), (30, 34, 33))
    # Each is held against what was believed before it, and nobody is asked again who was not.
    assert asked == [((30,), 62), ((30,), 34)]


def test_nothing_is_taught_where_every_check_was_odd(monkeypatch: pytest.MonkeyPatch) -> None:
    found, _ = taught(monkeypatch, setup_of(checks=(taken(62, confirm=True),)), odd=(62,))
    assert found is None


def test_an_end_that_was_taken_off_teaches_by_its_newest_check(monkeypatch: pytest.MonkeyPatch) -> None:
    light, heavy = replace(BOTH, rider_mass_kg=60.0), replace(BOTH, rider_mass_kg=90.0)
    checks = (taken(30, request=light), taken(33, request=heavy))
    off = setup_of(request=replace(BOTH, front=None), checks=checks)
    assert taught(monkeypatch, off) == ("front", 90.0, (), (30, 33))
    # Where the end is there, the request of today counts.
    assert taught(monkeypatch, setup_of(checks=checks)) == ("front", 78.0, (), (30, 33))
    never = replace(BOTH, front=None, rear=SHOCK)
    assert taught(monkeypatch, setup_of(request=never, checks=(taken(15, "rear"),))) is None
