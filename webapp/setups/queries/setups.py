"""Every statement that reads or writes rows; each takes the connection that its caller opened."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, bindparam, delete, func, insert, select, update
from sqlalchemy.sql import Select

from setup_rules.messages.message import Message
from webapp.ground.database.bike_rows import BikeLessonRow, BikeSetupRow
from webapp.ground.database.hold import hold
from webapp.ground.database.record_rows import ServiceDueRow
from webapp.ground.database.setup_rows import RetiredLinkRow, RevisionRow, SetupRow
from webapp.ground.database.shop_rows import UnitSetupRow
from webapp.ground.errors import StorageDamagedError
from webapp.ground.hashes import RepeatKey
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import in_english
from webapp.setups.documents import SetupDocument, setup_document, setup_from_document
from webapp.setups.revision import CardTexts, Revision
from webapp.setups.stored_messages import values_data, values_from_data


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupRecord:
    """A setup's row: whose link it is and how long it lasts."""

    setup_id: int
    code: str
    created_at: datetime
    expires_at: datetime
    deleted_at: datetime | None
    latest_revision: int


@dataclass(frozen=True, slots=True)
class Creation:
    """A setup that was created under an idempotency key. `fingerprint` is None once the key has ended."""

    code: str
    fingerprint: str | None
    created_at: datetime


def _setup_columns() -> Select[Any]:
    latest = (select(func.max(RevisionRow.number)).where(RevisionRow.setup_id == SetupRow.id).scalar_subquery()).label(
        "latest_revision"
    )
    return select(SetupRow.id, SetupRow.code, SetupRow.created_at, SetupRow.expires_at, SetupRow.deleted_at, latest)


# Built once: putting a statement together costs three times what running it does, and every page asks this one.
_SETUP_BY_CODE = _setup_columns().where(SetupRow.code == bindparam("code"))
_REVISION = select(RevisionRow).where(
    RevisionRow.setup_id == bindparam("setup_id"), RevisionRow.number == bindparam("number")
)
_SETUP_BY_ID = _setup_columns().where(SetupRow.id == bindparam("setup_id"))
_SAVED_AT = select(RevisionRow.created_at).where(
    RevisionRow.setup_id == bindparam("setup_id"), RevisionRow.number == bindparam("number")
)
_REVISION_BY_KEY = select(RevisionRow).where(
    RevisionRow.setup_id == bindparam("setup_id"), RevisionRow.idempotency_key == bindparam("key")
)
_CREATION_BY_KEY = select(SetupRow.code, SetupRow.creation_fingerprint, SetupRow.created_at).where(
    SetupRow.creation_key == bindparam("creation_key")
)
_RETIRED_LINK = select(RetiredLinkRow.code).where(RetiredLinkRow.code == bindparam("code"))
_SET_EXPIRY = update(SetupRow).where(SetupRow.id == bindparam("setup_id")).values(expires_at=bindparam("expires"))
_EXPORTED = (
    RevisionRow.number.label("revision"),
    RevisionRow.base_number.label("base_revision"),
    RevisionRow.created_at,
    RevisionRow.kind,
    RevisionRow.reason,
    RevisionRow.reason_key,
    RevisionRow.reason_values,
    RevisionRow.bike_label,
    RevisionRow.service_note,
    RevisionRow.rules_version,
    RevisionRow.request,
    RevisionRow.checks,
    RevisionRow.result,
)
_INSERT_SETUP = insert(SetupRow)
_INSERT_REVISION = insert(RevisionRow)


def _setup_record(row: Row[Any] | None) -> SetupRecord | None:
    if row is None:
        return None
    return SetupRecord(
        setup_id=row.id,
        code=row.code,
        created_at=row.created_at,
        expires_at=row.expires_at,
        deleted_at=row.deleted_at,
        latest_revision=row.latest_revision or 0,
    )


def setup_by_code(connection: Connection, code: str) -> SetupRecord | None:
    """Return the setup that `code` leads to, also when it is deleted or expired; None when there is none."""
    return _setup_record(connection.execute(_SETUP_BY_CODE, {"code": code}).first())


def setup_by_owner(connection: Connection, owner_key_hash: str) -> SetupRecord | None:
    """Return the setup whose owner's key has this hash, or None."""
    statement = _setup_columns().where(SetupRow.owner_key_hash == owner_key_hash)
    return _setup_record(connection.execute(statement).first())


def hold_setup(connection: Connection, code: str) -> None:
    """Keep other savers off the setup with this code until the transaction ends."""
    hold(connection, SetupRow.code, code)


