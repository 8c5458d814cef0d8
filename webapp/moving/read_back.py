"""What an import stored, read back and presented as the pages do it, before the transaction ends."""

from __future__ import annotations

import contextlib
import functools
from collections.abc import Callable, Mapping
from typing import Any

from setup_rules import Setup, SetupRulesError, recommend
from webapp.ground.database.connection import Connection
from webapp.ground.text.sentences import say
from webapp.library.actions.class_factors import with_checks_of_shop
from webapp.moving.shape import wrong_place
from webapp.moving.shop_file import UNREADABLE
from webapp.setups.pages.setup_page import present_setup
from webapp.setups.queries import setups as setup_queries
from webapp.workshop.actions.closing_checks import Obstacles, reasons_against_closing
from webapp.workshop.actions.describe_service import describe_service, name_service
from webapp.workshop.actions.find_records import RecordPage
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.actions.serviced_setup import apply_service, request_of_draft
from webapp.workshop.pages.record_page import present_list, present_record
from webapp.workshop.queries import records as record_queries


def read_back(connection: Connection, shop_id: int, data: Mapping[str, Any]) -> None:
    """Return when every setup and record that the file named and that is stored now can be shown.

    Raises
    ------
    ShopFileError
        With the first place in the file that cannot.
    """
    for place, one in enumerate(data["setups"]):
        _showing(f"setups[{place}]", functools.partial(_show_setup, connection, one["code"]))
    for place, one in enumerate(data["records"]):
        _showing(f"records[{place}]", functools.partial(_show_record, connection, shop_id, one["short_code"]))


def _showing(place: str, show: Callable[[], None]) -> None:
    try:
        show()
    except (*UNREADABLE, RuntimeError) as error:
        raise wrong_place(place) from error


def _show_setup(connection: Connection, code: str) -> None:
    setup = setup_queries.setup_by_code(connection, code)
    if setup is None:  # left out, or under another link here
        return
    for revision in setup_queries.revisions(connection, setup, 1, setup.latest_revision):
        present_setup(revision)
        say(revision.reason)
        for note in revision.setup.advice:
            say(note.said)


def _show_record(connection: Connection, shop_id: int, short_code: str) -> None:
    record = record_queries.record_by_code(connection, shop_id, short_code)
    if record is None:  # left out with its setup
        return
    changes = record_queries.changes(connection, record.record_id)
    obstacles = Obstacles(reasons_against_closing(record))
    present_record(record, changes, obstacles, _expected(connection, record) if record.is_open else None)
    present_list(RecordPage((record,), 1, 1))
    describe_service(record)
    say(name_service(record))


def _expected(connection: Connection, record: ServiceRecord) -> Setup | None:
    """Return what closing the record would save; None where it would be refused, which its page says."""
    with contextlib.suppress(SetupRulesError):
        if record.setup_code is None:
            if not record.draft:
                return None
            asked = with_checks_of_shop(connection, record.shop_id, request_of_draft(record.draft))
            return apply_service(recommend(asked), record, confirm=True)
        setup = setup_queries.setup_by_code(connection, record.setup_code)
        newest = setup and setup_queries.revision(connection, setup, setup.latest_revision)
        return apply_service(newest.setup, record, confirm=True) if newest else None
    return None
