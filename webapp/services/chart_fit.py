"""How a unit's printed charts and the spring model go together: what the model would say, and how well it fits."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import RequestError, read_request, recommend
from webapp.library import Unit, UnitChart
from webapp.library.merging import with_unit

#: A usual leverage, only to ask the model about a shock whose frame is not known (our estimate).
_LEVERAGE = (2.7, 2.4)


@dataclass(frozen=True, slots=True)
class ChartFit:
    """One chart: how far the fitted spring lies from its rows, root mean square [%], and the rules' own caution."""

    chart: UnitChart
    fit_percent: float
    caution: str


def chart_fits(unit: Unit) -> tuple[ChartFit, ...]:
    """Return the fit of every chart of a unit, for a rider in the middle of its rows."""
    return tuple(fit for chart in unit.charts if (fit := _fit(unit, chart)) is not None)


def _fit(unit: Unit, chart: UnitChart) -> ChartFit | None:
    name = "front" if unit.kind == "fork" else "rear"
    travel = {"travel_mm" if unit.kind == "fork" else "stroke_mm": chart.travel_mm}
    mass = chart.rows[len(chart.rows) // 2][0]
    end = with_unit(unit, travel)
    if unit.kind == "shock":
        end |= {"leverage_start": _LEVERAGE[0], "leverage_end": _LEVERAGE[1]}
    kit = 4.0 if chart.weight == "rider_and_kit" else 0.0
    data = {"rider_mass_kg": max(20.0, mass - kit), "kit_mass_kg": kit, "riding_style": "trail", name: end}
    try:
        setup = recommend(read_request(data))
    except RequestError:
        return None
    result = setup.front if name == "front" else setup.rear
    if result is None or result.chart_fit_percent is None:
        return None
    caution = next((note.message for note in setup.cautions if note.code == "chart_differs"), "")
    return ChartFit(chart, result.chart_fit_percent, caution)
