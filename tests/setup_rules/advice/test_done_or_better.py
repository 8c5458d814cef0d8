"""When a pressure is done: likely good enough, or hardly to be bettered; how near is near, and where chance decides."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from setup_rules import SagCheck, Setup, apply_sag_check, read_request, recommend
from setup_rules.advice import recommend as composing


def checked(travel_mm: float, off_mm: float) -> Setup:
    """Return a fork's setup after one reading at its start pressure that is off the target sag."""
    setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": travel_mm}}))
    assert setup.front is not None
    reading = setup.front.sag_target_mm + off_mm
    check = SagCheck(end="front", pressure_pa=setup.front.pressure_pa, readings_mm=(reading,))
    return apply_sag_check(setup, check)


@pytest.mark.parametrize("travel_mm", [80, 120, 170])
def test_near_is_never_more_than_the_tolerance_and_in_metres(travel_mm: float, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[float, float]] = []

    def chance(_: Any, bench_pa: float, target_m: float, near_m: float) -> float:
        asked.append((target_m, near_m))
        return 1.0

    monkeypatch.setattr(composing, "chance_near", chance)
    setup = checked(travel_mm, 0.0)
    assert setup.front is not None
    assert len(asked) == 2
    for target_m, near_m in asked:
        assert target_m == pytest.approx(setup.front.sag_target_mm / 1000)
        assert near_m == pytest.approx(min(max(2.0, 0.02 * travel_mm), 0.025 * travel_mm) / 1000)


@pytest.mark.parametrize(("kept", "best", "settled"), [(0.0, 1.0, False), (1.0, 1.0, True), (0.0, 0.0, True)])
def test_a_pressure_in_the_tolerance_is_done_if_likely_or_if_none_is_likelier(
    kept: float, best: float, settled: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    chances = itertools.cycle((kept, best))
    monkeypatch.setattr(composing, "chance_near", lambda *_: next(chances))
    # 3 mm off a tolerance of 3.4: another pressure follows from it by more than a gauge's error.
    assert checked(170, 3.0).settled is settled
