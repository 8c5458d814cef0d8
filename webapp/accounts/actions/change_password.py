"""Changes the password of an account, for its holder."""

from __future__ import annotations

from webapp.accounts import queries as shop_queries
from webapp.accounts.actions.passwords import check_new_password, hash_password, is_password
from webapp.accounts.actions.throttle import count_attempt, forget_attempts
from webapp.accounts.staff import StaffMember, staff_member
from webapp.ground.action_errors import RefusedError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _


def change_password(member: StaffMember, old: str, new: str, address: str) -> StaffMember:
    """Replace the password of `member`, end every session, and return the account with the epoch of new ones.

    Raises
    ------
    RefusedError
        When the old password is wrong or the new one too easy.
    TooManyAttemptsError
        When the old one was guessed at too often: a session left open is no way to find it out.
    """
    check_new_password(new, member.login)
    session = f"session of {member.staff_id}"  # counted apart: others' guesses at the log-in do not stand in the way
    count_attempt(member.login, address, session)
    with database.read() as connection:
        row = shop_queries.staff_by_id(connection, member.staff_id)
    if not is_password(old, row.password_hash if row else None):
        raise RefusedError(_("The old password is wrong."), "old_password")
    forget_attempts(member.login, address, session)
    return _replace(member.shop_id, member.staff_id, new)


def _replace(shop_id: int, staff_id: int, new: str) -> StaffMember:
    password_hash = hash_password(new)
    with database.write() as connection:
        shop_queries.set_password(connection, shop_id, staff_id, password_hash)
        shop_queries.end_sessions(connection, shop_id, staff_id)
        row = shop_queries.staff_by_id(connection, staff_id)
    if row is None:
        raise RuntimeError("an account that must be there is not")
    return staff_member(row)
