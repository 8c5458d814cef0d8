"""Statements about shops, their staff and log-in attempts; each takes the connection of its caller."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, bindparam, delete, func, insert, select, update

from webapp.ground.database.hold import hold
from webapp.ground.database.shop_rows import ApiTokenRow, LogInAttemptsRow, OpeningLinkRow, ShopRow, StaffRow


@dataclass(frozen=True, slots=True, kw_only=True)
class StaffRecord:
    """An account's row with the name of its shop."""

    staff_id: int
    shop_id: int
    shop_name: str
    login: str
    password_hash: str
    role: str
    session_epoch: int
    created_at: datetime
    disabled_at: datetime | None
    initials: str | None
    time_zone: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopRecord:
    """What a shop says of itself: its phone for the card, its time zone, and how much its customers ride."""

    phone: str | None
    time_zone: str | None
    riding_hours: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TokenRecord:
    """A token's row without its hash, with the login of who made it."""

    token_id: int
    shop_id: int
    staff_id: int
    login: str
    name: str
    created_at: datetime
    last_used_at: datetime | None
    revoked_at: datetime | None


def _staff_columns() -> Any:
    return select(
        StaffRow.id.label("staff_id"),
        StaffRow.shop_id,
        ShopRow.name.label("shop_name"),
        StaffRow.login,
        StaffRow.password_hash,
        StaffRow.role,
        StaffRow.session_epoch,
        StaffRow.created_at,
        StaffRow.disabled_at,
        StaffRow.initials,
        ShopRow.time_zone,
    ).join(ShopRow, ShopRow.id == StaffRow.shop_id)


# Built once: every page that a signed-in person opens asks this one.
_STAFF_BY_ID = _staff_columns().where(StaffRow.id == bindparam("staff_id"))


def _staff_record(row: Row[Any] | None) -> StaffRecord | None:
    return None if row is None else StaffRecord(**row._mapping)


def staff_by_id(connection: Connection, staff_id: int) -> StaffRecord | None:
    """Return the account with this number, also when it is closed; None when there is none."""
    return _staff_record(connection.execute(_STAFF_BY_ID, {"staff_id": staff_id}).first())


def staff_by_login(connection: Connection, login: str) -> StaffRecord | None:
    """Return the account with this login, also when it is closed; None when there is none."""
    return _staff_record(connection.execute(_staff_columns().where(StaffRow.login == login)).first())


def staff_of_shop(connection: Connection, shop_id: int) -> tuple[StaffRecord, ...]:
    """Return every account of a shop, by login."""
    statement = _staff_columns().where(StaffRow.shop_id == shop_id).order_by(StaffRow.login)
    return tuple(StaffRecord(**row._mapping) for row in connection.execute(statement))


def insert_shop(connection: Connection, name: str, now: datetime) -> int:
    """Store a shop and return its number."""
    return _new_key(connection.execute(insert(ShopRow).values(name=name, created_at=now)).inserted_primary_key)


def shop_record(connection: Connection, shop_id: int) -> ShopRecord:
    """Return what a shop says of itself."""
    columns = (ShopRow.phone, ShopRow.time_zone, ShopRow.riding_hours)
    return ShopRecord(**connection.execute(select(*columns).where(ShopRow.id == shop_id)).one()._mapping)


def update_shop(connection: Connection, shop_id: int, values: Mapping[str, Any]) -> None:
    """Replace what a shop says of itself."""
    connection.execute(update(ShopRow).where(ShopRow.id == shop_id).values(**values))


def set_initials(connection: Connection, shop_id: int, staff_id: int, initials: str | None) -> None:
    """Replace the initials of an account of a shop."""
    own = (StaffRow.shop_id == shop_id, StaffRow.id == staff_id)
    connection.execute(update(StaffRow).where(*own).values(initials=initials))


def shop_by_name(connection: Connection, name: str) -> tuple[int, str] | None:
    """Return (number, name) of the shop with this name, case and blanks aside, or None: the very name goes first.

    Compared here, since databases do not agree on the case of letters beyond ASCII.
    """
    alike = [one for one in shop_names(connection) if _folded(one[1]) == _folded(name)]
    return min(alike, key=lambda one: (one[1] != name, one[0]), default=None)


def _folded(name: str) -> str:
    return " ".join(name.split()).casefold()


