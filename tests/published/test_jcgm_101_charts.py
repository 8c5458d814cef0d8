"""A printed chart as evidence against plain Monte Carlo, and its fit against pressures found by halving.

Source: Bayes' theorem with JCGM 101's random draws, as in `test_jcgm_101_sag_checks`; root mean square, any text. A
chart's row is read as the rules state it: at its weight and pressure the rider with the usual share has the chart's
sag, give or take 1.5 % of the travel at the rider's own weight and 3.5 % at the chart's ends, with Student's tails of
four degrees of freedom (our estimates, typed here).

Confirmed: drawn here, densities by `scipy.stats`.

Tolerance: 2 % of the median and 4 % of the band's ends, since a chart leaves the product's 512 draws worth 150;
rounding for the fit.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from setup_rules import EndSetup, read_request, recommend
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Learned
from setup_rules.inference.pressure_chart import chart_fit_percent
from tests.published.on_paper import force
from tests.published.plain_riders import DRAWS, TRAVEL, Riders, drawn, plain_answer
from tests.published.worked_classes import FORK_OF_THE_34_MM_CLASS as CLASS

PSI_PA, TARGET = 6894.757293168, 31.5
CHARTS = {
    "higher": ((62.0, 70.0), (82.0, 92.0), (102.0, 114.0)),
    "lower": ((62.0, 50.0), (82.0, 66.0), (102.0, 82.0)),
}


def asked(chart: tuple[tuple[float, float], ...], **more: Any) -> dict[str, Any]:
    """Return the class's request with a chart for rider and kit, 20 % sag."""
    fork = {
        **CLASS.body["front"],
        "max_pressure_psi": 200,
        "chart": [list(row) for row in chart],
        "chart_sag_percent": 20,
    }
    return {**CLASS.body, "front": {**fork, **more}}


def front_of(body: dict[str, Any]) -> EndSetup:
    """Return what the product answers for the fork."""
    found = recommend(read_request(body)).front
    assert found is not None
    return found


def weighed(chart: tuple[tuple[float, float], ...]) -> Riders:
    """Return the random draws weighed by the rows of a chart, whose rider has the usual share."""
    riders, log_weight = drawn(), np.zeros(DRAWS)
    one_kg = 0.39 * riders.per_share / 82
    usual = riders.load - riders.share_off * riders.per_share
    for (mass, psi), sigma in zip(chart, (0.035, 0.015, 0.035), strict=True):
        sag = riders.place(psi, usual + (mass - 82) * one_kg) - riders.place(psi, riders.rest_load)
        log_weight += stats.t.logpdf(0.20 * TRAVEL - sag, df=4, scale=sigma * TRAVEL)
    return replace(riders, weight=np.exp(log_weight - log_weight.max()))


def hold_band(found: EndSetup, riders: Riders) -> None:
    """Assert that a fork's pressure and band are those of the random riders."""
    low, middle, high = plain_answer(riders, TARGET)
    shown = found.pressure_low_pa / PSI_PA, found.pressure_pa / PSI_PA, found.pressure_high_pa / PSI_PA
    assert shown == (
        pytest.approx(low, rel=0.04),
        pytest.approx(middle, rel=0.02),
        pytest.approx(high, rel=0.04),
    )


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS)
def test_a_chart_moves_pressure_and_band_as_it_moves_the_random_draws(chart: tuple[tuple[float, float], ...]) -> None:
    hold_band(front_of(asked(chart)), weighed(chart))


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS)
def test_luggage_loads_the_spring_that_the_chart_describes_and_is_not_the_charts(
    chart: tuple[tuple[float, float], ...],
) -> None:
    # A chart is printed for anybody on a bare bike (common practice, no source). The draws are weighed without luggage,
    # then 12 kg at the handlebar and 8 kg at the saddle put 0.85 and 0.05 of themselves on the front wheel.
    riders, added = weighed(chart), 0.85 * 12.0 + 0.05 * 8.0
    along = riders.per_share / 82.0
    bare_along = CLASS.along(1.0)
    loaded = replace(riders, load=riders.load + added * along, rest_load=riders.rest_load + added * bare_along)
    hold_band(front_of({**asked(chart), "luggage_front_kg": 12, "luggage_rear_kg": 8}), loaded)


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS)
@pytest.mark.parametrize("share", [0.30, 0.45])
def test_an_entered_share_is_the_riders_and_not_the_charts(
    chart: tuple[tuple[float, float], ...], share: float
) -> None:
    # The rows stay those of a rider with the usual share; only this rider stands otherwise, known to 0.01.
    riders = weighed(chart)
    own = np.random.default_rng(11).normal(share, 0.01, DRAWS)
    moved = replace(riders, load=riders.load + (own - 0.39 - riders.share_off) * riders.per_share)
    hold_band(front_of({**asked(chart), "rider_front_share_percent": 100 * share}), moved)


def pressure_on_paper(mass: float, sag: float) -> float:
    """Return the pressure [psi] of the class's central fork at which a rider and kit has a sag [mm], by halving."""
    load = CLASS.along(0.39 * mass + 0.475 * 14 - 3.2)
    bare = CLASS.along(0.475 * 14 - 3.2)

    def place(psi: float, newtons: float) -> float:
        low, high = 0.0, TRAVEL
        for _ in range(50):
            x = 0.5 * (low + high)
            low, high = (x, high) if force(CLASS.chambers, CLASS.places, psi, x) < newtons else (low, x)
        return low

    low, high = 5.0, 300.0
    for _ in range(50):
        psi = 0.5 * (low + high)
        low, high = (psi, high) if place(psi, load) - place(psi, bare) > sag else (low, psi)
    return low


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS)
@pytest.mark.usefixtures("central_values")
def test_the_fit_is_the_root_mean_square_of_the_misses_in_pressure(chart: tuple[tuple[float, float], ...]) -> None:
    request = read_request(asked(chart))
    assert request.front is not None
    misses = [pressure_on_paper(mass, 28.0) / psi - 1 for mass, psi in chart]
    found = chart_fit_percent(EndModel("front", request.front, request), Learned.nothing().posterior)
    assert found == pytest.approx(100 * float(np.sqrt(np.mean(np.square(misses)))), abs=0.01)


def test_a_chart_of_the_fork_itself_fits_it_and_moves_nothing_much() -> None:
    chart = tuple((mass, pressure_on_paper(mass, 28.0)) for mass in (62.0, 82.0, 102.0))
    found, without = front_of(asked(chart)), front_of(CLASS.body)
    assert found.chart_fit_percent is not None
    assert found.chart_fit_percent < 1.5
    assert found.pressure_pa == pytest.approx(without.pressure_pa, rel=0.03)
