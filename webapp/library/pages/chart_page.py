"""A entry's printed chart beside the spring model: numbers to draw and every word of the drawing and its table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext

if TYPE_CHECKING:
    from webapp.library.actions.chart_fit import ChartFit, ComparedRow

Points = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class ChartPage:
    """One chart of a suspension unit, as drawn and as said. Points are (mass [kg], pressure [psi])."""

    name: str
    title: str
    description: str
    caution: str
    note: str
    chart: Points
    line: Points
    model: Points
    low: Points
    high: Points
    across: str
    upward: str
    chart_word: str
    model_word: str
    rows: tuple[tuple[str, str, str, str, str], ...]


def present_charts(fits: Sequence[ChartFit]) -> tuple[ChartPage, ...]:
    """Return every chart of a suspension unit for its page."""
    return tuple(_page(number, fit) for number, fit in enumerate(fits, 1))


def _page(number: int, fit: ChartFit) -> ChartPage:
    chart, rows = fit.chart, fit.rows
    return ChartPage(
        name=f"chart{number}",
        title=_("Chart for %(mm)s mm", mm=numbers.general(chart.travel_mm)),
        description=_description(fit),
        caution=_caution(rows),
        note=_note(fit),
        chart=chart.rows,
        line=fit.line,
        model=[(row.mass_kg, row.model_psi) for row in rows],
        low=[(row.mass_kg, row.low_psi) for row in rows],
        high=[(row.mass_kg, row.high_psi) for row in rows],
        across=_("Rider with kit, kg") if chart.weight == "rider_and_kit" else _("Rider alone, kg"),
        upward=_("Pressure, psi"),
        chart_word=_("chart"),
        model_word=_("model, likely range"),
        rows=tuple(_row(row) for row in rows),
    )


def _description(fit: ChartFit) -> str:
    (light, least), (heavy, most) = fit.chart.rows[0], fit.chart.rows[-1]
    return _(
        "%(n)d rows, from %(least)s psi at %(light)s kg to %(most)s psi at %(heavy)s kg. The spring fitted to the "
        "chart keeps within %(fit)s %% of it.",
        n=len(fit.chart.rows),
        least=numbers.general(least),
        light=numbers.general(light),
        most=numbers.general(most),
        heavy=numbers.general(heavy),
        fit=numbers.number(fit.fit_percent, 0 if fit.fit_percent >= 1 else 1),
    )


def _caution(rows: Sequence[ComparedRow]) -> str:
    """Return where chart and model differ by more than the model's range, and by how much at most."""
    apart = [row for row in rows if row.outside]
    if not apart:
        return ""
    worst = max(apart, key=lambda row: abs(row.chart_psi / row.model_psi - 1))
    percent = 100 * (worst.chart_psi / worst.model_psi - 1)
    template = ngettext(
        "One of %(rows)d compared rows is outside the usual range for this size: at %(mass)s the chart asks "
        "for %(percent)s %% %(more)s.",
        "%(n)d of %(rows)d compared rows are outside the usual range for this size, most at %(mass)s: the "
        "chart asks for %(percent)s %% %(more)s.",
        len(apart),
        n=len(apart),
        rows=len(rows),
        mass=f"{numbers.general(worst.mass_kg)} kg",
        percent=numbers.number(abs(percent)),
        more=_("more") if percent > 0 else _("less"),
    )
    return " ".join((template, _("Check the rows, their units of measure and the travel against the manual.")))


def _note(fit: ChartFit) -> str:
    aim = (
        _("The chart is meant for %(sag)s %% sag.", sag=numbers.general(fit.chart.sag_percent))
        if fit.chart.sag_percent
        else _("The sag of the chart was not entered. The usual sag for trail riding is assumed.")
    )
    if fit.kind == "fork":
        band = _("90 of 100 such forks need a pressure in the shaded range.")
    else:
        band = _("90 of 100 such shocks need a pressure in the shaded range. A usual frame is assumed.")
    return " ".join((aim, band))


def _row(row: ComparedRow) -> tuple[str, str, str, str, str]:
    percent = 100 * (row.chart_psi / row.model_psi - 1)
    sign = "+" if percent > 0 else "−"
    difference = "0 %" if abs(percent) < 0.5 else f"{sign}{numbers.number(abs(percent))} %"
    return (
        numbers.general(row.mass_kg),
        numbers.general(row.chart_psi),
        f"{numbers.number(row.low_psi)}–{numbers.number(row.high_psi)}",
        difference,
        _("outside") if row.outside else "",
    )
