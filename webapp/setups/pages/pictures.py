"""The three start numbers of one end as drawings: places in numbers, every word ready to show."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import EndSetup
from setup_rules.types.result import CoilSetup
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.own_units import pressure_ranges, pressure_text
from webapp.ground.text.phrases import pump_range_pa


@dataclass(frozen=True, slots=True)
class PressurePicture:
    """The start pressure [Pa, gauge] or the rate of a coil [N/m] in its range; its ends as shown."""

    name: str
    low: float
    value: float
    high: float
    low_text: str
    high_text: str
    title: str


@dataclass(frozen=True, slots=True)
class SagPicture:
    """The target sag along the travel [mm]."""

    name: str
    sag_mm: float
    travel_mm: float
    sag_text: str
    travel_text: str
    title: str


@dataclass(frozen=True, slots=True)
class ClicksPicture:
    """The rebound adjuster, in clicks out from fully closed."""

    name: str
    out: int
    total: int
    title: str


@dataclass(frozen=True, slots=True)
class EndPictures:
    """The drawings of one end; `pressure` is None at a limit, `rebound` where no clicks are known."""

    pressure: PressurePicture | None
    sag: SagPicture
    rebound: ClicksPicture | None


def present_pictures(end: EndSetup) -> EndPictures:
    """Return the drawings of one end; their texts are those of the numbers beside them."""
    return EndPictures(_pressure(end) if end.coil is None else _rate(end, end.coil), _sag(end), _rebound(end))


def _pressure(end: EndSetup) -> PressurePicture | None:
    if end.limited:
        return None
    low, high = pump_range_pa(end)
    most = end.max_pressure_pa
    lowest, highest = (pressure_text(one, most) for one in (low, high))
    return PressurePicture(
        name=f"picture-pressure-{end.end}",
        low=low,
        value=end.pressure_pa,
        high=high,
        low_text=lowest.value,
        high_text=highest.short,
        title=_(
            "%(value)s in the range %(range)s",
            value=pressure_text(end.pressure_pa, most).short,
            range=pressure_ranges(low, high, most)[0],
        ),
    )


def _rate(end: EndSetup, coil: CoilSetup) -> PressurePicture:
    low, high = coil.rate_low_n_per_m, coil.rate_high_n_per_m
    return PressurePicture(
        name=f"picture-rate-{end.end}",
        low=low,
        value=coil.rate_n_per_m,
        high=high,
        low_text=numbers.rate(low),
        high_text=_("%(rate)s N/mm", rate=numbers.rate(high)),
        title=_(
            "%(value)s N/mm in the range %(range)s",
            value=numbers.rate(coil.rate_n_per_m),
            range=numbers.rate_range(low, high),
        ),
    )


def _sag(end: EndSetup) -> SagPicture:
    sag, travel = numbers.halves(end.sag_target_mm), numbers.halves(end.travel_mm)
    return SagPicture(
        name=f"picture-sag-{end.end}",
        sag_mm=end.sag_target_mm,
        travel_mm=end.travel_mm,
        sag_text=_("%(mm)s mm", mm=sag),
        travel_text=_("%(mm)s mm", mm=travel),
        title=_(
            "After you step off, the O-ring is %(sag)s mm from the seal. Full travel is %(travel)s mm.",
            sag=sag,
            travel=travel,
        ),
    )


def _rebound(end: EndSetup) -> ClicksPicture | None:
    if end.rebound is None:
        return None
    out, total = end.rebound.out, end.rebound.total
    return ClicksPicture(
        name=f"picture-rebound-{end.end}",
        out=out,
        total=total,
        title=ngettext(
            "1 click out from fully closed, of %(total)d",
            "%(num)d clicks out from fully closed, of %(total)d",
            out,
            total=total,
        ),
    )
