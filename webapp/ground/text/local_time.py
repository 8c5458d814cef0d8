"""The time of day and the days of a shop's zone, daylight saving included; what is stored stays in UTC."""

from __future__ import annotations

import functools
import zoneinfo
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import Final

from webapp.ground.text import numbers

DEFAULT_ZONE: Final = "UTC"
#: Days outside these years have no bounds here: at the ends of the calendar a zone's day has no moment in UTC.
_YEARS: Final = range(1971, 9999)


@functools.cache
def zone_names() -> frozenset[str]:
    """Return the names of every zone that this machine knows, such as `Europe/London`."""
    return frozenset(zoneinfo.available_timezones())


def is_zone(name: str) -> bool:
    """Return whether there is a zone of this name.

    Examples
    --------
    >>> is_zone("Europe/London"), is_zone("../etc/passwd")
    (True, False)
    """
    return name in zone_names()


def _zone(name: str) -> tzinfo:
    """Return a zone; one that this machine does not know, as after a move, is UTC."""
    return zoneinfo.ZoneInfo(name) if is_zone(name) else UTC


def local(moment: datetime, zone: str) -> datetime:
    """Return a moment as the clocks of a zone show it.

    Examples
    --------
    >>> local(datetime(2026, 7, 1, 9, tzinfo=UTC), "Europe/London").isoformat()
    '2026-07-01T10:00:00+01:00'
    """
    return moment.astimezone(_zone(zone))


def local_today(zone: str) -> date:
    """Return the day that it is now in a zone."""
    return local(datetime.now(UTC), zone).date()


def clock_words(moment: datetime, zone: str) -> str:
    """Return the time of day in a zone with the zone's short name, such as "10:00 BST".

    Examples
    --------
    >>> clock_words(datetime(2026, 7, 1, 9, tzinfo=UTC), "Europe/London")
    '10:00 BST'
    """
    there = local(moment, zone)
    return f"{numbers.clock(there)} {there.tzname()}"


def day_bounds(day: date, zone: str) -> tuple[datetime, datetime] | None:
    """Return the first and the last moment of a day in a zone: 23, 24 or 25 hours apart; None far from our years.

    Examples
    --------
    >>> [moment.isoformat() for moment in day_bounds(date(2026, 3, 29), "Europe/London")]
    ['2026-03-29T00:00:00+00:00', '2026-03-29T22:59:59.999999+00:00']
    """
    if day.year not in _YEARS:
        return None
    there = _zone(zone)
    start, end = (datetime(d.year, d.month, d.day, tzinfo=there) for d in (day, day + timedelta(days=1)))
    return start.astimezone(UTC), end.astimezone(UTC) - timedelta(microseconds=1)
