"""How printed charts and the spring model go together: what the model would say, and how well it fits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from setup_rules import EndSetup, RequestError, read_request, recommend
from setup_rules.inference.pressure_chart import read_chart
from setup_rules.inference.sag_target import sag_target_percent
from setup_rules.types.limits import LIMITS
from setup_rules.types.units import PSI_PA
from webapp.library.merging import with_suspension_unit
from webapp.library.suspension_unit import Kind, SuspensionUnit, SuspensionUnitChart

#: A usual leverage, only to ask the model about a shock whose frame is not known (our estimate).
_LEVERAGE: Final = (2.7, 2.4)
_KIT_KG: Final = 4.0
#: Rows of a chart that the model is asked about; a longer chart is compared at as many, evenly picked.
_MOST_COMPARED: Final = 12
#: Points of the drawn line between the rows.
_DRAWN: Final = 40


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One row of a chart beside the model without it: mass [kg], pressures [psi, gauge], the model's 90 % range."""

    mass_kg: float
    chart_psi: float
    model_psi: float
    low_psi: float
    high_psi: float

    @property
    def outside(self) -> bool:
        """Whether chart and model differ by more than the model's range."""
        return not self.low_psi <= self.chart_psi <= self.high_psi


@dataclass(frozen=True, slots=True)
class ChartFit:
    """One chart: how far the spring fitted to it lies from its rows, root mean square [%], and the model without it."""

    chart: SuspensionUnitChart
    fit_percent: float
    rows: tuple[ComparedRow, ...]
    kind: Kind = "fork"

    @property
    def line(self) -> tuple[tuple[float, float], ...]:
        """The chart read between its rows, as (mass [kg], pressure [psi, gauge]) from its first row to its last."""
        first, last = self.chart.rows[0][0], self.chart.rows[-1][0]
        masses = [first + (last - first) * n / _DRAWN for n in range(_DRAWN + 1)]
        return tuple((mass, read_chart(self.chart.rows, mass).pressure_psi) for mass in masses)


def chart_fits(suspension_unit: SuspensionUnit) -> tuple[ChartFit, ...]:
    """Return the fit of every printed chart, at the chart's own travel and sag, for the riders of its rows."""
    return tuple(fit for chart in suspension_unit.charts if (fit := _fit(suspension_unit, chart)) is not None)


def _fit(suspension_unit: SuspensionUnit, chart: SuspensionUnitChart) -> ChartFit | None:
    middle = _request_from(suspension_unit, chart, chart.rows[len(chart.rows) // 2][0], {})
    if middle is None or middle.chart_fit_percent is None:
        return None
    compared = (_compare_rows(suspension_unit, chart, mass, psi) for mass, psi in _pick_rows(chart))
    rows = tuple(row for row in compared if row is not None)
    return ChartFit(chart, middle.chart_fit_percent, rows, suspension_unit.kind)


def _pick_rows(chart: SuspensionUnitChart) -> list[tuple[float, float]]:
    last = len(chart.rows) - 1
    count = min(last, _MOST_COMPARED - 1)
    return [chart.rows[round(last * n / count)] for n in range(count + 1)]


def _compare_rows(
    suspension_unit: SuspensionUnit, chart: SuspensionUnitChart, mass_kg: float, psi: float
) -> ComparedRow | None:
    target = chart.sag_percent or sag_target_percent("trail", "front" if suspension_unit.kind == "fork" else "rear")
    end = _request_from(suspension_unit, chart, mass_kg, {"chart": None, "sag_target_percent": target})
    if end is None:
        return None
    pressures = (end.pressure_pa, end.pressure_low_pa, end.pressure_high_pa)
    return ComparedRow(mass_kg, psi, *(pascals / PSI_PA for pascals in pressures))


def _request_from(
    suspension_unit: SuspensionUnit, chart: SuspensionUnitChart, mass_kg: float, changes: dict[str, Any]
) -> EndSetup | None:
    """Return what the rules say at the chart's travel; None for a mass or sag that no setup takes."""
    fork = suspension_unit.kind == "fork"
    end = with_suspension_unit(suspension_unit, {"travel_mm" if fork else "stroke_mm": chart.travel_mm}) | changes
    if not fork:
        end |= {"leverage_start": _LEVERAGE[0], "leverage_end": _LEVERAGE[1]}
    rider_kg = mass_kg - (_KIT_KG if chart.weight == "rider_and_kit" else 0.0)
    data = {
        "rider_mass_kg": max(LIMITS["rider_mass_kg"].low, rider_kg),
        "kit_mass_kg": _KIT_KG,
        "riding_style": "trail",
        "front" if fork else "rear": {key: value for key, value in end.items() if value is not None},
    }
    try:
        setup = recommend(read_request(data))
    except RequestError:
        return None
    return setup.front if fork else setup.rear
