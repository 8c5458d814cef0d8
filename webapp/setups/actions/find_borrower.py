"""Finds who has borrowed the bike of a setup: a what-if that was saved under a name, until it was taken back."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.ground.database.engine import database
from webapp.setups.actions.find_setup import living_setup
from webapp.setups.queries import rider_events as queries
from webapp.setups.revision import Revision


@dataclass(frozen=True, slots=True)
class Borrower:
    """Who is on the bike: the name, the revision that set it up so, and the one before anybody borrowed it."""

    name: str
    since: int
    before: int


def find_borrower(saved: Revision) -> Borrower | None:
    """Return who is on the bike at the revision `saved`, None for its own rider (raises as `find_setup`)."""
    with database.read() as connection:
        setup_id = living_setup(connection, saved.code).setup_id
        found: Borrower | None = None
        number = saved.number
        while (event := queries.newest_event(connection, setup_id, number)) is not None:
            if event.kind == "returned":
                break
            number = event.leads_to
            if event.kind == "borrowed":
                # Who borrows from a borrower gives the bike back to its own rider.
                since, name = (event.number, event.name) if found is None else (found.since, found.name)
                found = Borrower(name, since, number)
    return found
