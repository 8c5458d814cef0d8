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
    _end_setup,
    _in_part,
    _needed,
    _settle,
    apply_sag_check,
    compose,
    keep_end,
    pressure_limits_pa,
    pumping_limits_pa,
)
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import central_row
from setup_rules.inference.start_setting import Banded
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
    request = SetupRequest(rider_mass_kg=78.0, riding_style="trail", **{name: end}, **given)
    return EndModel(name, end, request)


def note(code: str, end: Any = None) -> Note:
    """Return a word of one end."""
    return Note(code, Message(code), end=end)


def setup_of(word: str, version: str = "2", **ends: Any) -> Setup:
    """Return an answer whose words can be told: a caution and a reason of each end, and one of none."""
    words = tuple(note(word, end) for end in ("front", "rear", None))
    given: dict[str, Any] = {"front": end_with(), "rear": end_with(end="rear"), **ends}
    return Setup(request=BOTH, cautions=words, reasons=words, rules_version=version, **given)


def told(notes: tuple[Note, ...]) -> list[tuple[str, str | None]]:
    """Return code and end of what is said."""
    return [(one.code, one.end) for one in notes]


@pytest.mark.parametrize(("name", "other"), [("front", "rear"), ("rear", "front")])
def test_an_end_is_kept_with_all_that_is_said_of_it(name: Any, other: str) -> None:
    kept = end_with(end=name, pressure_pa=1.0)
    before, after = setup_of("old", **{name: kept}), setup_of("new")
    found = keep_end(before, after, name)
    assert getattr(found, name) is kept
    assert getattr(found, other) is getattr(after, other)
    words = [("new", end) for end in ("front", "rear", None) if end != name] + [("old", name)]
    assert told(found.cautions) == told(found.reasons) == words


@pytest.mark.parametrize("version", ["1", "3"])
@pytest.mark.parametrize("name", ["front", "rear"])
def test_numbers_kept_from_other_rules_are_said_to_be_so(version: str, name: Any) -> None:
    found = keep_end(setup_of("old", version), setup_of("new"), name)
    assert told(found.cautions)[-1] == ("earlier_rules", name)
    assert ("earlier_rules", name) not in told(keep_end(setup_of("old"), setup_of("new"), name).cautions)


@pytest.mark.parametrize("name", ["front", "rear"])
def test_an_end_that_was_not_there_keeps_no_numbers_of_other_rules(name: Any) -> None:
    found = keep_end(setup_of("old", "1", **{name: None}), setup_of("new"), name)
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
        apply_sag_check(setup_of("old", **{missing: None}), replace(CHECK, end=missing))
    monkeypatch.setattr(module, "compose", lambda *_: setup_of("new", **{missing: None}))
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
        return _needed(setup_of("", front=end_with(**changed), rear=None), "front")

    band = {"pressure_low_pa": 70.0, "pressure_high_pa": 95.0, "max_pressure_pa": 150.0}
    assert needed(pressure_pa=80.0, **band) == (70.0, 95.0)
    assert needed(pressure_pa=60.0, **band) == (60.0, 95.0)
    assert needed(pressure_pa=100.0, **band) == (70.0, 100.0)
    # No number above the maximum is named, though the spring may need it.
    assert needed(pressure_pa=80.0, **{**band, "max_pressure_pa": 90.0}) == (70.0, 90.0)
    assert needed(coil=COIL) == (7000.0, 9000.0)
    assert _needed(setup_of("", rear=None), "rear") is None
    rear = end_with(end="rear", pressure_pa=200.0, pressure_low_pa=180.0, pressure_high_pa=210.0)
    assert _needed(setup_of("", rear=rear), "rear") == (180.0, 210.0)


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
    assert pumping_psi(20.0) == (pytest.approx(25.0, rel=1e-15), pytest.approx(100.0, rel=1e-15))


def test_a_maximum_on_the_ride_counts_more_than_a_minimum_at_the_pump() -> None:
    assert pumping_psi(50.0, low=95.0) == pytest.approx((89.352, 89.352), abs=1e-3)
    # (1 + 14.696)/1.10234 − 14.696 is below zero: nothing is pumped.
    assert pumping_psi(50.0, low=0.5, high=1.0) == (0.0, 0.0)


