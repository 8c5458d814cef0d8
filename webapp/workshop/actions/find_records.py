"""Finds a shop's service records: one by its code, many by bike, day, customer reference or card."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from webapp.ground.database.engine import database
from webapp.ground.link_codes import CodeError, normalise
from webapp.ground.short_codes import short_code_of
from webapp.ground.text.days import day_meant
from webapp.workshop import queries as record_queries
from webapp.workshop.actions.records import RecordChange, ServiceRecord, found_record, search_key
from webapp.workshop.queries import Wanted

PAGE: Final = 20
#: Longest text that is searched for; a card's whole link is shorter.
TEXT_LIMIT: Final = 200
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


def find_record(shop_id: int, code: str) -> tuple[ServiceRecord, tuple[RecordChange, ...]]:
    """Return a shop's record with its history (raises `RecordUnknownError`)."""
    with database.read() as connection:
        record = found_record(connection, shop_id, code)
        return record, record_queries.changes(connection, record.record_id)


def find_records(shop_id: int, text: str = "", page: int = 1) -> RecordPage:
    """Return a page of the shop's records that a text may mean; an empty text finds all."""
    wanted = _read_search(text.strip()[:TEXT_LIMIT])
    number = min(max(page, 1), _LAST_PAGE)
    with database.read() as connection:
        total = record_queries.count(connection, shop_id, wanted)
        records = record_queries.search(connection, shop_id, wanted, (number - 1) * PAGE, PAGE)
    return RecordPage(records, total, number)


def _read_search(text: str) -> Wanted:
    if not text:
        return Wanted()
    return Wanted(
        text=search_key(text), short_code=short_code_of(text), setup_code=_setup_code(text), day=day_meant(text)
    )


def _setup_code(text: str) -> str:
    try:
        return normalise(text)
    except CodeError:
        return ""
