"""Finds a shop's service records: one by its code, many by words, codes or a day; those open, and one's own."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from webapp.accounts.staff import StaffMember
from webapp.ground.database.engine import database
from webapp.ground.link_codes import CodeError, normalise
from webapp.ground.text.days import MOST_WORDS, read_day
from webapp.ground.text.free_text import search_text
from webapp.ground.text.local_time import day_bounds, local_today
from webapp.workshop.actions.records import RecordChange, ServiceRecord, found_record, search_key
from webapp.workshop.actions.service_dues import count_due_now
from webapp.workshop.queries import records as record_queries
from webapp.workshop.queries import search as search_queries
from webapp.workshop.queries.search import Part, Wanted

__all__ = [
    "DayCounts",
    "Part",
    "RecordPage",
    "count_day",
    "find_day_list",
    "find_record",
    "find_records",
    "read_search",
]

PAGE: Final = 20
#: Longest text that is searched for; a card's whole link is shorter.
TEXT_LIMIT: Final = 200
#: More words than this say nothing more.
_MOST_WORDS: Final = 10
_LAST_PAGE: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class RecordPage:
    """One page of records, the newest first."""

    records: tuple[ServiceRecord, ...]
    total: int
    page: int

    @property
    def pages(self) -> int:
        """How many pages there are, at least one."""
        return max(1, -(-self.total // PAGE))


@dataclass(frozen=True, slots=True)
class DayCounts:
    """How many records of a shop are open, how many of these are one's own, and how many services are due now."""

    open: int
    mine: int
    due: int


def find_record(shop_id: int, code: str) -> tuple[ServiceRecord, tuple[RecordChange, ...]]:
    """Return a shop's record with its history (raises `RecordUnknownError`)."""
    with database.read() as connection:
        record = found_record(connection, shop_id, code)
        return record, record_queries.changes(connection, record.record_id)


def find_records(shop_id: int, text: str = "", page: int = 1, *, zone: str = "UTC") -> RecordPage:
    """Return a page of the shop's records that a text may mean; an empty text finds all. Days are those of a zone."""
    return _find(shop_id, read_search(text, zone), page)


def find_day_list(member: StaffMember, part: Part, text: str, page: int) -> RecordPage:
    """Return a page of the records of the member's shop: all, the open ones, or the member's own open ones."""
    wanted = read_search(text, member.time_zone)
    return _find(member.shop_id, replace(wanted, part=part, staff_id=member.staff_id), page)


def count_day(member: StaffMember) -> DayCounts:
    """Return what waits in the member's shop."""
    with database.read() as connection:
        found = [
            search_queries.count(connection, member.shop_id, Wanted(part=part, staff_id=member.staff_id))
            for part in ("open", "mine")
        ]
    return DayCounts(found[0], found[1], count_due_now(member))


def _find(shop_id: int, wanted: Wanted, page: int) -> RecordPage:
    number = min(max(page, 1), _LAST_PAGE)
    with database.read() as connection:
        total = search_queries.count(connection, shop_id, wanted)
        records = search_queries.search(connection, shop_id, wanted, (number - 1) * PAGE, PAGE)
    return RecordPage(records, total, number)


def read_search(text: str, zone: str) -> Wanted:
    """Return what a text may mean: its words in any order, a card's code, a day beside other words."""
    text = search_text(text)[:TEXT_LIMIT]
    words = text.split()[:_MOST_WORDS]
    if not words:
        return Wanted()
    day, rest = _day_among(words, zone)
    return Wanted(words=_keys(words), setup_code=_setup_code(text), day=day, rest=_keys(rest))


def _keys(words: list[str]) -> tuple[str, ...]:
    return tuple(search_key(word) for word in words)


def _day_among(words: list[str], zone: str) -> tuple[tuple[datetime, datetime] | None, list[str]]:
    """Return the longest day that is written among words, with the words around it; None where there is none."""
    today = local_today(zone)
    for length in range(min(MOST_WORDS, len(words)), 0, -1):
        for start in range(len(words) - length + 1):
            day = read_day(words[start : start + length], today)
            if day is not None:
                return day_bounds(day, zone), words[:start] + words[start + length :]
    return None, words


def _setup_code(text: str) -> str:
    try:
        return normalise(text)
    except CodeError:
        return ""
