"""The planner: what is kept, what follows, what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules import RequestError, SagCheck, Setup, apply_sag_check, read_request, recommend
from setup_rules.advice.travel_plan import TravelPlan, TravelWish, plan_travel

INTERNALS = {"bore_mm": 30.0, "rod_mm": 10.0, "positive_volume_cm3": 150.0, "negative_volume_cm3": 30.0}
SPACERS = ((10.0, 4), (20.0, 2))


def setup(**front: Any) -> Setup:
    """Return a setup of a fork with 100 mm of travel that has 140 mm without spacers."""
    asked = {"travel_mm": 100, "longest_travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16, **front}
    return recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": asked}))


def plan(start: Setup, travel: float = 120.0, **wish: Any) -> TravelPlan:
    """Plan a travel from a setup."""
    given = {"longest_travel_mm": 140.0, "spacers": SPACERS, **wish}
    return plan_travel(start, TravelWish(travel_mm=travel, **given))


def fields(error: pytest.ExceptionInfo[RequestError]) -> set[str]:
    """Return the fields that a refusal names."""
    return {problem.field for problem in error.value.problems}


@pytest.mark.parametrize("internals", [{}, INTERNALS], ids=["class", "internals"])
def test_a_longer_travel_wants_less_pressure_for_the_same_share_of_sag(internals: dict[str, float]) -> None:
    found = plan(setup(**internals))
    assert found.before.front is not None
    assert found.after is not None
    assert found.after.front is not None
    assert found.after.front.pressure_pa < found.before.front.pressure_pa
    assert found.after.front.sag_target_percent == found.before.front.sag_target_percent
    assert found.after.front.travel_mm == 120
    assert [s.pieces for s in found.stacks.exact] == [((20, 1),), ((10, 2),)]


def test_a_known_chamber_follows_the_travel() -> None:
    after = plan(setup(**INTERNALS)).after
    assert after is not None
    assert after.request.front is not None
    # The volume of a cylinder, π/4 · 30² mm² · 20 mm = 14.137 cm³, by hand.
    assert after.request.front.positive_volume_cm3 == pytest.approx(164.137, abs=1e-3)


def test_there_and_back_is_where_it_was() -> None:
    start = setup(**INTERNALS)
    there = plan(start).after
    assert there is not None
    back = plan(there, 100.0).after
    assert back is not None
    assert back.front is not None
    assert start.front is not None
    # The head angle comes back to within what a wheelbase that was not measured anew is worth.
    assert back.front.pressure_pa == pytest.approx(start.front.pressure_pa, rel=2e-4)


def test_what_a_sag_check_taught_is_kept() -> None:
    start = setup()
    assert start.front is not None
    check = SagCheck(end="front", pressure_pa=start.front.pressure_pa, readings_mm=(30, 31, 30))
    learned = apply_sag_check(start, check)
    after, naive = plan(learned).after, plan(start).after
    assert after is not None
    assert after.front is not None
    assert naive is not None
    assert naive.front is not None
    assert after.front.checks_used == 1
    # The fork sagged too far, so it needs more air than a fork of its class, at the new travel too.
    assert after.front.pressure_pa > 1.1 * naive.front.pressure_pa
    width = (after.front.pressure_high_pa - after.front.pressure_low_pa) / after.front.pressure_pa
    naive_width = (naive.front.pressure_high_pa - naive.front.pressure_low_pa) / naive.front.pressure_pa
    assert width < 0.6 * naive_width


def test_before_and_after_are_of_the_same_spring_where_the_longest_travel_was_not_known() -> None:
    unknown = recommend(
        read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 100, "stanchion_mm": 34}})
    )
    found, known = plan(unknown), plan(setup(rebound_clicks=None))
    assert found.saved is unknown
    assert found.before.front is not None
    assert known.before.front is not None
    assert found.before.front.pressure_pa == pytest.approx(known.before.front.pressure_pa)
    assert found.after is not None
    assert found.after.front is not None
    assert found.after.front.pressure_pa < found.before.front.pressure_pa


def test_a_chart_stays_that_of_the_travel_it_was_read_for() -> None:
    after = plan(setup(chart=[[60, 60], [80, 80], [100, 100]])).after
    assert after is not None
    assert after.request.front is not None
    assert after.request.front.chart_travel_mm == 100


def test_a_longer_fork_makes_the_head_angle_slacker_and_lifts_the_bottom_bracket() -> None:
    found = plan(setup(head_angle_deg=66.0), wheelbase_mm=1200.0)
    assert found.geometry.head_angle_deg == pytest.approx(-0.8664, abs=5e-5)
    assert found.geometry.bottom_bracket_mm > 0
    assert found.geometry.front_centre_mm > 0
    assert found.after is not None
    assert found.after.request.front is not None
    assert found.after.request.front.head_angle_deg == pytest.approx(65.13, abs=0.005)


@pytest.mark.parametrize("limit", ["unit_limit_mm", "frame_limit_mm"])
def test_a_travel_beyond_what_a_maker_allows_is_refused(limit: str) -> None:
    with pytest.raises(RequestError, match="manual allows") as error:
        plan(setup(), 120.0, **{limit: 119.0})
    assert fields(error) == {"travel_mm"}
    assert plan(setup(), 120.0, **{limit: 120.0}).after is not None


def test_more_than_the_fork_has_without_spacers_is_refused() -> None:
    with pytest.raises(RequestError) as error:
        plan(setup(), 150.0)
    assert fields(error) == {"travel_mm"}


def test_a_longest_travel_below_the_travel_installed_is_refused() -> None:
    with pytest.raises(RequestError) as error:
        plan(setup(), 80.0, longest_travel_mm=90.0)
    assert fields(error) == {"longest_travel_mm"}


def test_the_travel_that_is_there_is_no_change() -> None:
    with pytest.raises(RequestError, match="already"):
        plan(setup(), 100.0)


def test_a_setup_without_a_fork_is_refused() -> None:
    rear = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}
    shock = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "rear": rear}))
    with pytest.raises(RequestError, match="no fork"):
        plan(shock)


def test_spacers_that_do_not_add_up_leave_the_nearest_travels_and_no_setup() -> None:
    found = plan(setup(), 115.0)
    assert found.after is None
    assert [s.travel_mm for s in found.stacks.nearest] == [110, 120]


def test_too_many_spacers_are_a_problem_of_the_spacers() -> None:
    with pytest.raises(RequestError) as error:
        plan(setup(), spacers=((10.0, 99),))
    assert fields(error) == {"spacers"}
