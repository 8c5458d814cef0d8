"""Every statement that reads or writes rows; each takes the connection that its caller opened."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, bindparam, delete, func, insert, select, update
from sqlalchemy.sql import Select

from setup_rules import Setup
from webapp.ground.database.setup_rows import RetiredLinkRow, RevisionRow, SetupRow
from webapp.setups.documents import SetupDocument, setup_document, setup_from_document


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupRecord:
    """A setup's row: whose link it is and how long it lasts."""

    setup_id: int
    code: str
    created_at: datetime
    expires_at: datetime
    deleted_at: datetime | None
    latest_revision: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionRecord:
    """A revision's row, its documents read back into a `Setup`."""

    number: int
    base_number: int | None
    kind: str
    reason: str
    bike_label: str
    service_note: str
    setup: Setup
    document: SetupDocument
    rules_version: str
    created_at: datetime
    idempotency_key: str | None
    fingerprint: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewRevision:
    """What a caller knows about a revision before it is stored."""

    number: int
    base_number: int | None
    kind: str
    reason: str
    bike_label: str
    service_note: str
    setup: Setup
    created_at: datetime
    idempotency_key: str | None = None
    fingerprint: str | None = None


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
_REVISION_BY_KEY = select(RevisionRow).where(
    RevisionRow.setup_id == bindparam("setup_id"), RevisionRow.idempotency_key == bindparam("key")
)
_CREATION_BY_KEY = select(SetupRow.code, SetupRow.creation_fingerprint).where(
    SetupRow.creation_key == bindparam("creation_key")
)
_RETIRED_LINK = select(RetiredLinkRow.code).where(RetiredLinkRow.code == bindparam("code"))
_SET_EXPIRY = update(SetupRow).where(SetupRow.id == bindparam("setup_id")).values(expires_at=bindparam("expires"))
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


def creation_by_key(connection: Connection, creation_key: str) -> tuple[str, str | None] | None:
    """Return (code, fingerprint) of the setup that was created under an idempotency key, or None."""
    row = connection.execute(_CREATION_BY_KEY, {"creation_key": creation_key}).first()
    return None if row is None else (row.code, row.creation_fingerprint)


def is_retired(connection: Connection, code: str) -> bool:
    """Return whether `code` is a link that was replaced by a renewed one."""
    return connection.execute(_RETIRED_LINK, {"code": code}).first() is not None


def insert_setup(
    connection: Connection,
    *,
    code: str,
    owner_key_hash: str,
    created_at: datetime,
    expires_at: datetime,
    creation_key: str | None = None,
    creation_fingerprint: str | None = None,
) -> int:
    """Store a setup's row and return its number in the table; its first revision comes next."""
    values = {
        "code": code,
        "owner_key_hash": owner_key_hash,
        "created_at": created_at,
        "expires_at": expires_at,
        "creation_key": creation_key,
        "creation_fingerprint": creation_fingerprint,
    }
    key = connection.execute(_INSERT_SETUP, values).inserted_primary_key
    if key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new setup no number.")
    return int(key[0])


def insert_revision(connection: Connection, setup_id: int, new: NewRevision) -> None:
    """Store a revision. A number that is taken is refused (`connection.RowTakenError`)."""
    document = setup_document(new.setup)
    values = {
        "setup_id": setup_id,
        "number": new.number,
        "base_number": new.base_number,
        "kind": new.kind,
        "reason": new.reason,
        "bike_label": new.bike_label,
        "service_note": new.service_note,
        "request": document.request,
        "checks": document.checks,
        "result": document.result,
        "rules_version": new.setup.rules_version,
        "created_at": new.created_at,
        "idempotency_key": new.idempotency_key,
        "fingerprint": new.fingerprint,
    }
    connection.execute(_INSERT_REVISION, values)


def revision(connection: Connection, setup_id: int, number: int) -> RevisionRecord | None:
    """Return one revision of a setup, or None."""
    row = connection.execute(_REVISION, {"setup_id": setup_id, "number": number}).first()
    return None if row is None else _revision_record(row)


def revision_by_key(connection: Connection, setup_id: int, idempotency_key: str) -> RevisionRecord | None:
    """Return the revision that was saved under an idempotency key, or None."""
    row = connection.execute(_REVISION_BY_KEY, {"setup_id": setup_id, "key": idempotency_key}).first()
    return None if row is None else _revision_record(row)


def revisions(connection: Connection, setup_id: int) -> Iterator[RevisionRecord]:
    """Yield every revision of a setup, the first one first."""
    statement = select(RevisionRow).where(RevisionRow.setup_id == setup_id).order_by(RevisionRow.number)
    for row in connection.execute(statement):
        yield _revision_record(row)


def _revision_record(row: Row[Any]) -> RevisionRecord:
    document = SetupDocument(row.request, row.checks, row.result)
    return RevisionRecord(
        number=row.number,
        base_number=row.base_number,
        kind=row.kind,
        reason=row.reason,
        bike_label=row.bike_label,
        service_note=row.service_note,
        setup=setup_from_document(document),
        document=document,
        rules_version=row.rules_version,
        created_at=row.created_at,
        idempotency_key=row.idempotency_key,
        fingerprint=row.fingerprint,
    )


def set_expiry(connection: Connection, setup_id: int, expires_at: datetime) -> None:
    """Move the day on which a setup is purged."""
    connection.execute(_SET_EXPIRY, {"setup_id": setup_id, "expires": expires_at})


def replace_code(connection: Connection, setup: SetupRecord, code: str, now: datetime) -> None:
    """Give a setup a new code and remember the old one as gone."""
    connection.execute(insert(RetiredLinkRow).values(code=setup.code, retired_at=now))
    connection.execute(update(SetupRow).where(SetupRow.id == setup.setup_id).values(code=code))


def erase(connection: Connection, setup_ids: list[int], now: datetime) -> None:
    """Erase the contents of setups for good. Code and hashed owner's key stay: their links answer "gone"."""
    connection.execute(delete(RevisionRow).where(RevisionRow.setup_id.in_(setup_ids)))
    connection.execute(
        update(SetupRow)
        .where(SetupRow.id.in_(setup_ids))
        .values(deleted_at=now, creation_key=None, creation_fingerprint=None)
    )


def expired_setup_ids(connection: Connection, now: datetime, limit: int) -> list[int]:
    """Return up to `limit` setups whose time is over and whose contents are still there."""
    statement = (
        select(SetupRow.id)
        .where(SetupRow.expires_at <= now, SetupRow.deleted_at.is_(None))
        .order_by(SetupRow.expires_at)
        .limit(limit)
    )
    return list(connection.execute(statement).scalars())


def count_setups(connection: Connection) -> int:
    """Return how many setups are stored and not erased."""
    statement = select(func.count()).select_from(SetupRow).where(SetupRow.deleted_at.is_(None))
    return int(connection.execute(statement).scalar_one())
