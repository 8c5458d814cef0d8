"""Gives a setup a new link when someone should no longer have access."""

from __future__ import annotations

from datetime import UTC, datetime

from webapp.ground.database.engine import database
from webapp.ground.events import setup_gone
from webapp.ground.link_codes import new_code
from webapp.setups.actions.find_by_owner_key import setup_of_owner_key
from webapp.setups.ended_links import note_renewed
from webapp.setups.queries import setups as queries


def renew_link(owner_key: str, seen_code: str | None = None) -> str:
    """Return the new code of the setup that an owner's key opens; the old code is gone from now on.

    Where the code is not `seen_code` any more, the page that asked for this was sent twice: the code that the first
    sending gave stays. Raises as `find_by_owner_key`. The owner's key stays the same.
    """
    code = new_code()
    with database.write() as connection:
        record = setup_of_owner_key(connection, owner_key, hold=True)
        if seen_code not in (None, record.code):
            return record.code
        queries.replace_code(connection, record, code, datetime.now(UTC))
    note_renewed(record.code, code)
    setup_gone.send(record.code)
    return code
