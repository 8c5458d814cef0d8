"""Logs staff in: counts the attempt, checks the password, and refuses every wrong log-in with the same sentence."""

from __future__ import annotations

from collections.abc import Callable

from webapp.accounts import queries as shop_queries
from webapp.accounts.actions.logins import read_login
from webapp.accounts.actions.passwords import hash_password, is_password, needs_new_hash
from webapp.accounts.actions.throttle import count_attempt, forget_attempts
from webapp.accounts.staff import StaffMember, staff_member
from webapp.ground.action_errors import LogInRefusedError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _


def log_in(
    login_text: str, password: str, address: str, find_device: Callable[[str], str | None] = lambda _login: None
) -> StaffMember:
    """Return whose login and password these are; `address` is where the attempt comes from.

    `find_device` names the browser where this login was let in with it before.

    Raises
    ------
    LogInRefusedError
        The same for an unknown login, a wrong password and a closed account, after the same time.
    TooManyAttemptsError
        When there were too many attempts for this login or from this address.
    """
    login = read_login(login_text)
    device = find_device(login)
    count_attempt(login, address, device)
    with database.read() as connection:
        row = shop_queries.staff_by_login(connection, login)
    right = is_password(password, row.password_hash if row else None)
    if not right or row is None or row.disabled_at is not None:
        raise LogInRefusedError(_("Wrong login or password. Check both."))
    forget_attempts(login, address, device)
    if needs_new_hash(row.password_hash):
        with database.write() as connection:
            shop_queries.set_password(connection, row.shop_id, row.staff_id, hash_password(password))
    return staff_member(row)
