"""A shop's own checks as evidence: pressure, band and later checks follow; absent, they change nothing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

import setup_rules as rules
from setup_rules.inference.class_shift import (
    SPRING_CLASSES,
    class_log_weight,
    is_class_alone,
    spring_class,
    told_of_class,
    without_shops,
)
from setup_rules.inference.end_model import EndModel
from setup_rules.types.request import ShopChecks

RIDER: dict[str, Any] = {"rider_mass_kg": 78, "riding_style": "trail"}
ENDS: dict[str, dict[str, Any]] = {
    "fork_36_air": {"front": {"travel_mm": 150, "stanchion_mm": 36}},
    "fork_32_coil": {"front": {"travel_mm": 100, "stanchion_mm": 32, "negative_spring": "coil"}},
    "shock_air": {"rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.5}},
}


def request_with(name: str, factor: float | None, **end: Any) -> rules.SetupRequest:
    """Return a request of one class, with a factor of its shop or without."""
    (side, own), *_ = ENDS[name].items()
    told = {"spring_class": name, "checks": 43, "factor": factor, "factor_sigma": 0.03}
    extra = {} if factor is None else {"shop_checks": told}
    return rules.read_request({**RIDER, side: {**own, **extra, **end}})


def end_of(request: rules.SetupRequest, **more: Any) -> Any:
    """Return the answer for the one end."""
    return rules.recommend(request, **more).ends()[0]


@pytest.mark.parametrize("name", ENDS)
@pytest.mark.parametrize("factor", [0.88, 0.95, 1.05, 1.12])
def test_the_pressure_moves_by_about_the_factor_and_the_band_with_it(name: str, factor: float) -> None:
    plain, moved = end_of(request_with(name, None)), end_of(request_with(name, factor))
    assert moved.pressure_pa / plain.pressure_pa == pytest.approx(factor, abs=0.04)
    for low, high in ((moved.pressure_low_pa, plain.pressure_low_pa), (moved.pressure_high_pa, plain.pressure_high_pa)):
        assert (low / high - 1.0) * (factor - 1.0) > 0.0
    width = (moved.pressure_high_pa / moved.pressure_low_pa) / (plain.pressure_high_pa / plain.pressure_low_pa)
    assert 0.8 < width < 1.15  # the centre moves, the spread stays
    assert moved.sag_low_mm < moved.sag_target_mm < moved.sag_high_mm


@pytest.mark.parametrize("name", ENDS)
def test_a_factor_of_one_hardly_moves_anything(name: str) -> None:
    plain, moved = end_of(request_with(name, None)), end_of(request_with(name, 1.0))
    assert moved.pressure_pa == pytest.approx(plain.pressure_pa, rel=0.005)


def test_later_checks_outweigh_the_shop() -> None:
    apart = []
    for factor in (None, 1.15):
        setup = rules.recommend(request_with("fork_36_air", factor))
        for _ in range(2):
            check = rules.SagCheck(
                end="front", pressure_pa=70 * 6894.757, readings_from_above_mm=(30.0,), readings_from_below_mm=(36.0,)
            )
            setup = rules.apply_sag_check(setup, check)
        assert setup.front is not None
        apart.append(setup.front.pressure_pa)
    assert apart[1] == pytest.approx(apart[0], rel=0.03)


@pytest.mark.parametrize(
    "known", [{"bore_mm": 34}, {"negative_volume_cm3": 30}, {"chart": [[60, 60], [80, 80], [100, 100]]}]
)
def test_what_was_entered_leaves_nothing_to_the_class(known: dict[str, Any]) -> None:
    with_shop, without = request_with("fork_36_air", 1.2, **known), request_with("fork_36_air", None, **known)
    assert end_of(with_shop) == end_of(without)
    assert not is_class_alone(with_shop.front)  # type: ignore[arg-type]
    assert not [note for note in rules.recommend(with_shop).reasons if note.code == "front_shop_checks"]


def test_a_class_that_is_no_longer_the_ends_says_nothing() -> None:
    setup = rules.recommend(request_with("fork_36_air", 1.2))
    other = rules.what_if(setup, {"front": {"stanchion_mm": 32}})
    plain = rules.recommend(rules.read_request({**RIDER, "front": {"travel_mm": 150, "stanchion_mm": 32}}))
    assert other.front is not None
    assert plain.front is not None
    assert other.front.pressure_pa == plain.front.pressure_pa
    assert told_of_class(other.request.front) is None  # type: ignore[arg-type]


def test_a_what_if_keeps_what_the_shop_says_and_the_reasons_tell_it() -> None:
    setup = rules.what_if(rules.recommend(request_with("fork_36_air", 1.08)), {"kit_mass_kg": 8})
    assert setup.request.front is not None
    assert setup.request.front.shop_checks is not None
    said = next(note for note in setup.reasons if note.code == "front_shop_checks").message
    assert said == "The shop's 43 first sag checks: forks of this size need 8 % more pressure than our estimate."


def test_a_request_goes_to_data_and_back_and_can_be_stripped() -> None:
    request = request_with("shock_air", 0.9)
    assert rules.read_request(rules.request_data(request)) == request
    assert without_shops(request) == request_with("shock_air", None)
    assert "shop_checks" not in str(rules.request_data(without_shops(request)))


@pytest.mark.parametrize(
    "wrong",
    [
        {},
        [],
        "yes",
        {"spring_class": "fork_36_air", "checks": 9, "factor": 1.1},
        {"spring_class": "fork_99_air", "checks": 9, "factor": 1.1, "factor_sigma": 0.03},
        {"spring_class": "fork_36_air", "checks": 0, "factor": 1.1, "factor_sigma": 0.03},
        {"spring_class": "fork_36_air", "checks": True, "factor": 1.1, "factor_sigma": 0.03},
        {"spring_class": "fork_36_air", "checks": 9.5, "factor": 1.1, "factor_sigma": 0.03},
        {"spring_class": "fork_36_air", "checks": 9, "factor": 1.34, "factor_sigma": 0.03},
        {"spring_class": "fork_36_air", "checks": 9, "factor": 0.74, "factor_sigma": 0.03},
        {"spring_class": "fork_36_air", "checks": 9, "factor": float("nan"), "factor_sigma": 0.03},
        {"spring_class": "fork_36_air", "checks": 9, "factor": 1.1, "factor_sigma": 0.0},
        {"spring_class": "fork_36_air", "checks": 9, "factor": 1.1, "factor_sigma": 0.03, "more": 1},
        {"spring_class": ["fork_36_air"], "checks": 9, "factor": 1.1, "factor_sigma": 0.03},
    ],
)
def test_what_is_not_as_it_is_stored_is_refused(wrong: Any) -> None:
    with pytest.raises(rules.RequestError) as caught:
        rules.read_request({**RIDER, "front": {"travel_mm": 150, "shop_checks": wrong}})
    assert [problem.field for problem in caught.value.problems] == ["front.shop_checks"]


def test_every_end_has_a_class_that_is_known() -> None:
    for name in ENDS:
        end = next(end for _, end in request_with(name, None).ends())
        assert spring_class(end) == name
        assert name in SPRING_CLASSES


def test_the_weights_move_the_mean_log_pressure_by_the_factor() -> None:
    request = request_with("fork_36_air", 1.08)
    assert request.front is not None
    model = EndModel("front", request.front, request)
    weight = np.exp(class_log_weight(model))
    assert 1.0 / np.sum((weight / weight.sum()) ** 2) > 300.0  # of 512 draws
    nothing = replace(request.front, shop_checks=None)
    assert class_log_weight(EndModel("front", nothing, request)) is None
    other = replace(
        request.front, shop_checks=ShopChecks(spring_class="shock_air", checks=9, factor=1.1, factor_sigma=0.1)
    )
    assert class_log_weight(EndModel("front", other, request)) is None
