"""Statements about links and owner's keys that ended, for a restore that is not to bring them back."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from sqlalchemy import Connection, insert, select, update

from webapp.ground.database.setup_rows import RetiredLinkRow, SetupRow

#: Codes that are asked for in one statement.
_AT_ONCE = 500


def living_keys(connection: Connection) -> dict[str, str | None]:
    """Return the hash of the owner's key of every setup that is not erased, by its code."""
    statement = select(SetupRow.code, SetupRow.owner_key_hash).where(SetupRow.deleted_at.is_(None))
    return {row.code: row.owner_key_hash for row in connection.execute(statement)}


def erased_codes(connection: Connection) -> set[str]:
    """Return the codes of all setups that were erased."""
    return set(connection.execute(select(SetupRow.code).where(SetupRow.deleted_at.is_not(None))).scalars())


def retired_codes(connection: Connection) -> set[str]:
    """Return the codes of all links that were renewed."""
    return set(connection.execute(select(RetiredLinkRow.code)).scalars())


def row_numbers(connection: Connection, codes: Collection[str]) -> Iterator[list[int]]:
    """Yield the rows of the setups with these codes, some hundreds at once."""
    wanted = sorted(codes)
    for start in range(0, len(wanted), _AT_ONCE):
        statement = select(SetupRow.id).where(SetupRow.code.in_(wanted[start : start + _AT_ONCE]))
        yield list(connection.execute(statement).scalars())


def move_link(connection: Connection, code: str, new: str) -> None:
    """Give the setup with a code a new one and remember the old one as gone, unless it is known as that."""
    connection.execute(update(SetupRow).where(SetupRow.code == code).values(code=new, creation_fingerprint=None))
    known = connection.execute(select(RetiredLinkRow.code).where(RetiredLinkRow.code == code)).first()
    if known is None:
        moment = select(SetupRow.created_at).where(SetupRow.code == new).scalar_subquery()
        connection.execute(insert(RetiredLinkRow).values(code=code, retired_at=moment))


def set_owner_key(connection: Connection, code: str, owner_key_hash: str | None) -> None:
    """Replace the hash of the owner's key of the setup with a code."""
    connection.execute(update(SetupRow).where(SetupRow.code == code).values(owner_key_hash=owner_key_hash))