def shop_names(connection: Connection) -> tuple[tuple[int, str], ...]:
    """Return (number, name) of every shop, by name."""
    rows = connection.execute(select(ShopRow.id, ShopRow.name).order_by(ShopRow.name, ShopRow.id))
    return tuple((row.id, row.name) for row in rows)


def hold_shop(connection: Connection, shop_id: int) -> None:
    """Keep others who hold the shop waiting until the transaction ends: for what a look at several rows decides."""
    hold(connection, ShopRow.id, shop_id)


def has_shop(connection: Connection) -> bool:
    """Return whether any shop was opened yet."""
    return connection.execute(select(ShopRow.id).limit(1)).first() is not None


def insert_staff(
    connection: Connection, *, shop_id: int, login: str, password_hash: str, role: str, now: datetime
) -> int:
    """Store an account and return its number; a login that is taken breaks the table's constraint."""
    values = {
        "shop_id": shop_id,
        "login": login,
        "password_hash": password_hash,
        "role": role,
        "session_epoch": 1,
        "created_at": now,
    }
    return _new_key(connection.execute(insert(StaffRow).values(**values)).inserted_primary_key)


def _new_key(key: Any) -> int:
    if key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new row no number.")
    return int(key[0])


def end_sessions(connection: Connection, shop_id: int, staff_id: int) -> int:
    """Make every session of an account void and return the epoch that holds from now on."""
    statement = (
        update(StaffRow)
        .where(StaffRow.shop_id == shop_id, StaffRow.id == staff_id)
        .values(session_epoch=StaffRow.session_epoch + 1)
        .returning(StaffRow.session_epoch)
    )
    return int(connection.execute(statement).scalar_one())


def set_password(connection: Connection, shop_id: int, staff_id: int, password_hash: str) -> None:
    """Replace an account's password."""
    own = (StaffRow.shop_id == shop_id, StaffRow.id == staff_id)
    connection.execute(update(StaffRow).where(*own).values(password_hash=password_hash))


def set_role(connection: Connection, shop_id: int, staff_id: int, role: str) -> None:
    """Replace an account's role."""
    own = (StaffRow.shop_id == shop_id, StaffRow.id == staff_id)
    connection.execute(update(StaffRow).where(*own).values(role=role))


def set_disabled(connection: Connection, shop_id: int, staff_id: int, disabled_at: datetime | None) -> None:
    """Close an account, or open it again with None."""
    own = (StaffRow.shop_id == shop_id, StaffRow.id == staff_id)
    connection.execute(update(StaffRow).where(*own).values(disabled_at=disabled_at))


def count_attempt(connection: Connection, subject: str, now: datetime, window_start: datetime) -> int:
    """Count one more attempt of a subject and return how many there were since its window began."""
    row = connection.execute(
        select(LogInAttemptsRow.since, LogInAttemptsRow.count)
        .where(LogInAttemptsRow.subject == subject)
        .with_for_update()
    ).first()
    if row is None:
        connection.execute(insert(LogInAttemptsRow).values(subject=subject, since=now, count=1))
        return 1
    fresh = row.since <= window_start
    since, count = (now, 1) if fresh else (row.since, row._mapping["count"] + 1)
    statement = update(LogInAttemptsRow).where(LogInAttemptsRow.subject == subject)
    connection.execute(statement.values(since=since, count=count))
    return count


def take_back_attempt(connection: Connection, subject: str) -> None:
    """Count one attempt of a subject less."""
    own = (LogInAttemptsRow.subject == subject, LogInAttemptsRow.count > 0)
    connection.execute(update(LogInAttemptsRow).where(*own).values(count=LogInAttemptsRow.count - 1))


def forget_attempts(connection: Connection, subject: str, older_than: datetime) -> None:
    """Forget the attempts of a subject, and all that began before a moment."""
    connection.execute(
        delete(LogInAttemptsRow).where((LogInAttemptsRow.subject == subject) | (LogInAttemptsRow.since < older_than))
    )


def replace_opening_link(connection: Connection, token_hash: str, expires_at: datetime) -> None:
    """Store the only link that opens a first shop."""
    end_opening_links(connection)
    connection.execute(insert(OpeningLinkRow).values(token_hash=token_hash, expires_at=expires_at))


def opening_link_expiry(connection: Connection, token_hash: str) -> datetime | None:
    """Return until when an opening link holds; None for one that does not exist."""
    statement = select(OpeningLinkRow.expires_at).where(OpeningLinkRow.token_hash == token_hash)
    return connection.execute(statement).scalar()


