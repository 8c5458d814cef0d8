"""A fork fitted to a printed chart, against `scipy.optimize.least_squares` on the same rows.

Source: least squares with prior knowledge, any text on estimation: a fork's unknowns are those that miss the chart's
sag at every row, and their own usual values, by the least sum of squares. What is usual, and how well a row is meant,
is our estimate, typed here. Forces are those of `on_paper`, places and pressures by halving.

Confirmed: SciPy's trust-region search moves eleven unknowns of one fork, where the product weighs 512 drawn forks; no
line, draw or density is shared.

Tolerance: 1.5 % of the pressure and a tenth of the fit: an even spread counts here as a normal one as wide, and the
product's rows have heavier tails.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import least_squares

from setup_rules import read_request, recommend
from tests.published.on_paper import Chambers, G, Places, force
from tests.published.worked_classes import FORK_OF_THE_34_MM_CLASS as CLASS

PSI_PA, TRAVEL, HOME = 6894.757293168, 140.0, Places()
Rows = tuple[tuple[float, float], ...]
CHARTS: dict[str, Rows] = {
    "higher": ((62.0, 70.0), (82.0, 92.0), (102.0, 114.0)),
    "lower": ((62.0, 50.0), (82.0, 66.0), (102.0, 82.0)),
    "steeper": ((62.0, 48.0), (82.0, 74.0), (102.0, 104.0)),
}
#: Share of the travel by which a row's sag is meant, at the chart's ends and at the rider.
MEANT = (0.035, 0.015, 0.035)
#: Bike share, unsprung mass and model are normal about 0, the inside of the fork lies evenly between 0 and 1.
USUAL = np.array([0.0] * 3 + [0.5] * 8)
SPREAD = np.array([1.0] * 3 + [1 / math.sqrt(12)] * 8)
ALONG = G * math.sin(math.radians(66.0))


def inside(u: np.ndarray) -> Chambers:
    """Return the 34 mm fork of 140 mm with some unknowns."""
    _, _, _, bore, ratio, negative, volume, port, legs, leg_room, gas = u
    area, ratio = math.pi / 4 * (30.8 * (0.98 + 0.04 * bore)) ** 2, 2.2 + 0.6 * ratio
    leg_area = (1.9 + 0.4 * legs) * area
    return Chambers(
        travel=TRAVEL,
        bore=30.8 * (0.98 + 0.04 * bore),
        volume=area * TRAVEL * ratio / (ratio - 1),
        negative_area=(0.90 + 0.06 * negative) * area,
        negative_volume=(0.08 + 0.30 * volume) * area * TRAVEL,
        port=(0.03 + 0.05 * port) * TRAVEL,
        leg_area=leg_area,
        leg_volume=(1.6 + 1.4 * leg_room) * leg_area * TRAVEL,
        gas=30 * gas,
    )


def half_way(is_short: object, low: float, high: float) -> float:
    """Return where a condition ends, by halving."""
    for _ in range(42):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if is_short(middle) else (low, middle)  # type: ignore[operator]
    return low


def sag(u: np.ndarray, rider_kg: float, psi: float) -> float:
    """Return the gap [mm] of a rider and kit on 14 kg of bike."""
    fork, bare = inside(u), (0.475 + 0.02 * u[0]) * 14 - (3.2 + 0.35 * u[1])
    loads = (0.39 * rider_kg + bare) * ALONG * (1 + 0.045 * u[2]), bare * ALONG
    rider, rest = (half_way(lambda x, n=n: force(fork, HOME, psi, x) < n, 0.0, TRAVEL) for n in loads)
    return rider - rest


def pressure(u: np.ndarray, rider_kg: float, gap: float) -> float:
    """Return the pressure [psi] at which the gap is the wanted one."""
    return half_way(lambda psi: sag(u, rider_kg, psi) > gap, 5.0, 300.0)


def fitted(chart: Rows) -> np.ndarray:
    """Return the unknowns that SciPy fits to a chart meant for 20 % of sag."""

    def misses(u: np.ndarray) -> np.ndarray:
        rows = [
            (sag(u, mass, psi) - 0.20 * TRAVEL) / (meant * TRAVEL)
            for (mass, psi), meant in zip(chart, MEANT, strict=True)
        ]
        return np.array([*rows, *((u - USUAL) / SPREAD)])

    ends = np.array([-5.0] * 3 + [0.0] * 8), np.array([5.0] * 3 + [1.0] * 8)
    found = least_squares(misses, USUAL, bounds=ends, diff_step=1e-3)
    assert found.success
    return np.asarray(found.x)


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS)
def test_start_and_fit_are_those_of_the_fork_that_least_squares_finds(chart: Rows) -> None:
    u = fitted(chart)
    fork = {
        **CLASS.body["front"],
        "max_pressure_psi": 200,
        "chart": [list(row) for row in chart],
        "chart_sag_percent": 20,
    }
    found = recommend(read_request({**CLASS.body, "front": fork})).front
    assert found is not None
    assert found.pressure_pa / PSI_PA == pytest.approx(pressure(u, 82.0, 31.5), rel=0.015)
    misses = [pressure(u, mass, 0.20 * TRAVEL) / psi - 1 for mass, psi in chart]
    assert found.chart_fit_percent == pytest.approx(100 * math.sqrt(np.mean(np.square(misses))), rel=0.1)
