"""Which coil is chosen, with made-up sags in the place of the force balance; and what a check does to a request."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from setup_rules.advice import coil_choice as module
from setup_rules.advice import coil_setup as whole_module
from setup_rules.advice.coil_choice import find_coils, preload_step_mm, told_limits_mm, with_preload
from setup_rules.advice.coil_setup import _origin, answer_coil, with_fitted
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Learned
from setup_rules.inference.posterior import prior
from setup_rules.inference.start_setting import Banded, DrawnEnd
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import CoilChoice, SagCheck

SHOCK: dict[str, Any] = {
    "stroke_mm": 50.0,
    "leverage_start": 2.8,
    "spring": "coil",
    "preload_mm_max": 4.0,
    "coil_stroke_mm": 60.0,
}
TARGET_M = 0.015
PRESSURES = ("pressure", "pressure_low", "pressure_high", "ride_pressure", "max_pressure", "min_pressure")


def model_of(**changed: Any) -> EndModel:
    """Return a shock of 50 mm with a coil; sags within 0.25 mm of the target are equally good."""
    end = RearEnd(**{**SHOCK, **changed})
    return EndModel("rear", end, SetupRequest(rider_mass_kg=78.0, riding_style="trail", rear=end))


def chosen(
    monkeypatch: pytest.MonkeyPatch, sags: dict[float, float], *, gain: float = 1.0, wanted: float = 80.0, **end: Any
) -> CoilChoice:
    """Return the choice where each rate [N/mm] gives so much sag [mm] at no preload, a millimetre taking `gain`."""
    monkeypatch.setattr(module, "wanted_setting", lambda *_: Banded(0.0, 1000 * wanted, math.inf))
    monkeypatch.setattr(
        module,
        "expected_sag_m",
        lambda drawn, rate, _target: SimpleNamespace(
            middle=(sags[round(rate / 1000, 3)] - gain * 1000 * drawn.model.preload_m) / 1000
        ),
    )
    return find_coils(model_of(**end), prior(), TARGET_M).chosen


def test_without_a_word_of_what_is_to_be_had_the_exact_rate_at_the_least_preload(monkeypatch: Any) -> None:
    one = chosen(monkeypatch, {80.0: 16.0})
    assert (one.rate_n_per_m, one.preload_mm) == (80_000.0, 1.0)
    assert one.sag_mm == pytest.approx(15.0)


def test_preload_brings_a_softer_spring_to_the_target(monkeypatch: Any) -> None:
    one = chosen(monkeypatch, {75.0: 17.5, 85.0: 14.4}, stocked_rates_n_per_mm=(75.0, 85.0))
    assert (one.rate_n_per_m, one.preload_mm, one.reaches) == (75_000.0, 2.5, True)
    assert one.least_preload_sag_mm == pytest.approx(16.5)


def test_of_two_that_come_close_the_one_with_less_preload(monkeypatch: Any) -> None:
    # 70 N/mm comes to 15.0 with 3 mm, 75 to 15.2 with 2 mm: within half a per cent of 50 mm both are as good.
    one = chosen(monkeypatch, {70.0: 18.0, 75.0: 17.2}, stocked_rates_n_per_mm=(70.0, 75.0))
    assert (one.rate_n_per_m, one.preload_mm) == (75_000.0, 2.0)
    # With as little preload the nearer one.
    one = chosen(monkeypatch, {70.0: 17.1, 75.0: 17.0}, stocked_rates_n_per_mm=(70.0, 75.0))
    assert (one.rate_n_per_m, one.preload_mm) == (75_000.0, 2.0)


def test_where_none_comes_close_the_nearest(monkeypatch: Any) -> None:
    one = chosen(monkeypatch, {70.0: 23.0, 85.0: 12.0}, stocked_rates_n_per_mm=(70.0, 85.0))
    # 70 N/mm with 4 mm leaves 19 mm, 4 too many; 85 with 1 mm 11, 4 too few; then the first.
    assert not one.reaches
    one = chosen(monkeypatch, {70.0: 23.0, 85.0: 12.5}, stocked_rates_n_per_mm=(70.0, 85.0))
    assert (one.rate_n_per_m, one.reaches) == (85_000.0, False)
    assert one.sag_mm == pytest.approx(11.5)


@pytest.mark.parametrize(("sag", "reaches"), [(20.9, True), (21.1, False)])
def test_reached_is_within_two_millimetres(monkeypatch: Any, sag: float, reaches: bool) -> None:
    # 4 mm of preload leave 16.9 or 17.1 mm of 15 ± 2.
    one = chosen(monkeypatch, {70.0: sag}, stocked_rates_n_per_mm=(70.0,))
    assert (one.preload_mm, one.reaches) == (4.0, reaches)


@pytest.mark.parametrize(("sag", "rate"), [(17.2, 72.0), (17.6, 72.0), (13.0, 80.0)])
def test_the_fitted_spring_is_kept_where_preload_brings_it_to_the_target(
    monkeypatch: Any, sag: float, rate: float
) -> None:
    sags = {72.0: sag, 80.0: 16.0}
    one = chosen(monkeypatch, sags, stocked_rates_n_per_mm=(80.0,), fitted_rate_n_per_mm=72.0)
    assert one.rate_n_per_m == 1000 * rate


def test_a_fitted_spring_is_kept_where_no_other_is_known_and_it_reaches(monkeypatch: Any) -> None:
    assert chosen(monkeypatch, {72.0: 20.5, 80.0: 16.0}, fitted_rate_n_per_mm=72.0).rate_n_per_m == 72_000.0
    assert chosen(monkeypatch, {72.0: 22.0, 80.0: 16.0}, fitted_rate_n_per_mm=72.0).rate_n_per_m == 80_000.0


def test_a_fitted_spring_is_kept_where_no_other_is_nearer(monkeypatch: Any) -> None:
    stocked: dict[str, Any] = {"stocked_rates_n_per_mm": (60.0,), "fitted_rate_n_per_mm": 72.0}
    assert chosen(monkeypatch, {72.0: 21.0, 60.0: 25.0}, **stocked).rate_n_per_m == 72_000.0
    assert chosen(monkeypatch, {72.0: 25.0, 60.0: 21.0}, **stocked).rate_n_per_m == 60_000.0


@pytest.mark.parametrize(("most", "rate"), [(None, 80.0), (3.0, 72.0)])
def test_all_of_an_estimated_preload_is_left_for_the_next_spring(monkeypatch: Any, most: Any, rate: float) -> None:
    # Our cautious estimate for a shock is 3 mm: 18 − 3 = 15 mm would be the target, at its very end.
    given = {"stocked_rates_n_per_mm": (80.0,), "fitted_rate_n_per_mm": 72.0, "preload_mm_max": most}
    assert chosen(monkeypatch, {72.0: 18.0, 80.0: 16.0}, **given).rate_n_per_m == 1000 * rate
    # The other spring has to do with less preload, and one step less than all of it is not all.
    given |= {"stocked_rates_n_per_mm": (70.0,)}
    assert chosen(monkeypatch, {72.0: 18.0, 70.0: 18.1}, **given).rate_n_per_m == 72_000.0
    given |= {"stocked_rates_n_per_mm": (80.0,)}
    assert chosen(monkeypatch, {72.0: 17.5, 80.0: 16.0}, **given).rate_n_per_m == 72_000.0
    # Where no other comes close, the fitted one is still the best.
    assert chosen(monkeypatch, {72.0: 18.0, 80.0: 12.0}, **given).rate_n_per_m == 72_000.0


def test_two_rates_on_either_side_of_the_exact_one_are_looked_at(monkeypatch: Any) -> None:
    stocked = (50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0)
    monkeypatch.setattr(module, "wanted_setting", lambda *_: Banded(0.0, 80_000.0, math.inf))
    coils = find_coils(model_of(stocked_rates_n_per_mm=stocked), prior(), TARGET_M)
    assert [one.rate_n_per_m for one in coils.choices] == [70_000.0, 80_000.0, 90_000.0, 100_000.0]


def test_rates_that_show_alike_are_one(monkeypatch: Any) -> None:
    monkeypatch.setattr(module, "wanted_setting", lambda *_: Banded(0.0, 80_000.0, math.inf))
    coils = find_coils(model_of(stocked_rates_n_per_mm=(78.80, 78.807, 90.0)), prior(), TARGET_M)
    assert [one.rate_n_per_m for one in coils.choices] == [78_807.0, 90_000.0]


def test_where_preload_does_nothing_at_first_the_least_of_it_is_taken(monkeypatch: Any) -> None:
    one = chosen(monkeypatch, {75.0: 15.4}, gain=0.0, stocked_rates_n_per_mm=(75.0,))
    assert one.preload_mm == 1.0


def test_preload_goes_to_spring_and_model_and_leaves_the_loads() -> None:
    drawn = DrawnEnd.of(model_of(), prior())
    other: Any = with_preload(drawn, 2.5)
    assert (other.model.preload_m, other.held.springs.preload_m) == (0.0025, 0.0025)
    assert other.held.load_n is drawn.held.load_n


def test_preload_is_told_in_quarters_of_a_turn_or_half_millimetres() -> None:
    assert preload_step_mm(RearEnd(**SHOCK)) == 0.5
    assert preload_step_mm(RearEnd(**SHOCK, preload_pitch_mm=1.25)) == 0.3125


@pytest.mark.parametrize(
    ("most", "stroke", "limits"),
    [(4.0, 60.0, (1.0, 4.0)), (2.59, 60.0, (1.0, 2.5)), (0.7, 60.0, (0.7, 0.7)), (4.0, 51.55, (1.0, 1.5))],
)
def test_limits_are_cut_to_tenths(most: float, stroke: float, limits: tuple[float, float]) -> None:
    assert told_limits_mm(RearEnd(**{**SHOCK, "preload_mm_max": most, "coil_stroke_mm": stroke})) == limits


# What a check does


def test_a_check_tells_which_spring_is_fitted() -> None:
    coils = SetupRequest(
        rider_mass_kg=78.0,
        riding_style="trail",
        front=FrontEnd(travel_mm=150.0, spring="coil"),
        rear=RearEnd(**SHOCK),
    )
    front = with_fitted(coils, SagCheck(end="front", spring_rate_n_per_mm=9.0))
    assert front.front is not None
    assert (front.front.fitted_rate_n_per_mm, front.rear) == (9.0, coils.rear)
    rear = with_fitted(coils, SagCheck(end="rear", spring_rate_n_per_mm=80.0))
    assert rear.rear is not None
    assert (rear.rear.fitted_rate_n_per_mm, rear.front) == (80.0, coils.front)
    assert with_fitted(coils, SagCheck(end="rear")) is coils
    mixed = replace(coils, rear=RearEnd(stroke_mm=50.0, leverage_start=2.8))
    assert with_fitted(mixed, SagCheck(end="rear", spring_rate_n_per_mm=80.0)) is mixed
    assert with_fitted(mixed, SagCheck(end="front", spring_rate_n_per_mm=9.0)) != mixed
    air = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=FrontEnd(travel_mm=150.0))
    for end in ("front", "rear"):
        assert with_fitted(air, SagCheck(end=end, spring_rate_n_per_mm=9.0)) is air


@pytest.mark.parametrize(
    ("fitted", "origin"),
    [(80.4, "fitted"), (80.41, "exact"), (79.6, "fitted"), (79.59, "exact"), (None, "exact"), (80.0, "fitted")],
)
def test_a_rate_within_half_a_per_cent_is_the_same_spring(fitted: float | None, origin: str) -> None:
    # 0.4 N/mm either way of 80 N/mm is its print.
    assert _origin(model_of(fitted_rate_n_per_mm=fitted), 80_000.0, ()) == origin


def test_a_rate_that_is_to_be_had_is_stocked_unless_it_is_fitted() -> None:
    one = CoilChoice(rate_n_per_m=80_000.0, least_preload_sag_mm=16.0, preload_mm=1.0, sag_mm=15.0, reaches=True)
    assert _origin(model_of(), 80_000.0, (one,)) == "stocked"
    assert _origin(model_of(), 81_000.0, (one,)) == _origin(model_of(), 79_000.0, (one,)) == "exact"
    assert _origin(model_of(fitted_rate_n_per_mm=80.0), 80_000.0, (one,)) == "fitted"


def test_an_answer_without_a_check_has_no_word_whether_it_is_done() -> None:
    answer = answer_coil(model_of(preload_pitch_mm=1.25), Learned.nothing(), 0, None)
    coil = answer.result.coil
    assert coil is not None
    assert (answer.settled, answer.result.force_factor, answer.result.checks_used) == (None, None, 0)
    assert (coil.preload_min_mm, coil.preload_max_mm, coil.preload_max_assumed) == (1.0, 4.0, False)
    # The least preload in quarters of a turn of 1.25 mm is 1.25 mm: one turn.
    assert (coil.preload_mm, coil.preload_turns, coil.origin) == (1.25, 1.0, "exact")
    assert not answer.result.limited
    air = [getattr(answer.result, f"{name}_pa") for name in PRESSURES]
    assert (air, answer.result.volume_spacers) == ([0.0] * 6, 0)
    assert not answer.result.max_pressure_assumed
    assert not answer.result.min_pressure_assumed
    assert coil.rate_low_n_per_m < coil.rate_wanted_n_per_m < coil.rate_high_n_per_m


@pytest.mark.parametrize(("preload", "stroke"), [(4.05, 60.0), (1.0, 50.5)])
def test_too_much_preload_or_a_spring_too_short_is_never_kept(preload: float, stroke: float) -> None:
    model = model_of(coil_stroke_mm=stroke)
    moved = answer_coil(model, Learned.nothing(), 1, None).result
    assert moved.coil is not None
    # Read as it is wanted, from both sides: nothing but the coil itself speaks against it.
    sides: dict[str, Any] = {"readings_from_above_mm": (14.0,), "readings_from_below_mm": (14.0,)}
    rate = moved.coil.rate_n_per_m / 1000
    check = SagCheck(end="rear", spring_rate_n_per_mm=rate, preload_mm=preload, **sides)
    answer = answer_coil(model, Learned.nothing(), 1, check)
    assert (answer.settled, answer.result) == (False, moved)


@pytest.mark.parametrize(
    ("share", "more", "same"),
    [(1.0, 0.0, True), (1.002, 0.0, True), (1.01, 0.0, False), (0.99, 0.0, False), (1.0, 0.5, True), (1.0, 0.6, False)],
)
def test_a_rate_as_its_print_and_one_step_of_preload_are_the_same(
    monkeypatch: Any, share: float, more: float, same: bool
) -> None:
    offers: list[Any] = []

    def choose(_model: EndModel, _check: SagCheck, offer: Any) -> tuple[Any, bool]:
        offers.append(offer)
        return offer.kept, True

    monkeypatch.setattr(whole_module, "choose_offer", choose)
    moved = answer_coil(model_of(), Learned.nothing(), 1, None).result
    assert moved.coil is not None
    rate, preload = share * moved.coil.rate_n_per_m / 1000, moved.coil.preload_mm + more
    check = SagCheck(end="rear", spring_rate_n_per_mm=rate, preload_mm=preload, readings_mm=(14.0,))
    answer_coil(model_of(), Learned.nothing(), 1, check)
    (offer,) = offers
    assert offer.same is same
    assert offer.firmer is (share < 1.0)


@pytest.mark.parametrize(
    ("stroke", "entered", "assumed", "bind"),
    [(60.0, 4.0, False, False), (60.0, None, True, False), (52.0, None, False, True), (52.0, 4.0, False, True)],
)
def test_what_limits_the_preload_is_known(stroke: float, entered: Any, assumed: bool, bind: bool) -> None:
    model = model_of(coil_stroke_mm=stroke, preload_mm_max=entered)
    coil = answer_coil(model, Learned.nothing(), 0, None).result.coil
    assert coil is not None
    assert (coil.preload_max_assumed, coil.preload_max_bind) == (assumed, bind)


def test_a_spring_that_is_too_short_leaves_no_choice() -> None:
    model = model_of(coil_stroke_mm=50.5, stocked_rates_n_per_mm=(70.0, 80.0))
    result = answer_coil(model, Learned.nothing(), 0, None).result
    assert result.coil is not None
    assert (result.coil.choices, result.coil.stroke_needed_mm, result.limited) == ((), 51.0, True)
