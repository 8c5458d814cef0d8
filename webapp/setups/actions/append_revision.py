"""Saves a new revision of a setup: nothing is overwritten, and a second save at the same time is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Final

from webapp.ground.action_errors import ConflictError, HistoryFullError, IdempotencyError
from webapp.ground.database.connection import Connection, RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.events import revision_added
from webapp.ground.hashes import RepeatKey
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.create_setup import expiry
from webapp.setups.actions.find_setup import living_setup
from webapp.setups.queries import setups as queries
from webapp.setups.revision import Revision

#: The most revisions of one setup: years of checks. A link is not a way to fill the disk.
MOST_REVISIONS: Final = 1_000


def append_revision(new: Revision, key: RepeatKey | None = None) -> Revision:
    """Save `new`, made by `Revision.followed_by`, as the newest revision of its setup; a repeat under `key` once.

    Raises
    ------
    ConflictError
        When another revision was saved in the meantime. Nothing of either is lost: the caller still holds its
        own, the other one is stored.
    IdempotencyError
        When the key was used for another body.
    HistoryFullError
        When the setup has `MOST_REVISIONS` revisions.
    LinkUnknownError, LinkGoneError
        As in `find_setup`.
    """
    if repeated := repeated_revision(new.code, key):
        return repeated
    try:
        with database.write() as connection:
            return _append(connection, new, key)
    except (ConflictError, RowTakenError) as error:
        # The faster one may have been this very request's twin.
        if repeated := repeated_revision(new.code, key):
            return repeated
        if isinstance(error, ConflictError):
            raise
        # Another process was faster between look and save (a database without one writer at a time).
        raise conflict(new.number) from error


def repeated_revision(code_text: str, key: RepeatKey | None) -> Revision | None:
    """Return the revision that was saved under a key before, if any.

    Raises
    ------
    IdempotencyError
        When it was saved for another body.
    LinkUnknownError, LinkGoneError
        As in `find_setup`.
    """
    if key is None:
        return None
    with database.read() as connection:
        found = queries.revision_by_key(connection, living_setup(connection, code_text), key.key_hash)
    if found is None:
        return None
    revision, fingerprint = found
    if fingerprint != key.fingerprint:
        raise IdempotencyError(_("This idempotency key was already used for another request. Use a new key."))
    return revision


def conflict(latest: int) -> ConflictError:
    """Return the refusal of a save on a revision that is not the newest any more."""
    message = _(
        "Someone else saved version %(latest)d of this setup in the meantime. Look at it, then save again.",
        latest=latest,
    )
    return ConflictError(message, latest)


def _append(connection: Connection, new: Revision, key: RepeatKey | None) -> Revision:
    record = living_setup(connection, new.code, hold=True)
    if record.latest_revision >= MOST_REVISIONS:
        message = _("This setup has %(n)d versions, and no more are kept. Make a new setup.", n=MOST_REVISIONS)
        raise HistoryFullError(message)
    if record.latest_revision != new.base_number:
        raise conflict(record.latest_revision)
    now = datetime.now(UTC)
    queries.insert_revision(connection, record.setup_id, replace(new, created_at=now), key)
    # A clock that was set back must not bring the day nearer on which everything is erased.
    queries.set_expiry(connection, record.setup_id, max(record.expires_at, expiry(now)))
    # Read back rather than assembled: what is answered now is what will be answered later.
    stored = queries.revision(connection, living_setup(connection, record.code), new.number)
    if stored is None:
        raise RuntimeError("a revision that was just stored is not there")
    revision_added.send(stored.kind, connection=connection, setup_id=record.setup_id, setup=stored.setup)
    return stored
