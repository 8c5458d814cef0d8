"""A weight-pressure table as printed in a unit's manual: read between its rows, and what it says of the spring.

The chart sets the start: it enters as a sag reading of the chart's own sag at each row's pressure, blurred by how
well such charts are meant (our estimate), so that physics carries it to other conditions, travel and sag, and sag
checks later outweigh it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import SagLikelihood
from setup_rules.inference.posterior import Posterior
from setup_rules.inference.sag_target import sag_target_percent
from setup_rules.inference.start_setting import held_of
from setup_rules.types.errors import LimitError
from setup_rules.types.request import Conditions, FrontEnd, Pairs
from setup_rules.types.units import PSI_PA

#: Standard deviation of the sag behind a chart's row, as a share of the travel: at the rider's weight, and at the
#: chart's ends, which only inform the shape (our estimate).
CHART_SIGMA: Final = (0.015, 0.035)
#: Conditions for which a chart is taken to be printed (agreed practice, no source: a workshop near sea level).
CHART_CONDITIONS: Final = Conditions(temperature_c=20.0, altitude_m=0.0)


@dataclass(frozen=True, slots=True)
class ChartReading:
    """A pressure [psi, gauge] read off a chart at a mass [kg]; `outside` when the mass lies beyond its rows."""

    mass_kg: float
    pressure_psi: float
    outside: bool


def read_chart(chart: Pairs, mass_kg: float) -> ChartReading:
    """Return the chart's pressure at a mass, that of its nearest row beyond its rows.

    Monotone piecewise cubic Hermite interpolation p(m) through the rows

    Parameters
    ----------
    chart : pairs of float [kg, psi gauge]
        At least two rows, both columns rising.
    mass_kg : float [kg]
        Rider mass as the chart means it.

    Returns
    -------
    ChartReading [kg, psi gauge]
        `mass_kg` is that of the chart's end when the mass lies beyond it.

    Raises
    ------
    LimitError
        When there are fewer than two rows or a column does not rise.

    Examples
    --------
    >>> read_chart(((60.0, 60.0), (80.0, 80.0), (100.0, 100.0)), 70.0).pressure_psi
    70.0

    References
    ----------
    Piecewise cubic Hermite interpolation that keeps monotone data monotone: SciPy's PchipInterpolator.
    """
    masses, pressures = zip(*chart, strict=True)
    if len(chart) < 2 or min(np.diff(masses)) <= 0 or min(np.diff(pressures)) <= 0:
        raise LimitError("A chart needs two rows or more, with weight and pressure rising from row to row.")
    inside = min(max(mass_kg, masses[0]), masses[-1])
    from scipy.interpolate import PchipInterpolator

    pressure = float(PchipInterpolator(masses, pressures)(inside))
    return ChartReading(inside, pressure, inside != mass_kg)


def chart_mass_kg(model: EndModel) -> float:
    """Return the rider's mass as the chart of this end means it: with kit, or without.

    m_rider + m_kit, or m_rider

    Parameters
    ----------
    model : EndModel
        The end, whose `chart_weight` says which.

    Returns
    -------
    float [kg]

    Examples
    --------
    >>> from setup_rules.types.request import SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0, chart_weight="rider")
    >>> request = SetupRequest(rider_mass_kg=75.0, kit_mass_kg=4.0, riding_style="trail", front=fork)
    >>> chart_mass_kg(EndModel("front", fork, request))
    75.0

    References
    ----------
    The unit's manual says which weight its chart means; with kit is common practice, no source.
    """
    return model.rider_and_kit_kg if model.end.chart_weight == "rider_and_kit" else model.request.rider_mass_kg


def chart_sag_percent(model: EndModel) -> float:
    """Return the sag that the chart aims at: as entered, else the middle of the trail range.

    (low + high)/2 of the trail range where nothing is entered

    Parameters
    ----------
    model : EndModel
        The end, with `chart_sag_percent` where the manual says it.

    Returns
    -------
    float [%]
        Of the fork's travel or the shock's stroke.

    Examples
    --------
    >>> from setup_rules.types.request import SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0)
    >>> chart_sag_percent(EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="park", front=fork)))
    22.5

    References
    ----------
    The unit's manual; else common practice, no source.
    """
    return model.end.chart_sag_percent or sag_target_percent("trail", model.name)


@dataclass(frozen=True, slots=True)
class ChartCase:
    """What a chart says of its own case: a rider, a travel, a sag, at sea level; its pressure [Pa, gauge]."""

    model: EndModel
    sag_m: float
    pressure_pa: float


def chart_case(model: EndModel) -> ChartCase:
    """Return the row of the chart of an end for its rider, or the nearest, so that a model can be held against it."""
    read = read_chart(model.end.chart or (), chart_mass_kg(model))
    row = _make_row_likelihood(model, read.mass_kg, read.pressure_psi, CHART_SIGMA[0])
    return ChartCase(row.model, row.groups[0][1][0], read.pressure_psi * PSI_PA)


def chart_likelihoods(model: EndModel) -> tuple[SagLikelihood, ...]:
    """Return what the chart of an end says of the spring, as likelihoods of its rows; empty when it has none."""
    chart = model.end.chart
    if not chart:
        return ()
    read = read_chart(chart, chart_mass_kg(model))
    rows = [(read.mass_kg, read.pressure_psi, CHART_SIGMA[0] if not read.outside else CHART_SIGMA[1])]
    rows += [(mass, psi, CHART_SIGMA[1]) for mass, psi in (chart[0], chart[-1]) if abs(mass - read.mass_kg) > 5.0]
    return tuple(_make_row_likelihood(model, *row) for row in rows)


def _make_row_likelihood(model: EndModel, mass_kg: float, pressure_psi: float, sigma: float) -> SagLikelihood:
    kit = model.request.kit_mass_kg if model.end.chart_weight == "rider" else 0.0
    # A chart is printed for anybody standing on a bare bike (common practice, no source): this rider's stance and what
    # hangs on this bike say nothing of it.
    request = replace(
        model.request,
        rider_mass_kg=mass_kg,
        kit_mass_kg=kit,
        stance="standing",
        rider_front_share_percent=None,
        luggage_front_kg=None,
        luggage_rear_kg=None,
        front_axle_kg=None,
        rear_axle_kg=None,
        bench=CHART_CONDITIONS,
        ride=CHART_CONDITIONS,
    )
    end = model.end
    if isinstance(end, FrontEnd) and end.chart_travel_mm:
        end = replace(end, travel_mm=end.chart_travel_mm, longest_travel_mm=end.longest_travel_mm or end.travel_mm)
    chart_model = EndModel(model.name, end, request).pumped(pressure_psi * PSI_PA)
    travel_m = end.compression_mm / 1000
    sag = chart_sag_percent(model) / 100 * travel_m
    acting = chart_model.setting.acting(pressure_psi * PSI_PA, CHART_CONDITIONS)
    return SagLikelihood(chart_model, CHART_CONDITIONS, acting, ((0, (sag,)),), sigma * travel_m, frictionless=True)


def chart_fit_percent(model: EndModel, posterior: Posterior) -> float:
    """Return how far the fitted spring's pressures lie from the chart's rows.

    100·√(Σ (p_model/p_chart − 1)²/n) over the n rows

    Parameters
    ----------
    model : EndModel
        The end, with its chart.
    posterior : Posterior
        What is known of it.

    Returns
    -------
    float [%]
        Of the pressure, root mean square; 0 without a chart.

    Examples
    --------
    >>> from setup_rules.inference.posterior import prior
    >>> from setup_rules.types.request import SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34, chart=((60.0, 65.0), (90.0, 95.0)))
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> 0.0 < chart_fit_percent(model, prior()) < 25.0
    True

    References
    ----------
    Root mean square, any text on statistics.
    """
    misses = []
    for mass, psi in model.end.chart or ():
        one = _make_row_likelihood(model, mass, psi, CHART_SIGMA[0])
        row: Any = posterior.centre
        sag_m, setting = one.groups[0][1][0], one.model.setting
        acting = held_of(one.model, row[None, :]).acting_for(sag_m, setting.site(CHART_CONDITIONS))[0]
        wanted = float(setting.bench_value(acting, CHART_CONDITIONS))
        misses.append(wanted / PSI_PA / psi - 1.0)
    return 100.0 * float(np.sqrt(np.mean(np.square(misses)))) if misses else 0.0
