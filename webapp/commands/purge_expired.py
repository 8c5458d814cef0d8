"""Erases expired setups, so that a rider's weight is not kept longer than needed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final

from flask import current_app

from webapp.accounts.actions.throttle import forget_old_attempts
from webapp.ground.database.engine import database
from webapp.setups.queries import setups as queries
from webapp.stacks.actions.forget_stacks import purge_stacks
from webapp.workshop.queries import records as record_queries

#: Setups erased in one transaction; between two of them other savers get their turn.
_BATCH: Final = 200


def purge_expired(now: datetime | None = None) -> int:
    """Erase every setup that expired before `now` (aware; None: this moment) and return how many there were.

    The draft of a first setup in a record that was never closed is erased after the same time.
    """
    moment = now or datetime.now(UTC)
    with database.write() as connection:
        record_queries.erase_old_drafts(
            connection, moment - timedelta(days=float(current_app.config["RETENTION_DAYS"]))
        )
    forget_old_attempts(moment)
    erased = 0
    while True:
        with database.write() as connection:
            ids = queries.expired_setup_ids(connection, moment, _BATCH)
            if not ids:
                break
            queries.erase(connection, ids, moment)
        erased += len(ids)
    purge_stacks(moment)
    return erased