def end_opening_links(connection: Connection) -> None:
    """Remove every opening link; where another transaction holds one, this waits for its end."""
    connection.execute(delete(OpeningLinkRow))


def use_up_opening_link(connection: Connection, token_hash: str) -> bool:
    """Remove an opening link; false when another request used it first."""
    return connection.execute(delete(OpeningLinkRow).where(OpeningLinkRow.token_hash == token_hash)).rowcount == 1


def _token_columns() -> Any:
    return select(
        ApiTokenRow.id.label("token_id"),
        ApiTokenRow.shop_id,
        ApiTokenRow.staff_id,
        StaffRow.login,
        ApiTokenRow.name,
        ApiTokenRow.created_at,
        ApiTokenRow.last_used_at,
        ApiTokenRow.revoked_at,
    ).join(StaffRow, StaffRow.id == ApiTokenRow.staff_id)


_TOKEN_BY_HASH = _token_columns().where(ApiTokenRow.token_hash == bindparam("token_hash"))


def token_by_hash(connection: Connection, token_hash: str) -> TokenRecord | None:
    """Return the token that has this hash, also a revoked one, or None."""
    row = connection.execute(_TOKEN_BY_HASH, {"token_hash": token_hash}).first()
    return None if row is None else TokenRecord(**row._mapping)


def tokens_of_shop(connection: Connection, shop_id: int) -> tuple[TokenRecord, ...]:
    """Return every token of a shop, the newest first."""
    statement = _token_columns().where(ApiTokenRow.shop_id == shop_id).order_by(ApiTokenRow.id.desc())
    return tuple(TokenRecord(**row._mapping) for row in connection.execute(statement))


def count_tokens(connection: Connection, shop_id: int) -> int:
    """Return how many tokens of a shop are kept, revoked ones too."""
    statement = select(func.count()).select_from(ApiTokenRow).where(ApiTokenRow.shop_id == shop_id)
    return int(connection.execute(statement).scalar_one())


def forget_revoked_token(connection: Connection, shop_id: int) -> None:
    """Forget the token of a shop that was revoked first, where one was."""
    first = (
        select(ApiTokenRow.id)
        .where(ApiTokenRow.shop_id == shop_id, ApiTokenRow.revoked_at.is_not(None))
        .order_by(ApiTokenRow.revoked_at, ApiTokenRow.id)
        .limit(1)
    )
    connection.execute(delete(ApiTokenRow).where(ApiTokenRow.id == first.scalar_subquery()))


def open_token_named(connection: Connection, shop_id: int, name: str) -> bool:
    """Return whether a shop has a token of this name, case and blanks aside, that was not revoked."""
    held = select(ApiTokenRow.name).where(ApiTokenRow.shop_id == shop_id, ApiTokenRow.revoked_at.is_(None))
    return any(_folded(one) == _folded(name) for one in connection.execute(held).scalars())


def insert_token(
    connection: Connection, *, shop_id: int, staff_id: int, name: str, token_hash: str, now: datetime
) -> None:
    """Store a new token by its hash."""
    values = {"shop_id": shop_id, "staff_id": staff_id, "name": name, "token_hash": token_hash, "created_at": now}
    connection.execute(insert(ApiTokenRow).values(**values))


def token_by_id(connection: Connection, shop_id: int, token_id: int) -> TokenRecord | None:
    """Return a token of a shop, also a revoked one, or None."""
    row = connection.execute(_token_columns().where(ApiTokenRow.shop_id == shop_id, ApiTokenRow.id == token_id)).first()
    return None if row is None else TokenRecord(**row._mapping)


def revoke_token(connection: Connection, shop_id: int, token_id: int, now: datetime) -> None:
    """End a token of a shop. One that has ended keeps its moment."""
    own = (ApiTokenRow.shop_id == shop_id, ApiTokenRow.id == token_id, ApiTokenRow.revoked_at.is_(None))
    connection.execute(update(ApiTokenRow).where(*own).values(revoked_at=now))


def note_token_use(connection: Connection, shop_id: int, token_id: int, now: datetime) -> None:
    """Remember when a token was used last."""
    own = (ApiTokenRow.shop_id == shop_id, ApiTokenRow.id == token_id)
    connection.execute(update(ApiTokenRow).where(*own).values(last_used_at=now))
