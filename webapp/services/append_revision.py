"""Saves a new revision of a setup: nothing is overwritten, and a second saver at the same time is told."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

from setup_rules import Setup
from webapp.i18n import gettext as _
from webapp.services.create_setup import expiry
from webapp.services.errors import ConflictError, IdempotencyError
from webapp.services.find_setup import living_setup
from webapp.services.fingerprints import secret_hash
from webapp.services.saved import SavedSetup, saved_setup
from webapp.storage import queries
from webapp.storage.connection import Connection, RowTakenError
from webapp.storage.database import database


def append_revision(
    code_text: str,
    *,
    base_revision: int,
    setup: Setup,
    kind: str,
    reason: str,
    bike_label: str | None = None,
    service_note: str | None = None,
    idempotency_key: str | None = None,
    fingerprint: str | None = None,
) -> SavedSetup:
    """Save `setup` as the revision after `base_revision` of the setup behind a code.

    Parameters
    ----------
    base_revision : int
        The revision that the caller looked at; it must still be the latest.
    kind : str
        What led to it, a short stable word such as ``sag_check`` (at most 32 characters).
    reason : str
        Why, in one sentence for people.
    bike_label, service_note : str or None
        None keeps the text of the base revision.
    idempotency_key, fingerprint : str or None
        The client's key and `fingerprints.body_fingerprint` of what it asked; a repeat gets the first answer.

    Raises
    ------
    ConflictError
        When another revision was saved in the meantime. Nothing of either is lost: the caller still holds its
        own, the other one is stored.
    IdempotencyError
        When the key was used for another body.
    LinkUnknownError, LinkGoneError
        As in `find_setup`.
    """
    key = secret_hash(idempotency_key) if idempotency_key else None
    if key and (repeated := repeated_revision(code_text, key, fingerprint)):
        return repeated

    def draft(base: queries.RevisionRecord) -> queries.NewRevision:
        return queries.NewRevision(
            number=base_revision + 1,
            base_number=base_revision,
            kind=kind,
            reason=reason,
            bike_label=base.bike_label if bike_label is None else bike_label,
            service_note=base.service_note if service_note is None else service_note,
            setup=setup,
            created_at=datetime.now(UTC),
            idempotency_key=key,
            fingerprint=fingerprint,
        )

    try:
        with database.write() as connection:
            return _append(connection, code_text, base_revision, draft)
    except (ConflictError, RowTakenError) as error:
        # The faster one may have been this very request's twin.
        if key and (repeated := repeated_revision(code_text, key, fingerprint)):
            return repeated
        if isinstance(error, ConflictError):
            raise
        # Another process was faster between look and save (a database without one writer at a time).
        raise _conflict(base_revision + 1) from error


def repeated_revision(code_text: str, key_hash: str, fingerprint: str | None) -> SavedSetup | None:
    """Return the revision that was saved under this key, None when there is none (raises `IdempotencyError`)."""
    with database.read() as connection:
        record = living_setup(connection, code_text)
        row = queries.revision_by_key(connection, record.setup_id, key_hash)
    if row is None:
        return None
    if row.fingerprint != fingerprint:
        raise IdempotencyError(_("This idempotency key was used for another request. Use a new key."))
    return saved_setup(record, row)


def _conflict(latest: int) -> ConflictError:
    message = _(
        "Somebody else saved revision %(latest)d of this setup in the meantime. Look at it, then save again.",
        latest=latest,
    )
    return ConflictError(message, latest)


def _append(
    connection: Connection,
    code_text: str,
    base_revision: int,
    draft: Callable[[queries.RevisionRecord], queries.NewRevision],
) -> SavedSetup:
    record = living_setup(connection, code_text)
    if record.latest_revision != base_revision:
        raise _conflict(record.latest_revision)
    new = draft(_stored(connection, record, base_revision))
    queries.insert_revision(connection, record.setup_id, new)
    queries.set_expiry(connection, record.setup_id, expiry(new.created_at))
    # Read back rather than assembled: what is answered now is what will be answered later.
    return saved_setup(living_setup(connection, record.code), _stored(connection, record, new.number))


def _stored(connection: Connection, record: queries.SetupRecord, number: int) -> queries.RevisionRecord:
    row = queries.revision(connection, record.setup_id, number)
    if row is None:
        raise RuntimeError("a revision that must be there is not")
    return row
