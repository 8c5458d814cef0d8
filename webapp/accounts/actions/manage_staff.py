"""What an owner does with the accounts of the shop: see them, set a new password, a role, close and open."""

from __future__ import annotations

from datetime import UTC, datetime

from webapp.accounts import queries as shop_queries
from webapp.accounts.actions.passwords import check_new_password, hash_password
from webapp.accounts.staff import ROLES, StaffMember, staff_member
from webapp.ground.action_errors import NotFoundError, RefusedError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _


def list_staff(shop_id: int) -> tuple[StaffMember, ...]:
    """Return every account of a shop, by login."""
    with database.read() as connection:
        return tuple(staff_member(row) for row in shop_queries.staff_of_shop(connection, shop_id))


def reset_password(owner: StaffMember, staff_id: int, password: str) -> None:
    """Give another account of the shop a new password and end its sessions.

    Raises
    ------
    NotFoundError
        When the shop has no such account.
    RefusedError
        When the password cannot be used.
    """
    with database.read() as connection:
        login = _of_shop(connection, owner, staff_id).login
    check_new_password(password, login, "password")
    password_hash = hash_password(password)
    with database.write() as connection:
        shop_queries.set_password(connection, owner.shop_id, staff_id, password_hash)
        shop_queries.end_sessions(connection, owner.shop_id, staff_id)


def change_role(owner: StaffMember, staff_id: int, role: str) -> None:
    """Make an account an owner's or a staff's (raises `NotFoundError`, `RefusedError` for the last owner)."""
    if role not in ROLES:
        raise RefusedError(_("Choose one of the roles: owner or staff."), "role")
    with database.write() as connection:
        _of_shop(connection, owner, staff_id)
        if role != "owner":
            _keep_an_owner(connection, owner.shop_id, staff_id)
        shop_queries.set_role(connection, owner.shop_id, staff_id, role)


def close_account(owner: StaffMember, staff_id: int, *, closed: bool) -> None:
    """Close an account, which ends its sessions, or open it again (raises as `change_role`)."""
    with database.write() as connection:
        _of_shop(connection, owner, staff_id)
        if closed:
            _keep_an_owner(connection, owner.shop_id, staff_id)
            shop_queries.end_sessions(connection, owner.shop_id, staff_id)
        shop_queries.set_disabled(connection, owner.shop_id, staff_id, datetime.now(UTC) if closed else None)


def _of_shop(connection: Connection, owner: StaffMember, staff_id: int) -> StaffMember:
    row = shop_queries.staff_by_id(connection, staff_id) if staff_id < 2**31 else None
    if row is None or row.shop_id != owner.shop_id:
        raise NotFoundError(_("This shop does not have this account."))
    return staff_member(row)


def _keep_an_owner(connection: Connection, shop_id: int, leaving_id: int) -> None:
    shop_queries.hold_shop(connection, shop_id)  # of two owners who leave at once, the second is told
    rows = shop_queries.staff_of_shop(connection, shop_id)
    if not any(r.role == "owner" and r.disabled_at is None and r.staff_id != leaving_id for r in rows):
        raise RefusedError(_("A shop needs an owner. Make another account an owner first."))
