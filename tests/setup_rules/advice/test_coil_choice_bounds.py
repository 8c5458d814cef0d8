"""Which coil is chosen at the very bounds of near enough: a shock of 50 mm aimed at 15 mm, where 0.25 mm are close.

Preload does nothing here: each rate gives the sag that is written beside it.
"""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules.advice.coil_setup import answer_coil
from setup_rules.inference.likelihood import Learned
from tests.setup_rules.advice.test_spring_choice import chosen, model_of

#: The fitted spring beside one that is to be had.
FITTED: dict[str, Any] = {"stocked_rates_n_per_mm": (80.0,), "fitted_rate_n_per_mm": 72.0}


@pytest.mark.parametrize(
    ("fitted", "stocked", "rate"),
    [
        (15.25, 15.0, 72.0),  # a quarter of a millimetre is half a per cent of the stroke: close enough
        (14.75, 15.0, 72.0),
        (15.26, 15.0, 80.0),
        (14.74, 15.0, 80.0),
        (16.0, 14.0, 72.0),  # as far off on either side: what is fitted stays
        (16.0, 14.1, 80.0),
        (14.0, 15.9, 80.0),
    ],
)
def test_a_fitted_spring_is_kept_as_far_as_it_is_close_or_no_other_is_nearer(
    monkeypatch: Any, fitted: float, stocked: float, rate: float
) -> None:
    assert chosen(monkeypatch, {72.0: fitted, 80.0: stocked}, gain=0.0, **FITTED).rate_n_per_m == 1000 * rate


@pytest.mark.parametrize(("sag", "reaches"), [(17.0, True), (17.1, False), (13.0, True), (12.9, False)])
def test_the_only_spring_known_is_kept_where_it_reaches_the_target(monkeypatch: Any, sag: float, reaches: bool) -> None:
    # Within 2 mm; else the exact rate.
    one = chosen(monkeypatch, {72.0: sag, 80.0: 15.0}, gain=0.0, fitted_rate_n_per_mm=72.0)
    assert one.rate_n_per_m == (72_000.0 if reaches else 80_000.0)


@pytest.mark.parametrize(
    ("sags", "rate"),
    [
        # Both close: as much preload, so the nearer one.
        ({70.0: 15.25, 75.0: 15.1}, 75.0),
        ({70.0: 15.1, 75.0: 15.25}, 70.0),
        # One close, however near the other.
        ({70.0: 15.25, 75.0: 15.3}, 70.0),
        ({70.0: 14.7, 75.0: 14.75}, 75.0),
    ],
)
def test_of_the_close_ones_the_nearest_with_as_much_preload(
    monkeypatch: Any, sags: dict[float, float], rate: float
) -> None:
    assert chosen(monkeypatch, sags, gain=0.0, stocked_rates_n_per_mm=(70.0, 75.0)).rate_n_per_m == 1000 * rate


@pytest.mark.parametrize(("sag", "rate"), [(16.25, 70.0), (15.75, 70.0), (15.7, 75.0)])
def test_a_quarter_of_a_millimetre_off_is_as_good_as_the_target_for_less_preload(
    monkeypatch: Any, sag: float, rate: float
) -> None:
    # 75 N/mm comes to the target with 2 mm, 70 N/mm to 15.25, 14.75 or 14.7 mm with 1 mm.
    sags = {70.0: sag, 75.0: 17.0}
    assert chosen(monkeypatch, sags, stocked_rates_n_per_mm=(70.0, 75.0)).rate_n_per_m == 1000 * rate


@pytest.mark.parametrize(
    ("sag", "preload"), [(16.0, 1.0), (16.2, 1.0), (16.3, 1.5), (19.0, 4.0), (30.0, 4.0), (3.0, 1.0)]
)
def test_preload_goes_to_the_step_nearest_to_the_target(monkeypatch: Any, sag: float, preload: float) -> None:
    # A millimetre of preload takes a millimetre of sag, from 1 to 4 mm in steps of half a millimetre.
    one = chosen(monkeypatch, {75.0: sag}, stocked_rates_n_per_mm=(75.0,))
    assert (one.preload_mm, one.sag_mm) == pytest.approx((preload, sag - preload))
    assert one.least_preload_sag_mm == pytest.approx(sag - 1.0)


def test_halfway_between_two_steps_less_preload_is_as_good(monkeypatch: Any) -> None:
    # 16.25 mm: a quarter of a millimetre off with 1 mm as with 1.5 mm.
    assert chosen(monkeypatch, {75.0: 16.25}, stocked_rates_n_per_mm=(75.0,)).preload_mm == 1.0


def test_the_exact_rate_takes_the_least_preload_though_more_would_come_nearer(monkeypatch: Any) -> None:
    one = chosen(monkeypatch, {80.0: 17.0})
    assert (one.rate_n_per_m, one.preload_mm, one.sag_mm) == (80_000.0, 1.0, 16.0)


def test_all_of_an_estimated_preload_is_all_of_it_on_a_coarse_ring_too(monkeypatch: Any) -> None:
    # A pitch of 6 mm leaves two steps of a quarter turn below our 3 mm: 1.5 and 3 mm.
    coarse: dict[str, Any] = {**FITTED, "preload_mm_max": None, "preload_pitch_mm": 6.0}
    assert chosen(monkeypatch, {72.0: 18.0, 80.0: 16.5}, **coarse).rate_n_per_m == 80_000.0
    # A pitch of 8 mm leaves one, 2 mm: where nothing can be turned nothing is spent.
    coarser = {**coarse, "preload_pitch_mm": 8.0}
    assert chosen(monkeypatch, {72.0: 17.2, 80.0: 17.0}, **coarser).rate_n_per_m == 72_000.0


@pytest.mark.parametrize(("entered", "bind"), [(4.0, False), (4.5, True), (3.5, False)])
def test_coils_that_touch_just_beyond_the_limit_are_no_reason_for_it(entered: float, bind: bool) -> None:
    # A spring of 54 mm in a shock of 50 mm binds at 4 mm of preload.
    model = model_of(coil_stroke_mm=54.0, preload_mm_max=entered)
    coil = answer_coil(model, Learned.nothing(), 0, None).result.coil
    assert coil is not None
    assert coil.preload_max_bind is bind
