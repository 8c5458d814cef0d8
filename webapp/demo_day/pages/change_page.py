"""What to change on a bike, as the crew reads it at arm's length: one large line a number, fork first."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import EndSetup
from setup_rules.messages import rounding
from setup_rules.types.result import SecondChamber
from setup_rules.types.units import PSI_PA
from webapp.demo_day.bike import Bike, EndStanding
from webapp.demo_day.changes import standing_of
from webapp.demo_day.pages.bike_words import end_word
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.phrases import setting_words, target_sag_words
from webapp.setups.pages.setup_page import style_word
from webapp.setups.revision import Revision


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """One number: what it is, as it stands ("" where nobody knows or it stays), as it is to be, and what to do."""

    what: str
    before: str
    after: str
    unit: str
    to_do: str
    changes: bool


@dataclass(frozen=True, slots=True)
class EndChange:
    """One end: what is limited first, then its lines, then target sag and maximum in small."""

    name: str
    heading: str
    limit: str
    lines: tuple[ChangeLine, ...]
    small: str


@dataclass(frozen=True, slots=True)
class ChangePage:
    """Everything of the screen.

    `rider`: weight and style that it is for, `settled`: nothing has to be turned or pumped, `can_set`: it may be set.
    """

    revision: int
    code: str
    rider: str
    ends: tuple[EndChange, ...]
    settled: bool
    limited: bool
    can_set: bool


def present_change(bike: Bike, saved: Revision) -> ChangePage:
    """Return what to change on a bike so that it stands as the newest version of its rider's setup asks."""
    ends = saved.setup.ends()
    shown = tuple(_end_change(end, bike.standing.get(end.end, EndStanding())) for end in ends)
    return ChangePage(
        revision=saved.number,
        code=saved.code,
        rider=_rider(saved),
        ends=shown,
        settled=not any(line.changes for end in shown for line in end.lines),
        limited=any(end.limited and not end.reaches_target for end in ends),
        can_set=all(end.coil is None or end.coil.fits for end in ends),
    )


def _rider(saved: Revision) -> str:
    """Return whom the numbers are for, so that a weight typed wrongly is seen before a pump is connected."""
    request = saved.setup.request
    return _("%(kg)s kg, %(style)s", kg=numbers.halves(request.rider_mass_kg), style=style_word(request.riding_style))


def _end_change(end: EndSetup, stands: EndStanding) -> EndChange:
    wanted = standing_of(end)
    lines = [
        _pressure(_("Pressure"), end, stands.pressure_psi, wanted.pressure_psi),
        _pressure(_("Second chamber"), end.second, stands.second_pressure_psi, wanted.second_pressure_psi),
        _spring(stands.spring_rate_n_per_mm, wanted.spring_rate_n_per_mm),
        _preload(stands.preload_mm, wanted.preload_mm),
        _clicks(_("Rebound"), stands.rebound_clicks_out, wanted.rebound_clicks_out, rebound=True),
        _clicks(_("Compression"), stands.compression_clicks_out, wanted.compression_clicks_out, rebound=False),
    ]
    kept = tuple(line for line in lines if line is not None)
    return EndChange(end.end, end_word(end.end), limit_words(end), kept, _small(end))


def _pressure(
    name: str, chamber: EndSetup | SecondChamber | None, before: float | None, after: float | None
) -> ChangeLine | None:
    if after is None or chamber is None:
        return None
    # The numbers that every other page shows: in bar, too, never above the maximum.
    what = _("%(name)s, %(bar)s bar", name=name, bar=numbers.bar(chamber.pressure_pa, chamber.max_pressure_pa))
    to = rounding.gauge_psi(chamber.pressure_pa / PSI_PA)
    if before is None:
        return ChangeLine(what, "", numbers.general(to), _("psi"), _("pump to this"), changes=True)
    now = to if before == after else rounding.gauge_psi(before)
    step = numbers.general(abs(to - now))
    if to == now:
        return ChangeLine(what, "", numbers.general(to), _("psi"), _("already right, check it"), changes=False)
    to_do = _("let out %(psi)s", psi=step) if to < now else _("pump in %(psi)s", psi=step)
    return ChangeLine(what, numbers.general(now), numbers.general(to), _("psi"), to_do, changes=True)


