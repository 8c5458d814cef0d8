"""What sag checks call for, with made-up surprises: each bound at its number.

What each check surprised by is put in the place of the learning, which has tests of its own.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from setup_rules.advice import check_cautions as module
from setup_rules.advice.check_cautions import check_cautions
from setup_rules.inference.end_model import EndModel
from setup_rules.types.request import FrontEnd, SetupRequest
from setup_rules.types.result import EndSetup, Note, SagCheck, TakenCheck
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_carried_words import coil_at, end_at

FORK = FrontEnd(travel_mm=140.0)
REQUEST = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=FORK)
MODEL = EndModel("front", FORK, REQUEST)
AT = end_at(500_000.0, max_pressure_pa=100 * PSI_PA)


def taken(*mm: float, psi: float = 80.0, struck: bool = False, **given: Any) -> TakenCheck:
    """Return a check of the fork that was taken."""
    check = SagCheck(**{"end": "front", "pressure_pa": psi * PSI_PA, "readings_mm": mm or (30.0,), **given})
    return TakenCheck(check=check, request=REQUEST, struck=struck)


def found(*checks: TakenCheck, model: EndModel = MODEL, **changed: Any) -> list[Note]:
    """Return the cautions of the fork's checks."""
    result: EndSetup = changed.pop("result", None) or end_at(500_000.0, max_pressure_pa=100 * PSI_PA, **changed)
    notes = check_cautions(model, checks, result)
    assert {note.end for note in notes} <= {"front"}
    return list(notes)


def codes(*checks: TakenCheck, **changed: Any) -> list[str]:
    """Return their codes."""
    return [note.code for note in found(*checks, **changed)]


def test_checks_of_the_other_end_or_struck_out_call_for_nothing() -> None:
    loud = {"newest_surprise": 9.0, "answers_disagree": True}
    assert codes(**loud) == codes(taken(10.0, 40.0, struck=True), **loud) == []
    assert codes(taken(10.0, 40.0, end="rear"), **loud) == []


@pytest.mark.parametrize(
    ("readings", "apart"),
    [
        ({"readings_mm": (20.0, 34.0)}, None),
        ({"readings_mm": (20.0, 30.0, 34.5)}, 14.5),
        ({"readings_mm": (34.5, 20.0)}, 14.5),
        ({"readings_mm": (), "readings_from_above_mm": (20.0, 34.5)}, 14.5),
        ({"readings_mm": (), "readings_from_below_mm": (20.0, 34.5)}, 14.5),
        ({"readings_mm": (), "readings_from_above_mm": (20.0,), "readings_from_below_mm": (34.0,)}, None),
        ({"readings_mm": (), "readings_from_above_mm": (20.0,), "readings_from_below_mm": (34.5,)}, 14.5),
        # Means of both sides: 21 and 36 mm.
        ({"readings_mm": (), "readings_from_above_mm": (20.0, 22.0), "readings_from_below_mm": (35.0, 37.0)}, 15.0),
        ({"readings_mm": (), "readings_from_above_mm": (40.0,), "readings_from_below_mm": (20.0,)}, None),
    ],
)
def test_readings_a_tenth_of_the_travel_apart_are_a_sticky_spring(readings: Any, apart: float | None) -> None:
    notes = found(taken(**readings))
    assert [note.code for note in notes] == ["sticky"] * (apart is not None)
    if apart is not None:
        # 14.5 of 140 mm are 10.4 %, 15 are 10.7 %.
        assert notes[0].said.key == "caution.sticky.fork"
        assert dict(notes[0].said.values) == {"apart": apart, "percent": 10 if apart < 15 else 11}


