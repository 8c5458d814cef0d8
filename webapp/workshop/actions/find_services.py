"""Finds the closed records that led to a version of a setup: what its card says of the service."""

from __future__ import annotations

from webapp.ground.database.engine import database
from webapp.setups.actions.find_setup import living_setup
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.queries import records as record_queries


def find_service(code_text: str, revision: int) -> ServiceRecord | None:
    """Return the closed record of the last service up to a revision of a setup, None where there was none.

    Raises
    ------
    LinkUnknownError, LinkGoneError
        As in `find_setup`.
    """
    with database.read() as connection:
        setup = living_setup(connection, code_text)
        found = record_queries.service_records(connection, setup.setup_id, revision)
    return found[0] if found else None


def find_services(code_text: str, revision: int) -> tuple[ServiceRecord, ...]:
    """Return the records that led to this revision and, without a gap, to those before it, the newest first.

    A version that was saved after the bike had left, such as a sag check at home, has none: what the shop set then no
    longer is what is set. Raises as `find_service`.
    """
    with database.read() as connection:
        setup = living_setup(connection, code_text)
        found = record_queries.service_records(connection, setup.setup_id, revision)
    kept: list[ServiceRecord] = []
    for record in found:
        if record.setup_revision != revision - len(kept):
            break
        kept.append(record)
    return tuple(kept)


def find_visit(code_text: str, revision: int) -> tuple[ServiceRecord, ...]:
    """Return the last service up to a revision, and with it the other end of the same visit where that is closed too.

    Raises as `find_service`.
    """
    with database.read() as connection:
        setup = living_setup(connection, code_text)
        found = record_queries.service_records(connection, setup.setup_id, revision)
    return tuple(one for one in found if one.visit == found[0].visit)[:2]
