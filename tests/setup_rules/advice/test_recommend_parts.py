"""How an answer is put together, with made-up numbers in the place of the spring: limits, bands, ends and versions.

1 psi is 6894.757 Pa. At 0 m the air presses with 101,325 Pa; 30 °C warmer than 20 °C is 323.15/293.15 = 1.10234.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from setup_rules.advice import recommend as module
from setup_rules.advice.end_answer import EndAnswer
from setup_rules.advice.recommend import (
    _in_part,
    _needed,
    apply_sag_check,
    compose,
    keep_end,
    pressure_limits_pa,
    pumping_limits_pa,
)
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import central_row
from setup_rules.messages.message import Message
from setup_rules.types.request import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import CoilSetup, EndSetup, Note, SagCheck, Setup, TakenCheck
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_stop_rule import end_with

FORK = FrontEnd(travel_mm=140.0, stanchion_mm=34)
SHOCK = RearEnd(stroke_mm=55.0, leverage_start=2.8)
BOTH = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=FORK, rear=SHOCK)
COIL = CoilSetup(
    rate_n_per_m=8000.0,
    rate_wanted_n_per_m=8100.0,
    rate_low_n_per_m=7000.0,
    rate_high_n_per_m=9000.0,
    origin="exact",
    preload_mm=0.0,
    preload_turns=None,
    preload_min_mm=0.0,
    preload_max_mm=5.0,
    preload_max_assumed=True,
)
CHECK = SagCheck(end="front", pressure_pa=80 * PSI_PA, readings_mm=(31.0,))


def model_of(end: FrontEnd | RearEnd = FORK, **given: Any) -> EndModel:
    """Return an end of a rider of 78 kg."""
    name: Any = "front" if isinstance(end, FrontEnd) else "rear"
    asked: dict[str, Any] = {"rider_mass_kg": 78.0, "riding_style": "trail", name: end, **given}
    request = SetupRequest(**asked)
    return EndModel(name, end, request)


def note(code: str, end: Any = None) -> Note:
    """Return a word of one end."""
    return Note(code, Message(code), end=end)


def setup_of(word: str, ends: dict[Any, Any] | None = None, version: str = "2") -> Setup:
    """Return an answer whose words can be told: a caution and a reason of each end, and one of none."""
    words = tuple(note(word, end) for end in ("front", "rear", None))
    given: dict[str, Any] = {"front": end_with(), "rear": end_with(end="rear"), **(ends or {})}
    return Setup(request=BOTH, cautions=words, reasons=words, rules_version=version, **given)


def told(notes: tuple[Note, ...]) -> list[tuple[str, str | None]]:
    """Return code and end of what is said."""
    return [(one.code, one.end) for one in notes]


@pytest.mark.parametrize(("name", "other"), [("front", "rear"), ("rear", "front")])
def test_an_end_is_kept_with_all_that_is_said_of_it(name: Any, other: str) -> None:
    kept = end_with(end=name, pressure_pa=1.0)
    before, after = setup_of("old", {name: kept}), setup_of("new")
    found = keep_end(before, after, name)
    assert getattr(found, name) is kept
    assert getattr(found, other) is getattr(after, other)
    words = [("new", end) for end in ("front", "rear", None) if end != name] + [("old", name)]
    assert told(found.cautions) == told(found.reasons) == words


@pytest.mark.parametrize("version", ["1", "3"])
@pytest.mark.parametrize("name", ["front", "rear"])
def test_numbers_kept_from_other_rules_are_said_to_be_so(version: str, name: Any) -> None:
    found = keep_end(setup_of("old", version=version), setup_of("new"), name)
    assert told(found.cautions)[-1] == ("earlier_rules", name)
    assert ("earlier_rules", name) not in told(keep_end(setup_of("old"), setup_of("new"), name).cautions)


@pytest.mark.parametrize("name", ["front", "rear"])
def test_an_end_that_was_not_there_keeps_no_numbers_of_other_rules(name: Any) -> None:
    found = keep_end(setup_of("old", {name: None}, "1"), setup_of("new"), name)
    assert getattr(found, name) is None
    assert "earlier_rules" not in {one.code for one in found.cautions}


@pytest.mark.parametrize("missing", ["front", "rear"])
def test_a_check_of_an_end_without_numbers_is_an_error_of_the_program(
    monkeypatch: pytest.MonkeyPatch, missing: Any
) -> None:
    # The request has the end, so nobody who measured it is to blame.
    monkeypatch.setattr(module, "with_check", lambda *_: ())
    monkeypatch.setattr(module, "compose", lambda *_: setup_of("new"))
    with pytest.raises(KeyError, match=missing):
        apply_sag_check(setup_of("old", {missing: None}), replace(CHECK, end=missing))
    monkeypatch.setattr(module, "compose", lambda *_: setup_of("new", {missing: None}))
    with pytest.raises(KeyError, match=missing):
        apply_sag_check(setup_of("old"), replace(CHECK, end=missing))


def answers(monkeypatch: pytest.MonkeyPatch, settled: bool | None = None) -> list[Any]:
    """Have each end answered by made-up numbers; return where each call's checks and `now` are noted."""
    calls: list[Any] = []

    def answer(model: EndModel, _learned: Any, used: int, latest: SagCheck | None) -> EndAnswer:
        calls.append((model.name, used, latest))
        end = model.name
        share_of = lambda share: (Note("share", Message("share", {"share": round(share, 6)}), end=end),)  # noqa: E731
        return EndAnswer(end_with(end=end), (note("own", end),), share_of, settled)

    def checked(model: EndModel, _checks: Any, _result: EndSetup, *, now: bool) -> tuple[Note, ...]:
        return (note("just_checked" if now else "checked", model.name),)

    monkeypatch.setattr(module, "_answer_air", answer)
    known = SimpleNamespace(posterior=SimpleNamespace(centre=central_row()))
    monkeypatch.setattr(module, "learned_of", lambda *_: known)
    monkeypatch.setattr(module, "check_cautions", checked)
    monkeypatch.setattr(module, "general_cautions", lambda _request: (note("general"),))
    return calls


