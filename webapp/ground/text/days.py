"""Days as people type them in a search box: "3 May", "03/05", "2026-05-03", "today", "Monday"."""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final

from babel.dates import get_day_names, get_month_names

from webapp.ground.text import i18n
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.local_time import DEFAULT_ZONE, day_bounds, local_today

#: The most words that one day is written with: "Sunday 3 May 2026".
MOST_WORDS: Final = 4
_ISO: Final = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})", re.ASCII)
#: Day before month, as in Britain; the year may be missing or short.
_SLASHED: Final = re.compile(r"(\d{1,2})[/.](\d{1,2})(?:[/.](\d{4}|\d{2})?)?", re.ASCII)
_DAY: Final = re.compile(r"(\d{1,2})(?:st|nd|rd|th|\.)?", re.ASCII)
_YEAR: Final = re.compile(r"\d{4}", re.ASCII)


def day_meant(text: str, zone: str = DEFAULT_ZONE) -> tuple[datetime, datetime] | None:
    """Return the first and last moment of the day that a whole text means in a zone, None for any other text."""
    day = read_day(text.split(), local_today(zone))
    return None if day is None else day_bounds(day, zone)


def read_day(words: Sequence[str], today: date) -> date | None:
    """Return the day that words mean, None where they mean none. Without a year it is the last such day until today.

    Examples
    --------
    >>> today = date(2026, 5, 20)
    >>> [str(read_day(text.split(), today)) for text in ("3 May", "03/05", "2026-05-03", "yesterday", "3rd June")]
    ['2026-05-03', '2026-05-03', '2026-05-03', '2026-05-19', '2025-06-03']
    >>> read_day(["34", "mm"], today) is None
    True
    """
    plain = [word.strip(",").casefold() for word in words]
    if not plain or len(plain) > MOST_WORDS:
        return None
    if len(plain) > 1 and plain[0] in _weekdays(i18n.locale()):
        plain = plain[1:]
    return _relative(plain, today) or _figures(plain, today) or _named_month(plain, today)


def _relative(words: Sequence[str], today: date) -> date | None:
    if len(words) != 1:
        return None
    word = words[0]
    if word in ("today", _("today").casefold()):
        return today
    if word in ("yesterday", _("yesterday").casefold()):
        return today - timedelta(days=1)
    weekday = _weekdays(i18n.locale()).get(word)
    return None if weekday is None else today - timedelta(days=(today.weekday() - weekday) % 7)


def _figures(words: Sequence[str], today: date) -> date | None:
    if len(words) != 1:
        return None
    if found := _ISO.fullmatch(words[0]):
        return _date(int(found[1]), int(found[2]), int(found[3]))
    if found := _SLASHED.fullmatch(words[0]):
        return _in_year(int(found[1]), int(found[2]), found[3], today)
    return None


def _named_month(words: Sequence[str], today: date) -> date | None:
    months = _months(i18n.locale())
    year = words[-1] if len(words) == 3 and _YEAR.fullmatch(words[-1]) else None
    if len(words) - bool(year) != 2:
        return None
    for day, month in (words[:2], words[1::-1]):
        found = _DAY.fullmatch(day)
        if found and month.rstrip(".") in months:
            return _in_year(int(found[1]), months[month.rstrip(".")], year, today)
    return None


def _in_year(day: int, month: int, year: str | None, today: date) -> date | None:
    """Return a day of a year, or the last such day until today."""
    if year is not None:
        return _date(int(year) + (2000 if len(year) == 2 else 0), month, day)
    # Four years back for the 29th of February.
    days = (_date(today.year - back, month, day) for back in range(9))
    return next((found for found in days if found is not None and found <= today), None)


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


@functools.lru_cache(maxsize=32)
def _months(locale: str) -> dict[str, int]:
    """Return the numbers of months by their names, whole and short, in English and in a language."""
    return {
        name.casefold().rstrip("."): number
        for language in ("en", locale)
        for width in ("wide", "abbreviated")
        for number, name in get_month_names(width, locale=language).items()
    } | {"sept": 9}


@functools.lru_cache(maxsize=32)
def _weekdays(locale: str) -> dict[str, int]:
    """Return the numbers of weekdays, Monday 0, by their names."""
    return {
        name.casefold().rstrip("."): number
        for language in ("en", locale)
        for width in ("wide", "abbreviated")
        for number, name in get_day_names(width, locale=language).items()
    }