def offered(monkeypatch: pytest.MonkeyPatch, kept_psi: float, moved_psi: float = 100.0, most_psi: float = 150.0) -> Any:
    """Return what is offered after a check at a pressure, of 50 psi on, or what was moved to where nothing is."""

    def pumped(pa: float) -> Any:
        return SimpleNamespace(pumped_to=pa)

    def end_setup(_model: Any, _learned: Any, _used: int, kept_pa: float) -> tuple[EndSetup, None]:
        return end_with(pressure_pa=kept_pa), None

    monkeypatch.setattr(module, "_at_bench", lambda *_: kept_psi * PSI_PA)
    monkeypatch.setattr(module, "pumping_limits_pa", lambda _model: (50 * PSI_PA, most_psi * PSI_PA))
    monkeypatch.setattr(module, "_end_setup", end_setup)
    monkeypatch.setattr(module, "DrawnEnd", SimpleNamespace(of=lambda *_: SimpleNamespace(pumped=pumped)))
    monkeypatch.setattr(module, "chance_near", lambda drawn, pa, target, near: (drawn.pumped_to, pa, target, near))
    monkeypatch.setattr(module, "choose_offer", lambda _model, _check, offer: (offer, True))
    learned: Any = SimpleNamespace(posterior=None)
    return _settle(model_of(), learned, 1, CHECK, end_with(pressure_pa=moved_psi * PSI_PA))


@pytest.mark.parametrize(
    ("psi", "kept"),
    [
        (80.0, 80.0),
        # A gauge may be off by 0.6 %: 49.7 and 150.9 psi are as good as the limits, and answered as such.
        (49.71, 50.0),
        (49.69, None),
        (150.89, 150.0),
        (150.91, None),
    ],
)
def test_a_pressure_is_kept_inside_the_limits_as_a_gauge_reads_them(
    monkeypatch: pytest.MonkeyPatch, psi: float, kept: float | None
) -> None:
    offer, settled = offered(monkeypatch, psi)
    if kept is None:
        assert (offer.pressure_pa, settled) == (pytest.approx(100 * PSI_PA), False)
    else:
        assert offer.kept.pressure_pa == pytest.approx(kept * PSI_PA)
        # The chances are of the pressure as it was set: within 2.8 mm of 30 mm, 2 % of 140 mm.
        set_pa = pytest.approx(psi * PSI_PA)
        assert offer.kept_chance == (set_pa, set_pa, 0.03, pytest.approx(0.0028))
        moved_pa = pytest.approx(100 * PSI_PA)
        assert offer.moved_chance == (moved_pa, moved_pa, 0.03, pytest.approx(0.0028))


@pytest.mark.parametrize(
    ("kept", "moved", "same"),
    [
        (80.0, 80.99, True),  # less than 1 psi
        (80.0, 81.01, False),
        (80.0, 79.01, True),
        (64.0, 65.0, True),
        (300.0, 301.79, True),  # of 300 psi a gauge shows no step below 1.8
        (300.0, 301.81, False),
    ],
)
def test_a_step_that_a_gauge_hardly_shows_is_none(
    monkeypatch: pytest.MonkeyPatch, kept: float, moved: float, same: bool
) -> None:
    offer, _ = offered(monkeypatch, kept, moved, most_psi=400.0)
    assert (offer.same, offer.firmer) == (same, moved > kept)


def test_a_pressure_that_stays_is_no_firmer(monkeypatch: pytest.MonkeyPatch) -> None:
    offer, _ = offered(monkeypatch, 80.0, 80.0)
    assert (offer.same, offer.firmer) == (True, False)


#: What `standing_parts` answers for any pressure.
STANDING = (
    "end", "travel_mm", "sag_target_mm", "sag_expected_mm", "sag_low_mm", "sag_high_mm", "wheel_travel_mm",
    "wheel_sag_mm", "load_n", "rate_n_per_m", "full_force_n", "rebound", "compression", "curve", "friction_n",
)  # fmt: skip


