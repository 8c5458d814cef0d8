"""Adds an account to a shop."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from datetime import UTC, datetime

from webapp.accounts import queries as shop_queries
from webapp.accounts.actions.logins import new_login
from webapp.accounts.actions.passwords import check_new_password, hash_password
from webapp.accounts.staff import ROLES
from webapp.ground.action_errors import RefusedError
from webapp.ground.database.connection import RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _


def create_staff(shop_id: int, login_text: str, password: str, role: str = "staff") -> int:
    """Add an account to a shop and return its number.

    Raises
    ------
    RefusedError
        With the input that cannot be used; a login must be unique in the whole tool.
    """
    login = new_login(login_text)
    if role not in ROLES:
        raise RefusedError(_("Choose one of the roles: owner or staff."), "role")
    check_new_password(password, login, "password")
    password_hash = hash_password(password)
    with login_free(), database.write() as connection:
        return shop_queries.insert_staff(
            connection, shop_id=shop_id, login=login, password_hash=password_hash, role=role, now=datetime.now(UTC)
        )


@contextlib.contextmanager
def login_free() -> Iterator[None]:
    """Turn the table's refusal of a login that is taken into a sentence."""
    try:
        yield
    except RowTakenError as error:
        raise RefusedError(_("This login is already in use. Choose another."), "login") from error