def hold_owned_setup(connection: Connection, owner_key_hash: str) -> None:
    """Keep other savers off the setup whose owner's key has this hash until the transaction ends."""
    hold(connection, SetupRow.owner_key_hash, owner_key_hash)


def creation_by_key(connection: Connection, creation_key: str) -> Creation | None:
    """Return what was created under an idempotency key, or None."""
    row = connection.execute(_CREATION_BY_KEY, {"creation_key": creation_key}).first()
    return None if row is None else Creation(row.code, row.creation_fingerprint, row.created_at)


def is_retired(connection: Connection, code: str) -> bool:
    """Return whether `code` is a link that was replaced by a renewed one."""
    return connection.execute(_RETIRED_LINK, {"code": code}).first() is not None


def insert_setup(connection: Connection, first: Revision, owner_key_hash: str, key: RepeatKey | None = None) -> int:
    """Store the row of the setup of a `first` revision and return its number; the revision itself comes next."""
    values = {
        "code": first.code,
        "owner_key_hash": owner_key_hash,
        "created_at": first.created_at,
        "expires_at": first.expires_at,
        "creation_key": key and key.key_hash,
        "creation_fingerprint": key and key.fingerprint,
    }
    key = connection.execute(_INSERT_SETUP, values).inserted_primary_key
    if key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new setup no number.")
    return int(key[0])


def insert_revision(connection: Connection, setup_id: int, new: Revision, key: RepeatKey | None = None) -> None:
    """Store a revision. A number that is taken is refused (`connection.RowTakenError`)."""
    document = setup_document(new.setup)
    values = {
        "setup_id": setup_id,
        "number": new.number,
        "base_number": new.base_number,
        "kind": new.kind,
        **_reason_columns(new.reason),
        **asdict(new.texts),
        "request": document.request,
        "checks": document.checks,
        "result": document.result,
        "rules_version": new.setup.rules_version,
        "created_at": new.created_at,
        "idempotency_key": key and key.key_hash,
        "fingerprint": key and key.fingerprint,
    }
    connection.execute(_INSERT_REVISION, values)


def revision(connection: Connection, setup: SetupRecord, number: int) -> Revision | None:
    """Return one revision of a setup, or None (raises `StorageDamagedError` where it cannot be read back)."""
    with _readable(setup.setup_id):
        row = connection.execute(_REVISION, {"setup_id": setup.setup_id, "number": number}).first()
        return None if row is None else _read_revision(setup, row)


def count_unreadable(connection: Connection) -> tuple[int, int]:
    """Return how many revisions cannot be read back, and how many there are: each is read as a page reads it."""
    unreadable, every = 0, connection.execute(select(RevisionRow.setup_id, RevisionRow.number)).all()
    for setup_id, number in every:
        try:
            with _readable(setup_id):
                setup = _setup_record(connection.execute(_SETUP_BY_ID, {"setup_id": setup_id}).first())
            if setup is not None:
                revision(connection, setup, number)
        except StorageDamagedError:
            unreadable += 1
    return unreadable, len(every)


def saved_at(connection: Connection, setup: SetupRecord, number: int) -> datetime | None:
    """Return when a revision of a setup was saved, None where there is none."""
    return connection.execute(_SAVED_AT, {"setup_id": setup.setup_id, "number": number}).scalar_one_or_none()


def revision_by_key(connection: Connection, setup: SetupRecord, key_hash: str) -> tuple[Revision, str | None] | None:
    """Return (revision, fingerprint) of what was saved under an idempotency key, or None (raises as `revision`)."""
    with _readable(setup.setup_id):
        row = connection.execute(_REVISION_BY_KEY, {"setup_id": setup.setup_id, "key": key_hash}).first()
        return None if row is None else (_read_revision(setup, row), row.fingerprint)


def revisions(connection: Connection, setup: SetupRecord, first: int, last: int) -> Iterator[Revision]:
    """Yield the revisions of a setup from number `first` to number `last` (raises as `revision`)."""
    held = RevisionRow.number.between(first, last)
    statement = select(RevisionRow).where(RevisionRow.setup_id == setup.setup_id, held).order_by(RevisionRow.number)
    with _readable(setup.setup_id):
        for row in connection.execute(statement):
            yield _read_revision(setup, row)


def exported_revisions(connection: Connection, setup: SetupRecord) -> list[dict[str, Any]]:
    """Return every revision of a setup, its documents as they were written, its reason as a message or a text."""
    statement = select(*_EXPORTED).where(RevisionRow.setup_id == setup.setup_id).order_by(RevisionRow.number)
    return [_exported(dict(row)) for row in connection.execute(statement).mappings()]


