"""Erases expired setups, so that a rider's weight is not kept longer than needed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final

from flask import current_app

from webapp.accounts.actions.throttle import forget_old_attempts
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.setups.queries import setups as queries
from webapp.stacks.actions.forget_stacks import purge_stacks
from webapp.workshop.queries import records as record_queries

#: Setups erased in one transaction; between two of them other savers get their turn.
_BATCH: Final = 200


#: So many setups, and this share of all, may expire from one purge to the next (ours to say); where more do, the clock
#: is in doubt.
_USUAL_SETUPS: Final = 20
_USUAL_SHARE: Final = 0.05
#: Where nothing was saved for longer than this, the clock is asked about too (ours to say).
_QUIET: Final = timedelta(days=60)


class DoubtfulClockError(Exception):
    """So much would be erased that the machine's clock may be wrong; the message says what to do."""


def purge_expired(now: datetime | None = None, *, anyway: bool = False) -> int:
    """Erase every setup that expired before `now` (aware; None: this moment) and return how many there were.

    The draft of a first setup in a record that was never closed is erased after the same time.

    Raises
    ------
    DoubtfulClockError
        Where much would go at once, or nothing was saved for long: a clock set years ahead erases everything for good.
        Not with `anyway`.
    """
    moment = now or datetime.now(UTC)
    if not anyway:
        _ask_about_clock(moment)
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


def _ask_about_clock(moment: datetime) -> None:
    with database.read() as connection:
        expired, newest = queries.count_expired(connection, moment), queries.newest_save(connection)
        if not expired or newest is None:
            return
        stored = queries.count_setups(connection)
    if moment - newest <= _QUIET and expired <= max(_USUAL_SETUPS, _USUAL_SHARE * stored):
        return
    raise DoubtfulClockError(
        _(
            "Nothing was erased: by this machine's clock it is %(today)s, the newest save is of %(newest)s, and "
            "%(expired)d of %(stored)d setups have expired. If the clock is right, run: setup-card purge --anyway",
            today=moment.date().isoformat(),
            newest=newest.date().isoformat(),
            expired=expired,
            stored=stored,
        )
    )
