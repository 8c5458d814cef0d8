"""When a bike's fork or shock is due again: by what was entered at its last service, or by the library's intervals.

A full service does every other kind with it. A kind that the record did not do keeps its day; one that was never
done here counts from the first record that the shop closed on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from webapp.accounts.actions.shop_settings import shop_settings
from webapp.accounts.staff import StaffMember
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.text.local_time import local, local_today
from webapp.library.service_lines import SERVICES, UnitInterval, read_interval
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.queries import dues as due_queries
from webapp.workshop.queries.dues import ServiceDue

__all__ = ["DUE_SOON_DAYS", "PAGE", "DuePage", "ServiceDue", "count_due_now", "find_dues", "keep_dues"]

PAGE: Final = 20
#: What is due within so many days is called due, what is due later comes next.
DUE_SOON_DAYS: Final = 30
#: The kind of a record that followed the shop's own list.
OTHER: Final = "service"
#: A month has so many days on average: 365.25 / 12.
_MONTH_DAYS: Final = 30.4375
_LAST_PAGE: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class DuePage:
    """One page of what is due, the longest due first, as seen on `today`; `now` are overdue or due soon."""

    dues: tuple[ServiceDue, ...]
    total: int
    now: int
    page: int
    today: date

    @property
    def pages(self) -> int:
        """How many pages there are, at least one."""
        return max(1, -(-self.total // PAGE))


def find_dues(member: StaffMember, page: int) -> DuePage:
    """Return a page of what is due at the member's shop."""
    number, today = min(max(page, 1), _LAST_PAGE), local_today(member.time_zone)
    with database.read() as connection:
        found = due_queries.dues(connection, member.shop_id, (number - 1) * PAGE, PAGE)
        total = due_queries.count_dues(connection, member.shop_id)
        now = due_queries.count_dues(connection, member.shop_id, today + timedelta(days=DUE_SOON_DAYS))
    return DuePage(found, total, now, number, today)


def count_due_now(member: StaffMember) -> int:
    """Return how many services are overdue or due soon at the member's shop."""
    until = local_today(member.time_zone) + timedelta(days=DUE_SOON_DAYS)
    with database.read() as connection:
        return due_queries.count_dues(connection, member.shop_id, until)


def keep_dues(connection: Connection, record: ServiceRecord, setup_id: int) -> None:
    """Store when the services that a record did, closed just now, are due again; `record` is as it was closed."""
    settings = shop_settings(connection, record.shop_id)
    if record.closed_at is None:
        raise ValueError("an open record has done no service yet")
    day = local(record.closed_at, settings.time_zone).date()
    known = due_queries.known_services(connection, setup_id, record.spring_end)
    done = done_services(record)
    due_queries.drop_dues(connection, record.shop_id, setup_id, record.spring_end, done)
    kept = list(due_after(record, day, settings.riding_hours, known - done).values())
    due_queries.replace_dues(connection, record.record_id, record.shop_id, setup_id, record.spring_end, kept)


def done_services(record: ServiceRecord) -> set[str]:
    """Return the kinds of service that a record did; a full one does every kind."""
    kind = record.service_kind or ""
    if kind == "full":
        return {*SERVICES, OTHER}
    return {kind} if kind in SERVICES else {OTHER}


def due_after(record: ServiceRecord, day: date, riding_hours: int, known: set[str]) -> dict[str, dict[str, Any]]:
    """Return by kind when services are due after a record that was closed on a day.

    Parameters
    ----------
    riding_hours : int
        Hours that the bike is ridden a month, to tell a day from hours.
    known : set
        Kinds that this record did not do and of which a day is stored: those stay.
    """
    intervals = [read_interval(line) for line in (record.unit or {}).get("intervals", ())]
    found = {one.service: _due(one, day, riding_hours) for one in intervals if one.service not in known}
    kind = record.service_kind if record.service_kind in SERVICES else OTHER
    if record.next_due_on or record.next_due_hours:
        days = [record.next_due_on] if record.next_due_on else []
        hours = record.next_due_hours
        if hours:
            days.append(_after_hours(day, hours, riding_hours))
        found[kind] = {"service": kind, "due_on": min(days), "hours": hours}
    return found


def _due(interval: UnitInterval, day: date, riding_hours: int) -> dict[str, Any]:
    days = []
    if interval.months:
        days.append(day + timedelta(days=round(interval.months * _MONTH_DAYS)))
    if interval.hours:
        days.append(_after_hours(day, interval.hours, riding_hours))
    return {"service": interval.service, "due_on": min(days), "hours": interval.hours or None}


def _after_hours(day: date, hours: int, riding_hours: int) -> date:
    """Return the day by which so many hours are ridden, at so many a month.

    Examples
    --------
    >>> _after_hours(date(2026, 1, 1), 50, 10).isoformat()
    '2026-06-02'
    """
    return day + timedelta(days=round(hours / riding_hours * _MONTH_DAYS))
