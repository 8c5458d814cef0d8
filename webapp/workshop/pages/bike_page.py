"""A bike that comes back as the strings of its page: numbers set, what was learned, visits, and what is due."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from setup_rules import EndSetup
from setup_rules.types.result import TakenCheck
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.local_time import local
from webapp.ground.text.own_units import pressure_words
from webapp.ground.text.phrases import end_word, preload_words, rate_and_pounds, setting_words, target_sag_words
from webapp.workshop.actions.bike_visits import BikeVisits
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.actions.service_dues import DUE_SOON_DAYS, DuePage, ServiceDue
from webapp.workshop.pages.record_page import measured, state_word

SERVICE_NAMES: Final = {
    "lower_legs": _l("Lower legs"),
    "air_spring": _l("Air spring"),
    "damper": _l("Damper"),
    "full": _l("Full service"),
    "service": _l("Service"),
}


@dataclass(frozen=True, slots=True)
class EndLine:
    """One end of the bike: its model, its numbers, and what its sag checks showed."""

    name: str
    end: str
    unit: str
    facts: tuple[tuple[str, str], ...]
    learned: str


@dataclass(frozen=True, slots=True)
class VisitLine:
    """One earlier visit, or one that is open."""

    code: str
    what: str
    day: str
    state: str
    state_word: str
    left: str


@dataclass(frozen=True, slots=True)
class DueLine:
    """One kind of service of one end that is due: when, and how it stands."""

    code: str
    bike: str
    unit: str
    service: str
    due: str
    state: str
    state_word: str


@dataclass(frozen=True, slots=True)
class BikeView:
    """The whole page of a bike."""

    title: str
    code: str
    short_code: str
    version: int
    ends: tuple[EndLine, ...]
    visits: tuple[VisitLine, ...]
    more: str
    dues: tuple[DueLine, ...]


def present_bike(found: BikeVisits, zone: str, today: date) -> BikeView:
    """Return the page of a bike, with days as in a zone."""
    saved = found.saved
    left = found.total - len(found.visits)
    return BikeView(
        title=saved.texts.bike_label or _("Bike"),
        code=saved.code,
        short_code=found.short_code,
        version=saved.number,
        ends=tuple(
            EndLine(
                name=end_word(end.end),
                end=end.end,
                unit=found.units.get(end.end, ""),
                facts=tuple(_facts(end)),
                learned=_learned([one for one in saved.setup.checks if one.check.end == end.end], end),
            )
            for end in saved.setup.ends()
        ),
        visits=tuple(_visit(record, zone) for record in found.visits),
        more=ngettext("%(num)d older visit", "%(num)d older visits", left) if left > 0 else "",
        dues=tuple(_due(one, today) for one in found.dues),
    )


def present_dues(page: DuePage) -> tuple[DueLine, ...]:
    """Return the lines of one page of what is due."""
    return tuple(_due(one, page.today) for one in page.dues)


def _facts(end: EndSetup) -> Iterator[tuple[str, str]]:
    length = _("Travel") if end.end == "front" else _("Stroke")
    yield length, _("%(mm)s mm", mm=numbers.halves(end.travel_mm))
    if end.coil is None:
        yield _("Start pressure"), pressure_words(end.pressure_pa, end.max_pressure_pa)
        yield _("Volume spacers"), str(end.volume_spacers)
    else:
        yield _("Spring rate"), setting_words(end)
        yield _("Preload"), preload_words(end.coil)
    yield _("Target sag"), target_sag_words(end)
    if end.rebound:
        yield _("Rebound"), _("%(out)d clicks out, of %(all)d", out=end.rebound.out, all=end.rebound.total)


def _learned(checks: Sequence[TakenCheck], end: EndSetup) -> str:
    """Return what the sag checks of one end showed: how many, and the newest that counts."""
    counted = [one.check for one in checks if not one.struck]
    if not counted:
        return _("No sag check yet.")
    newest = counted[-1]
    readings = (*newest.readings_mm, *newest.readings_from_above_mm, *newest.readings_from_below_mm)
    sag = numbers.halves(sum(readings) / len(readings))
    setting = (
        pressure_words(newest.pressure_pa)
        if end.coil is None or newest.spring_rate_n_per_mm is None
        else rate_and_pounds(newest.spring_rate_n_per_mm * 1000)
    )
    told = ngettext("%(num)d sag check.", "%(num)d sag checks.", len(counted))
    return _("%(told)s The last one showed %(sag)s mm at %(setting)s.", told=told, sag=sag, setting=setting)


def _visit(record: ServiceRecord, zone: str) -> VisitLine:
    kind = SERVICE_NAMES.get(record.service_kind or "", SERVICE_NAMES["service"])
    name = record.unit_label or end_word(record.spring_end)
    return VisitLine(
        code=record.short_code,
        what=_("%(kind)s, %(unit)s", kind=str(kind), unit=name),
        day=numbers.day(local(record.closed_at or record.opened_at, zone)),
        state="open" if record.is_open else "done",
        state_word=state_word(record),
        left=", ".join(f"{name} {value}" for name, value in measured(record.as_left)),
    )


def _due(one: ServiceDue, today: date) -> DueLine:
    due = numbers.day(one.due_on)
    overdue, soon = one.due_on < today, one.due_on <= today + timedelta(days=DUE_SOON_DAYS)
    return DueLine(
        code=one.setup_code,
        bike=one.bike_label,
        unit=one.unit_label or end_word(one.spring_end),
        service=str(SERVICE_NAMES.get(one.service, SERVICE_NAMES["service"])),
        due=_("about %(day)s (after %(n)d hours of riding)", day=due, n=one.hours) if one.hours else due,
        state="blocking" if overdue else "open" if soon else "done",
        state_word=_("overdue") if overdue else _("due") if soon else _("next"),
    )
