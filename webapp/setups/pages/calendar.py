"""Dates of a setup for a calendar, as a file that calendar programs read (RFC 5545): one event of one whole day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from webapp.ground.hashes import secret_hash
from webapp.ground.text.i18n import gettext as _
from webapp.setups.revision import Revision

#: When a sag is worth a second look, and an air spring a service; common practice, no source. The manual comes first.
RECHECK_DAYS: Final = 30
SERVICE_DAYS: Final = 365
#: Octets of a line at most, its end not counted (RFC 5545, section 3.1).
_LONGEST: Final = 75


@dataclass(frozen=True, slots=True)
class CalendarEvent:
    """What a day is for."""

    kind: str
    day: date
    title: str
    note: str


def recheck_event(saved: Revision) -> CalendarEvent:
    """Return the day on which to check sag and pressure again."""
    title = _("Check sag and pressure: %(bike)s", bike=_bike(saved))
    note = _("Air springs lose a little air. Measure the sag again and enter it on the setup's page.")
    return CalendarEvent("recheck", _after(saved, RECHECK_DAYS), title, note)


def service_event(saved: Revision, noted: date | None = None) -> CalendarEvent:
    """Return the day that a workshop `noted` for the next service, else the latest by common practice."""
    title = _("Suspension service due: %(bike)s", bike=_bike(saved))
    if noted is not None:
        by_shop = _("The workshop entered this day, or calculated it from hours of riding. The manual comes first.")
        return CalendarEvent("service", noted, title, by_shop)
    note = _("Once a year is common practice. The manual's interval comes first, and it may count hours of riding.")
    return CalendarEvent("service", _after(saved, SERVICE_DAYS), title, note)


def calendar_text(event: CalendarEvent, code: str, made_at: datetime, link: str) -> str:
    """Return the file: lines of at most 75 octets that end in CRLF.

    The identifier is the same each time, so that a second download moves the event instead of doubling it.
    """
    lines = (
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//setup-card//setup-card//EN",
        "METHOD:PUBLISH",
        "BEGIN:VEVENT",
        f"UID:{secret_hash(f'{event.kind} {code}')[:40]}@setup-card",
        f"DTSTAMP:{made_at:%Y%m%dT%H%M%SZ}",
        f"DTSTART;VALUE=DATE:{event.day:%Y%m%d}",
        f"DTEND;VALUE=DATE:{event.day + timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{_escaped(event.title)}",
        f"DESCRIPTION:{_escaped(event.note)}",
        f"URL:{link}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
        "END:VCALENDAR",
    )
    return "".join(f"{_folded(line)}\r\n" for line in lines)


def _bike(saved: Revision) -> str:
    return saved.texts.bike_label or _("Your setup")


def _after(saved: Revision, days: int) -> date:
    return (saved.created_at + timedelta(days=days)).date()


def _escaped(text: str) -> str:
    for sign in ("\\", ";", ","):
        text = text.replace(sign, f"\\{sign}")
    return text.replace("\n", "\\n")


def _folded(line: str) -> str:
    """Return a line in pieces of at most 75 octets, each further one begun with a space, no character cut apart."""
    pieces, piece = [], ""
    for sign in line:
        if len((piece + sign).encode()) > _LONGEST:
            pieces.append(piece)
            piece = " "
        piece += sign
    return "\r\n".join([*pieces, piece])