def _clicks(what: str, before: int | None, after: int | None, *, rebound: bool) -> ChangeLine | None:
    if after is None:
        return None
    if before is None:
        return ChangeLine(what, "", str(after), _("clicks out"), _("count from closed"), changes=True)
    if before == after:
        return ChangeLine(what, "", str(after), _("clicks out"), _("already right"), changes=False)
    return ChangeLine(
        what, str(before), str(after), _("clicks out"), _turns(after - before, rebound=rebound), changes=True
    )


def _turns(clicks: int, *, rebound: bool) -> str:
    """Return how far to turn an adjuster and what that does: further out there is less damping."""
    if clicks > 0:
        return _("%(n)d out (quicker)", n=clicks) if rebound else _("%(n)d out (softer)", n=clicks)
    return _("%(n)d in (slower)", n=-clicks) if rebound else _("%(n)d in (firmer)", n=-clicks)


def _spring(before: float | None, after: float | None) -> ChangeLine | None:
    if after is None:
        return None
    now, to = ("" if rate is None else numbers.rate(1000 * rate) for rate in (before, after))
    if now == to:
        return ChangeLine(_("Spring"), "", to, _("N/mm"), _("already fitted"), changes=False)
    return ChangeLine(_("Spring"), now, to, _("N/mm"), _("fit this spring"), changes=True)


def _preload(before: float | None, after: float | None) -> ChangeLine | None:
    if after is None:
        return None
    now, to = ("" if value is None else numbers.general(value) for value in (before, after))
    if now == to:
        return ChangeLine(_("Preload"), "", to, _("mm"), _("already right"), changes=False)
    return ChangeLine(_("Preload"), now, to, _("mm"), _("turn the ring"), changes=True)


def limit_words(end: EndSetup) -> str:
    """Return what holds the number, with the sag to expect there; "" where nothing does."""
    if end.coil is not None and not end.coil.fits:
        return setting_words(end)
    if not end.limited:
        return ""
    values = {
        "sag": numbers.expected_mm(end.sag_expected_mm, end.sag_target_mm),
        "target": numbers.halves(end.sag_target_mm),
    }
    if values["sag"] == values["target"]:
        return _limit_alone(end)
    if end.coil is not None:
        return _("Limited. Expect %(sag)s mm sag instead of %(target)s mm.", **values)
    if end.pressure_pa >= end.max_pressure_pa * 0.999:
        values["psi"] = numbers.psi(end.max_pressure_pa)
        return _("%(psi)s psi is the maximum. Expect %(sag)s mm sag instead of %(target)s mm.", **values)
    values["psi"] = numbers.psi(end.min_pressure_pa)
    return _("%(psi)s psi is the minimum. Expect %(sag)s mm sag instead of %(target)s mm.", **values)


def _limit_alone(end: EndSetup) -> str:
    """Return what holds the number where it costs no sag that anybody could read."""
    if end.coil is not None:
        return ""
    if end.pressure_pa >= end.max_pressure_pa * 0.999:
        return _("%(psi)s psi is the maximum.", psi=numbers.psi(end.max_pressure_pa))
    return _("%(psi)s psi is the minimum.", psi=numbers.psi(end.min_pressure_pa))


def _small(end: EndSetup) -> str:
    """Return target sag and, of an air spring, the maximum."""
    sag = _("Target sag %(sag)s", sag=target_sag_words(end))
    if end.coil is not None:
        return sag
    told = _("maximum %(psi)s psi, our estimate") if end.max_pressure_assumed else _("maximum %(psi)s psi")
    return " · ".join((sag, told % {"psi": numbers.psi(end.max_pressure_pa)}))