@pytest.mark.parametrize(("psi", "above"), [(100.0, False), (100.4, False), (101.0, True)])
def test_a_newest_check_above_the_maximum_is_told(psi: float, above: bool) -> None:
    notes = found(taken(psi=120.0), taken(psi=psi))
    assert [note.said.key for note in notes] == ["caution.pumped_above_maximum.fork"] * above
    if above:
        assert dict(notes[0].said.values) == {"psi": 101, "limit": 100}
    coil = FrontEnd(travel_mm=140.0, spring="coil")
    model = EndModel("front", coil, REQUEST)
    assert codes(taken(psi=psi), model=model, result=coil_at(9_000.0)) == []


def test_a_coil_measured_with_too_much_preload_is_told_when_it_was_just_taken() -> None:
    model = EndModel("front", FrontEnd(travel_mm=140.0, spring="coil"), REQUEST)
    check = taken(psi=0.0, spring_rate_n_per_mm=8.0, preload_mm=9.0)
    for now in (True, False):
        notes = check_cautions(model, (check,), coil_at(9_000.0), now=now)
        assert [note.code for note in notes] == ["preload_above_limit"] * now
    assert check_cautions(model, (check,), coil_at(9_000.0)) == ()


def test_answers_that_disagree_are_told() -> None:
    (note,) = found(taken(), answers_disagree=True)
    assert (note.code, note.said.key) == ("answers_disagree", "caution.answers_disagree.fork")


@pytest.mark.parametrize(("surprise", "told"), [(3.0, False), (3.1, True), (-3.0, False), (-3.1, True)])
def test_a_second_check_that_surprises_is_a_change(surprise: float, told: bool) -> None:
    notes = found(taken(), taken(), newest_surprise=surprise)
    assert [note.said.key for note in notes] == ["caution.something_changed.fork"] * told
    assert codes(taken(), newest_surprise=surprise) == []
    model = EndModel("front", FrontEnd(travel_mm=140.0, spring="coil"), REQUEST)
    coil = found(taken(), taken(), model=model, result=coil_at(9_000.0, newest_surprise=surprise))
    assert [note.said.key for note in coil] == ["caution.something_changed.coil"] * told


@pytest.mark.parametrize(
    ("before", "newest", "count", "code"),
    [
        (-3.1, 3.1, 3, "answers_disagree"),
        (3.1, -3.1, 3, "answers_disagree"),
        (3.1, 3.1, 3, "something_changed"),
        (-3.0, 3.1, 3, "something_changed"),
        (-3.1, 3.1, 2, "something_changed"),
        (-3.1, 3.1, 4, "answers_disagree"),
        (-9.0, 3.0, 3, None),
    ],
)
def test_a_bike_does_not_change_to_and_fro(
    monkeypatch: pytest.MonkeyPatch, before: float, newest: float, count: int, code: str | None
) -> None:
    seen: list[int] = []

    def learned_of(model: EndModel, checks: tuple[TakenCheck, ...]) -> Any:
        seen.append(len(checks))
        return SimpleNamespace(surprise=before)

    monkeypatch.setattr(module, "learned_of", learned_of)
    assert codes(*[taken()] * count, newest_surprise=newest) == ([] if code is None else [code])
    assert set(seen) <= {count - 1}


@pytest.mark.parametrize(
    ("count", "each", "told"),
    [(10, 2.1, True), (10, 2.0, False), (10, 1.0, False), (9, 9.0, False), (10, -2.1, True), (12, 2.1, True)],
)
def test_five_newest_checks_that_all_miss_are_a_change(
    monkeypatch: pytest.MonkeyPatch, count: int, each: float, told: bool
) -> None:
    held: list[Any] = []
    monkeypatch.setattr(module, "likelihoods_of", lambda _name, checks: tuple(range(len(checks))))
    monkeypatch.setattr(module, "learn", lambda ready, _model: held.append(ready))
    misses = [99.0] * (count - 5) + [each] * 5
    monkeypatch.setattr(module, "expect", lambda _earlier, one: SimpleNamespace(surprise=misses[one]))
    assert codes(*[taken()] * count) == ["something_changed"] * told
    assert held == ([tuple(range(count - 5))] if count >= 10 else [])
