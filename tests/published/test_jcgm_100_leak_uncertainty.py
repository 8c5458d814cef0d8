"""The leak check's expectation and uncertainty, against CoolProp and the law of propagation of uncertainty.

Source: JCGM 100:2008 (GUM): u²(y) = Σ (∂y/∂xᵢ)²·u²(xᵢ); a reading with step a has u = a/√12 (rectangular); the expanded
uncertainty for about 95 % takes the coverage factor 2. Gay-Lussac's law for the expected reading.

Confirmed: the loss is written out anew and propagated by the `uncertainties` package, and its spread is drawn by
simulation (JCGM 101's way), neither of which shares a line with the code; GUM itself was remembered, not opened.

Tolerance: rounding of doubles for the sum of squares, 2 % for 400 000 draws.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from uncertainties import ufloat

from setup_rules.workshop.leak_check import LeakReadings, check_leak
from tests.published.real_air import of_air

PSI, AMBIENT, ZERO = 6894.757293168, 101_325.0, 273.15
READINGS = LeakReadings(
    first_pa=84 * PSI, second_pa=79 * PSI, first_c=21.0, second_c=9.0, hours=30.0, resolution_pa=PSI, hose_share=0.04
)
SIGMAS = np.array([PSI / math.sqrt(12), PSI / math.sqrt(12), 1.0, 1.0, 0.3 * 0.04])
MEANS = np.array([84 * PSI, 79 * PSI, 21.0 + ZERO, 9.0 + ZERO, 0.04])


def loss_pa(x: np.ndarray) -> np.ndarray:
    """Return the loss [Pa] from first and second pressure, both temperatures [K] and the hose's share."""
    return (x[0] + AMBIENT) * x[3] / x[2] - AMBIENT - x[1] * (1 + x[4])


def test_the_expected_pressure_is_that_of_real_air_in_a_closed_chamber() -> None:
    density = of_air("D", "T", 21.0 + ZERO, "P", 84 * PSI + AMBIENT)
    real = of_air("P", "T", 9.0 + ZERO, "D", density) - AMBIENT
    # 0.3 % is what the ideal law is said to be worth at these pressures.
    assert check_leak(READINGS).expected_pa == pytest.approx(real, rel=3e-3)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        # Fine gauge, no hose: the temperatures alone make the uncertainty, so that a tenth of their term shows whole.
        {"resolution_pa": 1.0, "reattached": False, "hose_share": 0.0},
        {"resolution_pa": 1.0, "reattached": False, "hose_share": 0.0, "first_c": -20.0, "second_c": 45.0},
        {"resolution_pa": 5 * PSI, "reattached": False, "hose_share": 0.0},
        {"first_c": 40.0, "second_c": -15.0, "hose_share": 0.09},
        # Nobody entered the hose: evenly between nothing and 0.12 of the chamber, our estimate.
        {"hose_share": 0.0},
    ],
    ids=["all", "temperature", "temperature far apart", "gauge", "hose", "hose not known"],
)
def test_the_uncertainty_is_that_of_the_uncertainties_package(changes: dict[str, Any]) -> None:
    r = replace(READINGS, **changes)
    gauge, kelvins = r.resolution_pa / math.sqrt(12), 1.0
    hose = ufloat(r.hose_share, 0.3 * r.hose_share) if r.hose_share else 0.0
    if r.hose_share == 0.0 and r.reattached:
        hose = ufloat(0.06, 0.12 / math.sqrt(12))
    first, second = ufloat(r.first_pa, gauge), ufloat(r.second_pa, gauge)
    first_k, second_k = ufloat(r.first_c + ZERO, kelvins), ufloat(r.second_c + ZERO, kelvins)
    loss = (first + AMBIENT) * second_k / first_k - AMBIENT - second * (1 + hose)
    assert check_leak(r).uncertainty_a_day_pa == pytest.approx(2 * loss.std_dev / (30 / 24), rel=1e-9)


def test_the_uncertainty_covers_ninety_five_in_a_hundred_draws() -> None:
    rng = np.random.default_rng(100)
    count = 400_000
    drawn = np.array(
        [
            MEANS[0] + rng.uniform(-PSI / 2, PSI / 2, count),
            MEANS[1] + rng.uniform(-PSI / 2, PSI / 2, count),
            MEANS[2] + rng.normal(0, SIGMAS[2], count),
            MEANS[3] + rng.normal(0, SIGMAS[3], count),
            MEANS[4] + rng.normal(0, SIGMAS[4], count),
        ]
    )
    a_day = loss_pa(drawn) / (30 / 24)
    result = check_leak(READINGS)
    covered = float(np.mean(np.abs(a_day - result.loss_a_day_pa) <= result.uncertainty_a_day_pa))
    assert covered == pytest.approx(0.955, abs=0.02)
