"""The numbers of an end with air, with a made-up wanted pressure in the place of the spring.

1 psi is 6894.757 Pa. At 0 m the air presses with 101,325 Pa; 50 °C beside 20 °C is 323.15/293.15 = 1.10234.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from setup_rules.advice import recommend as module
from setup_rules.advice.recommend import (
    _end_setup,
)
from setup_rules.inference.start_setting import Banded
from setup_rules.types.request import Conditions, FrontEnd
from setup_rules.types.result import EndSetup
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_recommend_parts import FORK, model_of
from tests.setup_rules.advice.test_stop_rule import end_with

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
        ((-20.0, -5.0, -4.0), None, (0.0, 50.0, 0.0), True),
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


def test_a_pressure_below_zero_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    end = made(monkeypatch, (-20.0, -5.0, -4.0))
    assert (end.pressure_low_pa, end.pressure_high_pa) == (0.0, 0.0)


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
