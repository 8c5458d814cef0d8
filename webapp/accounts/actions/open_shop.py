"""Creates a shop with its first account: on the command line, or by the one-time link of a first start."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final

from webapp.accounts import queries as shop_queries
from webapp.accounts.actions.create_staff import login_free
from webapp.accounts.actions.logins import new_login
from webapp.accounts.actions.passwords import check_new_password, hash_password
from webapp.accounts.staff import StaffMember, staff_member
from webapp.ground.action_errors import LinkGoneError, RefusedError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.database.hold import hold_new_shops
from webapp.ground.hashes import secret_hash
from webapp.ground.link_codes import CodeError, new_code, normalise
from webapp.ground.text.free_text import text_problem
from webapp.ground.text.i18n import gettext as _

SHOP_NAME_LONGEST: Final = 60
OPENING_LINK_LASTS: Final = timedelta(hours=24)


def open_shop(name: str, login_text: str, password: str) -> StaffMember:
    """Open a shop and return the account of its owner.

    Raises
    ------
    RefusedError
        With the input that cannot be used: its name (also when a shop has it), the login (also when it is taken) or
        the password.
    """
    with login_free(), database.write() as connection:
        shop_queries.end_opening_links(connection)
        return _open(connection, name, login_text, password)


def find_shop(name: str) -> int | None:
    """Return the number of the shop with this name, case and blanks aside; None when there is none."""
    with database.read() as connection:
        found = shop_queries.shop_by_name(connection, name.strip())
    return None if found is None else found[0]


def list_shops() -> tuple[tuple[int, str], ...]:
    """Return (number, name) of every shop, by name."""
    with database.read() as connection:
        return shop_queries.shop_names(connection)


def open_first_shop(token: str, name: str, login_text: str, password: str) -> StaffMember:
    """Open the first shop by the one-time link; the link is used up (raises as `open_shop`, and `LinkGoneError`)."""
    check_opening_link(token)
    with login_free(), database.write() as connection:
        # Whoever opens a shop meanwhile ends this link: waited for here, and seen by the look after it.
        if not shop_queries.use_up_opening_link(connection, _token_hash(token)) or shop_queries.has_shop(connection):
            raise _gone()
        return _open(connection, name, login_text, password)


def issue_opening_link() -> str | None:
    """Return the token of a new one-time link, None when a shop was opened before; older links stop working."""
    with database.read() as connection:
        if shop_queries.has_shop(connection):
            return None
    token = new_code()
    with database.write() as connection:
        shop_queries.replace_opening_link(connection, secret_hash(token), datetime.now(UTC) + OPENING_LINK_LASTS)
    return token


def check_opening_link(token: str) -> None:
    """Return when the link still opens a shop.

    Raises
    ------
    LinkGoneError
        When it was used, is too old or never was one, or there is a shop, however it came: the link is for the first.
    """
    with database.read() as connection:
        expires_at = shop_queries.opening_link_expiry(connection, _token_hash(token))
        is_late = shop_queries.has_shop(connection)
    if expires_at is None or expires_at <= datetime.now(UTC) or is_late:
        raise _gone()


def _gone() -> LinkGoneError:
    return LinkGoneError(
        _("This link has already been used or has expired. Log in, or restart the tool to get a new link.")
    )


def _token_hash(token: str) -> str:
    try:
        return secret_hash(normalise(token))
    except CodeError:
        return ""


def _open(connection: Connection, name: str, login_text: str, password: str) -> StaffMember:
    name = name.strip()
    problem = text_problem(name, SHOP_NAME_LONGEST)
    if problem or not name:
        raise RefusedError(problem or _("The shop needs a name."), "name")
    hold_new_shops(connection)
    if (known := shop_queries.shop_by_name(connection, name)) is not None:
        raise RefusedError(
            _(
                "There is a shop called %(name)s already. For another account in it: "
                'setup-card staff "%(name)s" LOGIN. For another shop, choose another name.',
                name=known[1],
            ),
            "name",
        )
    login = new_login(login_text)
    check_new_password(password, login, "password")
    now = datetime.now(UTC)
    shop_id = shop_queries.insert_shop(connection, name, now)
    staff_id = shop_queries.insert_staff(
        connection, shop_id=shop_id, login=login, password_hash=hash_password(password), role="owner", now=now
    )
    row = shop_queries.staff_by_id(connection, staff_id)
    if row is None:
        raise RuntimeError("an account that must be there is not")
    return staff_member(row)
