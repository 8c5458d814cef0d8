"""A second positive chamber in answers: what it moves and what not, its limits, checks, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest

import setup_rules as rules
from setup_rules.types.units import PSI_PA

FORK: dict[str, Any] = {
    "travel_mm": 160,
    "stanchion_mm": 36,
    "bore_mm": 34,
    "positive_volume_cm3": 230,
    "rebound_clicks": 16,
}
SECOND = {"second_volume_cm3": 45, "second_pressure_ratio": 1.8, "second_max_pressure_psi": 200}
SHOCK = {"stroke_mm": 60, "leverage_start": 2.8, "leverage_end": 2.4, "bore_mm": 44, "positive_volume_cm3": 160}


def setup(rider_kg: float = 78, **more: Any) -> rules.Setup:
    """Return the setup of a fork with a second chamber."""
    end = {key: value for key, value in {**FORK, **SECOND, **more}.items() if value is not None}
    return rules.recommend(rules.read_request({"rider_mass_kg": rider_kg, "riding_style": "enduro", "front": end}))


def front(answer: rules.Setup) -> rules.EndSetup:
    """Return the fork's answer."""
    assert answer.front is not None
    return answer.front


def codes(answer: rules.Setup) -> set[str]:
    """Return the codes of all cautions."""
    return {note.code for note in answer.cautions}


def test_below_its_threshold_it_moves_the_end_of_the_travel_and_nothing_else() -> None:
    with_it = setup()
    without = setup(**dict.fromkeys(SECOND))
    one, other = front(with_it), front(without)
    assert other.second is None
    assert one.second is not None
    assert one.second.joins_at_mm is not None
    assert one.rest_mm + one.sag_high_mm < one.second.joins_at_mm < 160
    for name in ("pressure_pa", "pressure_low_pa", "pressure_high_pa", "sag_expected_mm", "rate_n_per_m"):
        assert getattr(one, name) == pytest.approx(getattr(other, name)), name
    assert (one.rebound.out, one.rebound.total) == (other.rebound.out, other.rebound.total)
    assert one.rebound.damping_n_s_per_m == pytest.approx(other.rebound.damping_n_s_per_m)
    assert one.full_force_n < 0.95 * other.full_force_n
    last = [place for place, mm in enumerate(one.curve.compression_mm) if mm < one.second.joins_at_mm][-1]
    assert one.curve.force_n[: last + 1] == pytest.approx(other.curve.force_n[: last + 1], abs=0.02)
    assert one.curve.force_n[-1] < other.curve.force_n[-1]
    assert "second_chamber" in codes(with_it)
    assert "second_chamber" not in codes(without)


def test_both_pressures_follow_the_rider() -> None:
    light, heavy = setup(60), setup(95)
    for answer in (light, heavy):
        second = front(answer).second
        assert second is not None
        assert second.pressure_pa == pytest.approx(1.8 * front(answer).pressure_pa)
    assert front(heavy).pressure_pa > 1.2 * front(light).pressure_pa


def test_its_maximum_holds_and_says_so() -> None:
    for limit, assumed in ({"second_max_pressure_psi": 80}, False), ({"second_max_pressure_psi": None}, True):
        answer = setup(second_pressure_ratio=4, **limit)
        second = front(answer).second
        assert second is not None
        assert second.limited
        assert second.max_pressure_assumed == assumed
        assert second.pressure_pa == pytest.approx(second.max_pressure_pa)
        assert "second_limited" in codes(answer)


def test_the_first_chamber_never_passes_the_maximum_of_the_second() -> None:
    answer = setup(150, second_max_pressure_psi=60, max_pressure_psi=150)
    second = front(answer).second
    assert second is not None
    assert front(answer).limited
    assert front(answer).pressure_pa == pytest.approx(60 * PSI_PA)
    assert second.pressure_pa == pytest.approx(60 * PSI_PA)


def test_a_sag_check_corrects_the_first_and_the_second_follows() -> None:
    before = setup()
    sag = round(1.25 * front(before).sag_expected_mm)
    check = rules.SagCheck(end="front", pressure_pa=front(before).pressure_pa, readings_mm=(sag, sag), confirm=True)
    after, plain = (rules.apply_sag_check(one, check) for one in (before, setup(**dict.fromkeys(SECOND))))
    assert front(after).pressure_pa > front(before).pressure_pa
    assert front(after).pressure_pa == pytest.approx(front(plain).pressure_pa)
    second = front(after).second
    assert second is not None
    assert second.pressure_pa == pytest.approx(1.8 * front(after).pressure_pa)


def test_where_the_sag_lies_beyond_the_threshold_it_says_so_and_the_check_knows() -> None:
    early = setup(second_pressure_ratio=1.05)
    (joins,) = [note.said.key for note in early.reasons if note.code == "front_second_joins"]
    assert joins == "second.joins.in_sag"
    assert front(early).pressure_pa > 1.02 * front(setup()).pressure_pa
    sag = round(front(early).sag_expected_mm)
    check = rules.SagCheck(end="front", pressure_pa=front(early).pressure_pa, readings_mm=(sag, sag))
    assert rules.apply_sag_check(early, check).settled


def test_a_what_if_and_a_travel_change_keep_it() -> None:
    park = rules.what_if(setup(), {"riding_style": "park", "front": {"volume_spacers": 1}})
    shorter = rules.plan_travel(setup(), rules.TravelWish(travel_mm=150, longest_travel_mm=160, spacers=((10, 1),)))
    assert shorter.after is not None
    for answer in (park, shorter.after):
        second = front(answer).second
        assert second is not None
        assert second.volume_cm3 == 45
        assert second.pressure_pa == pytest.approx(1.8 * front(answer).pressure_pa)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"second_pressure_ratio": None}, "front.second_pressure_ratio"),
        ({"second_volume_cm3": None}, "front.second_volume_cm3"),
        ({"second_volume_cm3": None, "second_pressure_ratio": None}, "front.second_volume_cm3"),
        ({"positive_volume_cm3": None}, "front.second_volume_cm3"),
        ({"positive_volume_cm3": None, "bore_mm": None}, "front.second_volume_cm3"),
        ({"second_pressure_ratio": 1.0}, "front.second_pressure_ratio"),
        ({"second_volume_cm3": 1}, "front.second_volume_cm3"),
        ({"second_max_pressure_psi": 401}, "front.second_max_pressure_psi"),
        ({"spring": "coil"}, "front.second_pressure_ratio"),
    ],
)
def test_half_a_second_chamber_one_without_a_first_or_of_a_coil_is_refused(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(rules.RequestError) as refused:
        setup(**changes)
    assert field in {problem.field for problem in refused.value.problems}


def test_a_shock_has_one_too_and_pushes_on_it_are_read_with_it() -> None:
    rear = {**SHOCK, "second_volume_cm3": 18, "second_pressure_ratio": 1.6, "second_max_pressure_psi": 400}
    data: dict[str, Any] = {"rider_mass_kg": 70, "riding_style": "trail", "rear": rear}
    answer = rules.recommend(rules.read_request(data)).rear
    assert answer is not None
    assert answer.second is not None
    assert answer.second.joins_at_mm is not None
    assert 0 < answer.second.joins_at_mm < 60
