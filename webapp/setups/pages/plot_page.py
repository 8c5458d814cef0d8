"""Force over travel of one end as its plot shows it, with every word in it and the same in a table."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import EndSetup
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.setups.pages.pushes import PushesPage, present_pushes


@dataclass(frozen=True, slots=True)
class PlotPage:
    """What the force-travel plot of one end shows: points in mm and N, and every word in it."""

    name: str
    points: tuple[tuple[float, float], ...]
    load: tuple[tuple[float, float], ...]
    rest_mm: float
    rest_label: str
    sag_mm: float
    sag_low_mm: float
    sag_high_mm: float
    title: str
    description: str
    across: str
    upward: str
    curve_label: str
    load_label: str
    sag_label: str
    rows: tuple[tuple[str, str, str], ...]
    pushed: PushesPage | None = None


def present_plot(end: EndSetup) -> PlotPage:
    """Return the plot of one end."""
    curve = end.curve
    # At a limit the rider stands where the pressure lets the spring carry them, not on the target.
    rider_mm = end.sag_target_mm if end.reaches_target else end.sag_expected_mm
    sag, low, high = (numbers.halves(v) for v in (rider_mm, end.sag_low_mm, end.sag_high_mm))
    travel, load = numbers.halves(end.travel_mm), numbers.number(end.load_n)
    word = _("Fork") if end.end == "front" else _("Shock")
    across = _("Fork travel used, mm") if end.end == "front" else _("Shock stroke used, mm")
    return PlotPage(
        name=end.end,
        points=tuple(zip(curve.compression_mm, curve.force_n, strict=True)),
        load=tuple(zip(curve.compression_mm, curve.load_n, strict=True)),
        rest_mm=end.rest_mm,
        rest_label=_("rest"),
        sag_mm=rider_mm,
        sag_low_mm=end.sag_low_mm,
        sag_high_mm=end.sag_high_mm,
        title=_("%(end)s: force over travel with this spring", end=word)
        if end.coil
        else _("%(end)s: force over travel at this pressure", end=word),
        description=_(
            "At rest the spring is %(rest)s mm down. With the rider it carries %(load)s N and the sag from there is "
            "%(sag)s mm, likely %(low)s to %(high)s mm. It takes %(full)s N to use all %(travel)s mm.",
            rest=numbers.halves(end.rest_mm),
            load=load,
            sag=sag,
            low=low,
            high=high,
            full=numbers.number(end.full_force_n),
            travel=travel,
        ),
        across=across,
        upward=_("Force, N"),
        curve_label=_("spring"),
        load_label=_("load"),
        sag_label=_("sag %(sag)s mm", sag=sag),
        rows=_plot_rows(end),
        pushed=present_pushes(end),
    )


def _plot_rows(end: EndSetup) -> tuple[tuple[str, str, str], ...]:
    """Return eleven rows of (compression, force, load) that say in numbers what the plot draws."""
    curve = end.curve
    places = [end.travel_mm * tenth / 10 for tenth in range(11)]
    return tuple(
        (
            numbers.halves(mm),
            numbers.number(_range_text(curve.compression_mm, curve.force_n, mm)),
            numbers.number(_range_text(curve.compression_mm, curve.load_n, mm)),
        )
        for mm in places
    )


def _range_text(at: tuple[float, ...], values: tuple[float, ...], wanted: float) -> float:
    """Return the value at `wanted`, straight between the two nearest points; the last one beyond them."""
    for i in range(1, len(at)):
        if wanted <= at[i]:
            share = (wanted - at[i - 1]) / (at[i] - at[i - 1])
            return values[i - 1] + share * (values[i] - values[i - 1])
    return values[-1]
