"""Saves a new revision of a setup: nothing is overwritten, and a second save at the same time is refused."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from setup_rules import Setup
from webapp.ground.database.connection import Connection, RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.hashes import secret_hash
from webapp.ground.refusals import ConflictError, IdempotencyError
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.create_setup import expiry
from webapp.setups.actions.find_setup import living_setup
from webapp.setups.queries import setups as queries
from webapp.setups.saved import SavedSetup, saved_setup


@dataclass(frozen=True, slots=True, kw_only=True)
class NextRevision:
    """What is to be saved after `base_revision`, the revision that the caller looked at.

    `kind` is a short stable word for what led to it, such as ``sag_check`` (at most 32 characters), `reason` one
    sentence for people. Texts that are None stay as they were. `idempotency_key` is the client's key and
    `fingerprint` the `fingerprints.body_fingerprint` of what it asked; a repeat gets the first answer.
    """

    base_revision: int
    setup: Setup
    kind: str
    reason: str
    bike_label: str | None = None
    service_note: str | None = None
    idempotency_key: str | None = None
    fingerprint: str | None = None

    @property
    def key_hash(self) -> str | None:
        """The client's key as it is stored."""
        return secret_hash(self.idempotency_key) if self.idempotency_key else None


def append_revision(code_text: str, wanted: NextRevision) -> SavedSetup:
    """Save `wanted` as the newest revision of the setup behind a code.

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
    if repeated := repeated_revision(code_text, wanted.key_hash, wanted.fingerprint):
        return repeated
    try:
        with database.write() as connection:
            return _append(connection, code_text, wanted)
    except (ConflictError, RowTakenError) as error:
        # The faster one may have been this very request's twin.
        if repeated := repeated_revision(code_text, wanted.key_hash, wanted.fingerprint):
            return repeated
        if isinstance(error, ConflictError):
            raise
        # Another process was faster between look and save (a database without one writer at a time).
        raise conflict(wanted.base_revision + 1) from error


def repeated_revision(code_text: str, key_hash: str | None, fingerprint: str | None) -> SavedSetup | None:
    """Return the revision that was saved under a key before, if any.

    Raises
    ------
    IdempotencyError
        When it was saved for another body.
    LinkUnknownError, LinkGoneError
        As in `find_setup`.
    """
    if key_hash is None:
        return None
    with database.read() as connection:
        record = living_setup(connection, code_text)
        row = queries.revision_by_key(connection, record.setup_id, key_hash)
    if row is None:
        return None
    if row.fingerprint != fingerprint:
        raise IdempotencyError(_("This idempotency key was already used for another request. Use a new key."))
    return saved_setup(record, row)


def conflict(latest: int) -> ConflictError:
    """Return the refusal of a save on a revision that is not the newest any more."""
    message = _(
        "Someone else saved version %(latest)d of this setup in the meantime. Look at it, then save again.",
        latest=latest,
    )
    return ConflictError(message, latest)


def _append(connection: Connection, code_text: str, wanted: NextRevision) -> SavedSetup:
    record = living_setup(connection, code_text)
    if record.latest_revision != wanted.base_revision:
        raise conflict(record.latest_revision)
    new = _draft(wanted, _stored(connection, record, wanted.base_revision))
    queries.insert_revision(connection, record.setup_id, new)
    queries.set_expiry(connection, record.setup_id, expiry(new.created_at))
    # Read back rather than assembled: what is answered now is what will be answered later.
    return saved_setup(living_setup(connection, record.code), _stored(connection, record, new.number))


def _draft(wanted: NextRevision, base: queries.RevisionRecord) -> queries.NewRevision:
    return queries.NewRevision(
        number=base.number + 1,
        base_number=base.number,
        kind=wanted.kind,
        reason=wanted.reason,
        bike_label=base.bike_label if wanted.bike_label is None else wanted.bike_label,
        service_note=base.service_note if wanted.service_note is None else wanted.service_note,
        setup=wanted.setup,
        created_at=datetime.now(UTC),
        idempotency_key=wanted.key_hash,
        fingerprint=wanted.fingerprint,
    )


def _stored(connection: Connection, record: queries.SetupRecord, number: int) -> queries.RevisionRecord:
    row = queries.revision(connection, record.setup_id, number)
    if row is None:
        raise RuntimeError("a revision that must be there is not")
    return row
