"""The whole recommendation: directions, bounds, limits and cautions, for ordinary and for extreme requests."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from setup_rules import EndSetup, RequestError, Setup, SetupRequest, read_request, recommend
from setup_rules.types.units import PSI_PA
from tests.examples import examples
from tests.setup_rules.drawn_requests import STYLES, requests

FRONT: dict[str, Any] = {"travel_mm": 140, "stanchion_mm": 34, "max_pressure_psi": 400, "min_pressure_psi": 0}
REAR: dict[str, Any] = {
    "stroke_mm": 55,
    "leverage_start": 2.9,
    "leverage_end": 2.4,
    "max_pressure_psi": 400,
    "min_pressure_psi": 0,
}


def setup_for(mass: float = 78, style: str = "trail", **parts: Any) -> Setup:
    """Return the setup of a rider on a bike with both ends, changed as given."""
    return recommend(
        read_request({"rider_mass_kg": mass, "riding_style": style, "front": FRONT, "rear": REAR, **parts})
    )


def both(setup: Setup) -> tuple[EndSetup, EndSetup]:
    """Return front and rear of a setup that has both."""
    assert setup.front is not None
    assert setup.rear is not None
    return setup.front, setup.rear


def codes(setup: Setup, end: str) -> set[str]:
    """Return the codes of the cautions of one end."""
    return {note.code for note in setup.cautions if note.end == end}


def agreed(data: dict[str, Any]) -> SetupRequest:
    """Read drawn data, or skip the example where its parts do not agree."""
    try:
        return read_request(data)
    except RequestError:
        assume(False)
        raise


@settings(max_examples=examples(300))
@given(requests())
def test_every_legal_request_is_answered_with_finite_numbers_inside_the_limits(data: dict[str, Any]) -> None:
    setup = recommend(agreed(data))
    assert setup.ends()
    for end in setup.ends():
        numbers = [v for v in dataclasses.asdict(end).values() if isinstance(v, float)]
        numbers += [*end.curve.force_n, *end.curve.load_n]
        assert all(math.isfinite(v) for v in numbers)
        low, high = end.min_pressure_pa, end.max_pressure_pa
        # The maximum on a warm or high ride counts more than the minimum at the pump.
        assert low <= end.pressure_pa or end.limited
        assert end.pressure_pa <= high
        assert 0 <= end.pressure_low_pa <= end.pressure_high_pa
        assert -1e-9 <= end.sag_low_mm <= end.sag_expected_mm + 1e-6
        assert end.sag_expected_mm <= end.sag_high_mm + 1e-6 <= end.travel_mm + 1e-5
        assert end.rebound is not None
        assert 0 <= end.rebound.out <= end.rebound.total
        if end.limited:
            assert codes(setup, end.end) & {"pressure_above_maximum", "pressure_below_minimum"}
        else:
            assert end.pressure_low_pa <= end.pressure_pa <= end.pressure_high_pa
    assert all(note.message for note in (*setup.cautions, *setup.reasons))


@given(st.floats(20, 150), st.floats(0.5, 10), st.sampled_from(STYLES), st.sampled_from(["air", "coil"]))
def test_a_heavier_rider_pumps_more_at_both_ends(mass: float, more: float, style: str, negative: str) -> None:
    ends = {"front": {**FRONT, "negative_spring": negative}, "rear": {**REAR, "negative_spring": negative}}
    light, heavy = setup_for(mass, style, **ends), setup_for(mass + more, style, **ends)
    for one, other in zip(both(light), both(heavy), strict=True):
        at_limit = one.pressure_pa in (one.min_pressure_pa, one.max_pressure_pa)
        assert other.pressure_pa > one.pressure_pa or (at_limit and other.pressure_pa >= one.pressure_pa)


@given(st.floats(50, 120), st.floats(8, 40), st.floats(0.5, 4))
def test_more_sag_is_asked_for_with_less_pressure(mass: float, percent: float, more: float) -> None:
    def at(target: float) -> Setup:
        ends = {"front": {**FRONT, "sag_target_percent": target}, "rear": {**REAR, "sag_target_percent": target}}
        return setup_for(mass, **ends)

    for firm, soft in zip(both(at(percent)), both(at(percent + more)), strict=True):
        assert soft.pressure_pa < firm.pressure_pa or firm.pressure_pa == firm.max_pressure_pa


@given(st.floats(40, 120), st.sampled_from(STYLES))
def test_solving_forward_and_back_meets_the_target_sag(mass: float, style: str) -> None:
    for end in both(setup_for(mass, style)):
        if end.min_pressure_pa < end.pressure_pa < end.max_pressure_pa:
            assert end.sag_expected_mm == pytest.approx(end.sag_target_mm, abs=0.02 * end.travel_mm)
            assert end.sag_low_mm < end.sag_target_mm < end.sag_high_mm


def test_the_same_request_always_has_the_same_answer() -> None:
    assert setup_for() == setup_for()


def test_known_internals_narrow_the_band() -> None:
    known = {
        **FRONT,
        "bore_mm": 30.8,
        "rod_mm": 10,
        "positive_volume_cm3": 174,
        "negative_volume_cm3": 18,
        "port_position_mm": 7,
    }
    unknown, (front, _) = both(setup_for())[0], both(setup_for(front=known))
    width = [(e.pressure_high_pa - e.pressure_low_pa) / e.pressure_pa for e in (unknown, front)]
    assert width[1] < 0.8 * width[0]


def test_a_target_that_needs_more_than_the_maximum_gets_the_maximum_and_a_way_out() -> None:
    front = {**FRONT, "max_pressure_psi": 60, "sag_target_percent": 12}
    setup = setup_for(130, front=front)
    end, _ = both(setup)
    assert end.pressure_pa == pytest.approx(60 * PSI_PA)
    assert end.sag_expected_mm > end.sag_target_mm
    assert "pressure_above_maximum" in codes(setup, "front")
    message = next(n.message for n in setup.cautions if n.code == "pressure_above_maximum")
    assert "60 psi" in message
    assert "workshop" in message


def test_a_target_that_needs_less_than_the_minimum_gets_the_minimum_and_a_way_out() -> None:
    front = {**FRONT, "min_pressure_psi": 80, "sag_target_percent": 40}
    setup = setup_for(30, front=front)
    end, _ = both(setup)
    assert end.pressure_pa == pytest.approx(80 * PSI_PA)
    assert end.sag_expected_mm < end.sag_target_mm
    assert "pressure_below_minimum" in codes(setup, "front")


def test_a_maximum_that_nobody_entered_is_said_to_be_a_guess() -> None:
    bare = {"travel_mm": 140}
    assert "maximum_assumed" in codes(setup_for(front=bare), "front")
    assert "maximum_assumed" not in codes(setup_for(), "front")


@pytest.mark.parametrize(("percent", "unusual"), [(7.9, True), (8.0, False), (40.0, False), (40.1, True)])
def test_a_target_outside_the_usual_range_is_computed_with_a_caution(percent: float, unusual: bool) -> None:
    setup = setup_for(front={**FRONT, "sag_target_percent": percent})
    assert ("sag_unusual" in codes(setup, "front")) is unusual
    assert both(setup)[0].sag_target_mm == pytest.approx(1.4 * percent)


def test_a_coil_negative_carries_its_own_caution() -> None:
    setup = setup_for(front={**FRONT, "negative_spring": "coil"})
    assert "coil_negative" in {note.code for note in setup.cautions}
    assert "coil_negative" not in {note.code for note in setup_for().cautions}


def test_altitude_moves_a_coil_negative_far_more_than_an_equalised_air_negative() -> None:
    # At the rear, where no closed lower legs add their own share.
    def shift(negative: str) -> float:
        rear = {**REAR, "negative_spring": negative}
        low = both(setup_for(rear=rear))[1].pressure_pa
        high = both(setup_for(rear=rear, ride={"altitude_m": 3000}))[1].pressure_pa
        return abs(high - low) / low

    assert shift("coil") > 2 * shift("air")


def test_a_cold_ride_is_pumped_for_at_a_warm_bench() -> None:
    warm, cold = both(setup_for()), both(setup_for(ride={"temperature_c": -10, "altitude_m": 0}))
    assert cold[0].pressure_pa > warm[0].pressure_pa
    assert cold[1].pressure_pa > warm[1].pressure_pa
    # What a shock needs out there does not change; a fork needs a little more, since its lower legs cooled as well.
    assert cold[1].ride_pressure_pa == pytest.approx(warm[1].ride_pressure_pa, rel=1e-6)
    assert warm[0].ride_pressure_pa < cold[0].ride_pressure_pa < 1.06 * warm[0].ride_pressure_pa
    assert any(note.code == "front_conditions" for note in setup_for(ride={"temperature_c": -10}).reasons)


def test_pumping_where_one_rides_needs_no_word_about_conditions() -> None:
    assert not any(note.code.endswith("_conditions") for note in setup_for().reasons)


@pytest.mark.parametrize("style", STYLES)
def test_every_number_has_a_reason_with_a_source(style: str) -> None:
    setup = setup_for(style=style)
    for end in ("front", "rear"):
        named = {note.code for note in setup.reasons if note.end == end}
        assert {f"{end}_{what}" for what in ("load", "spring", "pressure", "sag", "rebound")} <= named
    assert all(note.source for note in setup.reasons)


def test_a_rear_sag_is_also_said_at_the_wheel() -> None:
    _, rear = both(setup_for())
    assert rear.wheel_travel_mm == pytest.approx(0.5 * (2.9 + 2.4) * 55)
    assert rear.wheel_sag_mm / rear.wheel_travel_mm > rear.sag_target_mm / rear.travel_mm


def test_a_heavier_rider_is_given_fewer_rebound_clicks_out() -> None:
    light, heavy = both(setup_for(50))[0].rebound, both(setup_for(110))[0].rebound
    assert light is not None
    assert heavy is not None
    assert heavy.out < light.out


def test_a_front_or_rear_alone_is_answered_alone() -> None:
    only_front = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": FRONT}))
    assert (only_front.front is not None, only_front.rear) == (True, None)
    assert only_front.front == both(setup_for())[0]


def test_shorter_travel_by_spacers_wants_more_pressure_at_the_same_sag_share() -> None:
    long, short = ({**FRONT, "travel_mm": t, "longest_travel_mm": 160, "sag_target_percent": 20} for t in (160, 130))
    setup = setup_for(front=short)
    assert both(setup)[0].pressure_pa > both(setup_for(front=long))[0].pressure_pa
    assert "travel_spacers" in codes(setup, "front")


def test_a_volume_spacer_hardly_moves_the_start_pressure_but_raises_the_end_force() -> None:
    without, spaced = both(setup_for())[0], both(setup_for(front={**FRONT, "volume_spacers": 3}))[0]
    assert spaced.pressure_pa == pytest.approx(without.pressure_pa, rel=0.08)
    assert spaced.full_force_n > 1.1 * without.full_force_n


@pytest.mark.parametrize(("travel", "unusual"), [(54, True), (55, False), (145, False), (146, True)])
def test_a_travel_more_than_25_mm_off_what_its_stanchions_usually_have_is_cautioned(travel: int, unusual: bool) -> None:
    """Stanchions of 32 mm usually come with 80 to 120 mm (our estimate)."""
    body = {"rider_mass_kg": 75, "riding_style": "trail", "front": {"travel_mm": travel, "stanchion_mm": 32}}
    assert ("travel_unusual" in codes(recommend(read_request(body)), "front")) is unusual