def test_an_answer_has_both_ends_with_each_ones_share_of_the_rider(monkeypatch: pytest.MonkeyPatch) -> None:
    answers(monkeypatch)
    found = compose(BOTH, (), None)
    assert [end.end for end in found.ends()] == ["front", "rear"]
    # 0.39 of a rider who stands is on the front wheel.
    assert [(one.end, one.said.values) for one in found.reasons] == [
        ("front", {"share": 0.39}),
        ("rear", {"share": 0.61}),
    ]
    own = [("own", "front"), ("checked", "front"), ("own", "rear"), ("checked", "rear")]
    assert told(found.cautions) == [*own, ("general", None)]
    assert found.settled is None


def test_a_check_counts_for_its_own_end_unless_it_was_struck_out(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = answers(monkeypatch)
    own = TakenCheck(check=CHECK, request=BOTH)
    checks = (own, replace(own, struck=True), own, replace(own, check=replace(CHECK, end="rear")))
    assert compose(BOTH, checks, None).checks == checks
    assert calls == [("front", 2, None), ("rear", 1, None)]


@pytest.mark.parametrize(("name", "other"), [("front", "rear"), ("rear", "front")])
@pytest.mark.parametrize("settled", [True, False])
def test_after_a_check_its_own_end_alone_is_answered(
    monkeypatch: pytest.MonkeyPatch, name: Any, other: str, settled: bool
) -> None:
    calls = answers(monkeypatch, settled)
    check = replace(CHECK, end=name)
    found = compose(BOTH, (), check)
    assert calls == [(name, 0, check)]
    assert [end.end for end in found.ends()] == [name]
    assert getattr(found, other) is None
    assert ("just_checked", name) in told(found.cautions)
    assert found.settled is settled


def test_what_an_end_may_need_is_its_band_below_its_maximum() -> None:
    def needed(**changed: Any) -> tuple[float, float] | None:
        return _needed(setup_of("", {"front": end_with(**changed), "rear": None}), "front")

    band = {"pressure_low_pa": 70.0, "pressure_high_pa": 95.0, "max_pressure_pa": 150.0}
    assert needed(pressure_pa=80.0, **band) == (70.0, 95.0)
    assert needed(pressure_pa=60.0, **band) == (60.0, 95.0)
    assert needed(pressure_pa=100.0, **band) == (70.0, 100.0)
    # No number above the maximum is named, though the spring may need it.
    assert needed(pressure_pa=80.0, **{**band, "max_pressure_pa": 90.0}) == (70.0, 90.0)
    assert needed(coil=COIL) == (7000.0, 9000.0)
    assert _needed(setup_of("", {"rear": None}), "rear") is None
    rear = end_with(end="rear", pressure_pa=200.0, pressure_low_pa=180.0, pressure_high_pa=210.0)
    assert _needed(setup_of("", {"rear": rear}), "rear") == (180.0, 210.0)


@pytest.mark.parametrize(
    ("coil", "settled"), [(None, False), (replace(COIL, stroke_needed_mm=60.0), False), (COIL, True)]
)
def test_nothing_is_done_in_part_with_air_or_where_no_spring_is_moved(coil: CoilSetup | None, settled: bool) -> None:
    # Nothing is learned for it: a request without the end would raise.
    nobody = replace(BOTH, front=None)
    assert _in_part(nobody, (), CHECK, end_with(coil=coil), settled=settled) == ()


@pytest.mark.parametrize(
    ("end", "low", "high"),
    [
        (FORK, 25.0, 120.0),
        (SHOCK, 50.0, 250.0),
        (replace(FORK, max_pressure_psi=72.52), 25.0, 72.0),  # a gauge shows 72, and 73 would be too much
        (replace(FORK, max_pressure_psi=20.0), 18.0, 20.0),  # an assumed minimum leaves a tenth below the maximum
        (replace(FORK, max_pressure_psi=60.0, min_pressure_psi=59.0), 59.0, 60.0),  # an entered one stands
        (replace(FORK, max_pressure_psi=60.5, min_pressure_psi=60.3), 60.0, 60.0),
        (replace(FORK, second_max_pressure_psi=100.9), 25.0, 100.0),  # the second chamber holds more than the first
        (replace(FORK, max_pressure_psi=90.0, second_max_pressure_psi=100.0), 25.0, 90.0),
    ],
)
def test_the_limits_are_as_entered_else_cautious(end: FrontEnd | RearEnd, low: float, high: float) -> None:
    assert pressure_limits_pa(model_of(end)) == pytest.approx((low * PSI_PA, high * PSI_PA), rel=1e-12)


def pumping_psi(ride_c: float, low: float = 25.0, high: float = 100.0) -> tuple[float, float]:
    """Return the limits at a bench of 20 °C for a ride at another temperature, both at 0 m [psi]."""
    end = replace(FORK, min_pressure_psi=low, max_pressure_psi=high)
    bench, ride = Conditions(temperature_c=20.0, altitude_m=0.0), Conditions(temperature_c=ride_c, altitude_m=0.0)
    least, most = pumping_limits_pa(model_of(end, bench=bench, ride=ride))
    return least / PSI_PA, most / PSI_PA


def test_a_maximum_holds_on_a_warm_ride_too() -> None:
    # (100 + 14.696)/1.10234 − 14.696 = 89.35 psi at the bench are 100 psi at 50 °C.
    assert pumping_psi(50.0) == pytest.approx((25.0, 89.352), abs=1e-3)
    assert pumping_psi(0.0) == pytest.approx((25.0, 100.0), rel=1e-12)  # in the cold the bench is what counts
    assert pumping_psi(20.0) == pytest.approx((25.0, 100.0), rel=1e-15)


def test_a_maximum_on_the_ride_counts_more_than_a_minimum_at_the_pump() -> None:
    assert pumping_psi(50.0, low=95.0) == pytest.approx((89.352, 89.352), abs=1e-3)
    # (1 + 14.696)/1.10234 − 14.696 is below zero: nothing is pumped.
    assert pumping_psi(50.0, low=0.5, high=1.0) == (0.0, 0.0)