def _exported(row: dict[str, Any]) -> dict[str, Any]:
    return {**row, "reason": _read_reason(row["reason"], row.pop("reason_key"), row.pop("reason_values"))}


def _reason_columns(reason: Message | str) -> dict[str, Any]:
    """Return why a revision was saved: key and values to be shown, and the text for whatever knows no keys."""
    key, values = (None, None) if isinstance(reason, str) else (reason.key, values_data(reason.values))
    return {"reason": in_english(reason), "reason_key": key, "reason_values": values}


def _read_reason(text: str, key: str | None, values: dict[str, Any] | None) -> Message | str:
    return text if key is None else Message(key, values_from_data(values or {}))


@contextlib.contextmanager
def _readable(setup_id: int) -> Iterator[None]:
    """Say of a stored document that is none that it is damaged: by the setup's number, since its code is a secret."""
    try:
        yield
    except (LookupError, TypeError, ValueError, AttributeError) as error:
        raise StorageDamagedError(_("setup number %(number)d cannot be read back", number=setup_id)) from error


def _read_revision(setup: SetupRecord, row: Row[Any]) -> Revision:
    return Revision(
        code=setup.code,
        number=row.number,
        latest_number=max(setup.latest_revision, row.number),
        base_number=row.base_number,
        kind=row.kind,
        reason=_read_reason(row.reason, row.reason_key, row.reason_values),
        texts=CardTexts(row.bike_label, row.service_note),
        setup=setup_from_document(SetupDocument(row.request, row.checks, row.result)),
        created_at=row.created_at,
        expires_at=setup.expires_at,
    )


def set_expiry(connection: Connection, setup_id: int, expires_at: datetime) -> None:
    """Move the day on which a setup is purged."""
    connection.execute(_SET_EXPIRY, {"setup_id": setup_id, "expires": expires_at})


def replace_code(connection: Connection, setup: SetupRecord, code: str, now: datetime) -> None:
    """Give a setup a new code, remember the old one as gone, and end the key that it was created under."""
    connection.execute(insert(RetiredLinkRow).values(code=setup.code, retired_at=now))
    statement = update(SetupRow).where(SetupRow.id == setup.setup_id).values(code=code, creation_fingerprint=None)
    connection.execute(statement)


def replace_owner_key(connection: Connection, setup: SetupRecord, owner_key_hash: str) -> None:
    """Give a setup a new owner's key; the old one is unknown from now on."""
    statement = update(SetupRow).where(SetupRow.id == setup.setup_id).values(owner_key_hash=owner_key_hash)
    connection.execute(statement)


def erase(connection: Connection, setup_ids: list[int], now: datetime) -> None:
    """Erase the contents of setups for good. Code and hashed keys stay: they answer "gone", and make nothing again."""
    for row in (BikeLessonRow, BikeSetupRow, UnitSetupRow, ServiceDueRow, RevisionRow):
        connection.execute(delete(row).where(row.setup_id.in_(setup_ids)))
    statement = update(SetupRow).where(SetupRow.id.in_(setup_ids)).values(deleted_at=now, creation_fingerprint=None)
    connection.execute(statement)


def expired_setup_ids(connection: Connection, now: datetime, limit: int) -> list[int]:
    """Return up to `limit` setups whose time is over and whose contents are still there, held, without those that
    another purge or saver holds.
    """
    statement = (
        select(SetupRow.id)
        .where(SetupRow.expires_at <= now, SetupRow.deleted_at.is_(None))
        .order_by(SetupRow.expires_at)
        .limit(limit)
        .with_for_update(skip_locked=True)
    )
    return list(connection.execute(statement).scalars())


def count_expired(connection: Connection, now: datetime) -> int:
    """Return how many setups are stored whose time is over."""
    statement = select(func.count()).select_from(SetupRow)
    return int(
        connection.execute(statement.where(SetupRow.expires_at <= now, SetupRow.deleted_at.is_(None))).scalar_one()
    )


def newest_save(connection: Connection) -> datetime | None:
    """Return when the revision that was stored last was saved, None where there is none."""
    newest = select(RevisionRow.created_at).order_by(RevisionRow.id.desc()).limit(1)
    return connection.execute(newest).scalar_one_or_none()


def count_setups(connection: Connection) -> int:
    """Return how many setups are stored and not erased."""
    statement = select(func.count()).select_from(SetupRow).where(SetupRow.deleted_at.is_(None))
    return int(connection.execute(statement).scalar_one())