def made(
    monkeypatch: pytest.MonkeyPatch,
    wanted: tuple[float, float, float] = (70.0, 80.0, 95.0),
    *,
    kept: float | None = None,
    used: int = 0,
    end: FrontEnd = FORK,
    **places: Any,
) -> EndSetup:
    """Return the numbers of a fork of 50 to 150 psi that wants a pressure of so many psi (low, middle, high)."""
    asked = replace(end, min_pressure_psi=50.0, max_pressure_psi=150.0)
    model = model_of(asked, **places)
    drawn = SimpleNamespace(model=model)
    drawn.pumped = lambda _pa: drawn
    band = Banded(*(PSI_PA * psi for psi in wanted))
    standing = {name: getattr(end_with(), name) for name in STANDING}
    monkeypatch.setattr(module, "DrawnEnd", SimpleNamespace(of=lambda *_: drawn))
    monkeypatch.setattr(module, "wanted_pumped", lambda *_: band)
    monkeypatch.setattr(module, "first_guess", lambda *_: Banded(0.0, 64.0 * PSI_PA, 0.0))
    monkeypatch.setattr(module, "standing_parts", lambda *_: standing)
    monkeypatch.setattr(module, "answer_second", lambda *_: None)
    monkeypatch.setattr(module, "chart_fit_percent", lambda *_: 7.0)
    learned: Any = SimpleNamespace(posterior=None)
    return _end_setup(model, learned, used, None if kept is None else kept * PSI_PA)[0]


def psi(end: EndSetup) -> tuple[float, float, float]:
    """Return low, pressure and high [psi]."""
    band = (end.pressure_low_pa, end.pressure_pa, end.pressure_high_pa)
    return tuple(round(pa / PSI_PA, 3) for pa in band)  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("wanted", "kept", "found", "limited"),
    [
        ((70.0, 80.0, 95.0), None, (70.0, 80.0, 95.0), False),
        # A gauge is read to 1 psi, and three times 0.6 % of 80 psi are 1.44 psi.
        ((79.9, 80.0, 80.1), None, (78.56, 80.0, 81.44), False),
        ((49.9, 50.0, 50.1), None, (49.0, 50.0, 51.0), False),
        ((100.0, 160.0, 200.0), None, (100.0, 150.0, 200.0), True),
        ((20.0, 40.0, 70.0), None, (20.0, 50.0, 70.0), True),
        ((-20.0, -5.0, -3.0), None, (0.0, 50.0, 0.0), True),
        # As shown, whole psi from 40 on, these are no more than the limits.
        ((100.0, 150.4, 200.0), None, (100.0, 150.0, 200.0), False),
        ((30.0, 49.6, 70.0), None, (30.0, 50.0, 70.0), False),
        # What is kept as set is never outside the range that is said to be right.
        ((70.0, 80.0, 95.0), 60.0, (60.0, 60.0, 95.0), False),
        ((70.0, 80.0, 95.0), 110.0, (70.0, 110.0, 110.0), False),
        ((70.0, 160.0, 195.0), 110.0, (70.0, 110.0, 195.0), True),
    ],
)
def test_a_pressure_lies_inside_its_limits_and_its_band_around_it(
    monkeypatch: pytest.MonkeyPatch,
    wanted: tuple[float, float, float],
    kept: float | None,
    found: tuple[float, float, float],
    limited: bool,
) -> None:
    end = made(monkeypatch, wanted, kept=kept)
    assert psi(end) == found
    assert end.limited is limited


def test_a_printed_maximum_is_told_though_a_warm_ride_allows_less(monkeypatch: pytest.MonkeyPatch) -> None:
    bench, ride = Conditions(temperature_c=20.0, altitude_m=0.0), Conditions(temperature_c=50.0, altitude_m=0.0)
    end = made(monkeypatch, (100.0, 145.0, 190.0), bench=bench, ride=ride)
    # (150 + 14.696)/1.10234 − 14.696 = 134.71 psi are 150 psi on the ride.
    assert psi(end)[1] == pytest.approx(134.71, abs=0.01)
    assert end.limited
    assert end.ride_pressure_pa == pytest.approx(150 * PSI_PA)
    assert (end.min_pressure_pa, end.max_pressure_pa) == pytest.approx((50 * PSI_PA, 150 * PSI_PA))
    assert (end.max_pressure_assumed, end.min_pressure_assumed) == (False, False)


def test_the_force_of_a_measured_spring_is_told_beside_the_first_guess(monkeypatch: pytest.MonkeyPatch) -> None:
    assert made(monkeypatch).force_factor is None
    assert made(monkeypatch, used=1).force_factor == pytest.approx(80.0 / 64.0)


def test_a_chart_is_held_against_the_spring_where_there_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    assert made(monkeypatch).chart_fit_percent is None
    assert made(monkeypatch, end=replace(FORK, chart=((60.0, 60.0), (80.0, 80.0)))).chart_fit_percent == 7.0
    assert made(monkeypatch, end=replace(FORK, volume_spacers=2)).volume_spacers == 2
