"""Volume spacers: the end of the stroke moves, the sag stays, and what does not fit is not advised."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules import FrontEnd, RearEnd, SetupRequest, read_request, recommend, what_if
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import central_row, prior
from setup_rules.inference.size_class import draw_fork
from setup_rules.inference.volume_spacer import LEAST_LEFT, spacer_effect, spacers_fit

FRONT: dict[str, Any] = {"travel_mm": 140, "stanchion_mm": 34}
REAR: dict[str, Any] = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}


def request_of(**front: Any) -> SetupRequest:
    """Return a request for both ends."""
    return read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {**FRONT, **front}, "rear": REAR})


def model_of(name: str, request: SetupRequest) -> EndModel:
    """Return one end made ready."""
    end = request.front if name == "front" else request.rear
    assert end is not None
    return EndModel("front" if name == "front" else "rear", end, request)


@pytest.mark.parametrize("name", ["front", "rear"])
def test_one_more_spacer_takes_more_work_and_force_to_reach_the_end(name: str) -> None:
    effect = spacer_effect(model_of(name, request_of()), prior(), 1, 0.015)
    assert effect.work_factor > 1
    assert effect.full_force_factor > effect.work_factor


def test_one_less_gives_back_exactly_what_one_more_took() -> None:
    none, one = request_of(), request_of(volume_spacers=1)
    up = spacer_effect(model_of("front", none), prior(), 1, 0.03)
    down = spacer_effect(model_of("front", one), prior(), 0, 0.03)
    assert up.work_factor * down.work_factor == pytest.approx(1, rel=1e-12)
    assert (up.pressure_before_pa, up.pressure_after_pa) == (down.pressure_after_pa, down.pressure_before_pa)


@given(st.integers(0, 3), st.floats(0.015, 0.05))
def test_the_pressure_that_keeps_the_sag_moves_little_and_downwards(count: int, sag_m: float) -> None:
    effect = spacer_effect(model_of("front", request_of(volume_spacers=count)), prior(), count + 1, sag_m)
    assert 0.9 < effect.pressure_after_pa / effect.pressure_before_pa < 1.0


def test_the_work_is_that_of_the_force_summed_over_the_stroke() -> None:
    request = request_of()
    model = model_of("front", request)
    effect = spacer_effect(model, prior(), 2, 0.03)
    works = []
    for count, pressure in ((0, effect.pressure_before_pa), (2, effect.pressure_after_pa)):
        one = EndModel(model.name, replace(model.end, volume_spacers=count), request)
        x = np.linspace(0.0, one.travel_m, 20_001)
        force = one.springs(prior().centre).force_n(
            x, one.setting.acting(pressure, request.ride), one.setting.site(request.ride), 1.35
        )
        works.append(float(np.trapezoid(force, x)))
    assert effect.work_factor == pytest.approx(works[1] / works[0], rel=1e-5)


def test_a_setup_with_one_more_spacer_keeps_its_target_sag_and_gets_stiffer_at_the_end() -> None:
    before = recommend(request_of())
    after = what_if(before, {"front": {"volume_spacers": 2}})
    assert before.front is not None
    assert after.front is not None
    assert after.front.sag_target_mm == before.front.sag_target_mm
    assert after.front.sag_expected_mm == pytest.approx(before.front.sag_expected_mm, abs=0.3)
    assert after.front.full_force_n > 1.05 * before.front.full_force_n


def test_spacers_fit_until_too_little_of_the_chamber_is_left() -> None:
    end = request_of().front
    assert isinstance(end, FrontEnd)
    spring = draw_fork(end, central_row())
    room_cm3 = 1e6 * (float(spring.compressed_volume_m3) - LEAST_LEFT * float(spring.area_m2) * float(spring.travel_m))
    most = int(room_cm3 // 8.0)
    assert spacers_fit(end, most)
    assert not spacers_fit(end, most + 1)
    assert spacers_fit(replace(end, volume_spacer_cm3=1.0), most + 1)


def test_the_chamber_as_entered_decides_where_it_is_known() -> None:
    small = RearEnd(
        stroke_mm=55.0,
        leverage_start=2.9,
        leverage_end=2.4,
        bore_mm=38.0,
        positive_volume_cm3=82.0,
        volume_spacer_cm3=6.0,
    )
    assert spacers_fit(small, 1)
    assert not spacers_fit(small, 2)
    assert spacers_fit(replace(small, positive_volume_cm3=120.0), 5)


@pytest.mark.parametrize("count", [-1, 13])
def test_a_number_that_no_chamber_takes_does_not_fit(count: int) -> None:
    assert not spacers_fit(FrontEnd(travel_mm=200.0), count)
