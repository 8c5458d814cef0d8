"""Days as people type them in a search box."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta


def day_meant(text: str) -> tuple[datetime, datetime] | None:
    """Return the first and last moment of a day written as year-month-day, None for any other text."""
    try:
        day = date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None
    if day is None:
        return None
    start = datetime(day.year, day.month, day.day, tzinfo=UTC)
    return start, start + timedelta(days=1, microseconds=-1) if day < date.max else start
