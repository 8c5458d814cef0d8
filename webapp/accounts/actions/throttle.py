"""Slows down guessing: attempts are counted for each login and each address, in the database all processes share.

An attempt is counted before the password is looked at, so that many at once cannot slip past the count.
"""

from __future__ import annotations

import hashlib
import hmac
from datetime import UTC, datetime, timedelta
from typing import Final

from flask import current_app

from webapp.accounts import queries as shop_queries
from webapp.ground.action_errors import TooManyAttemptsError
from webapp.ground.database.connection import RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _

WINDOW: Final = timedelta(minutes=15)
#: Attempts in one window. A shop's whole crew may sit behind one address.
PER_LOGIN: Final = 10
PER_ADDRESS: Final = 40


def count_attempt(login: str, address: str) -> None:
    """Count one attempt to log in.

    Raises
    ------
    TooManyAttemptsError
        When there were too many for this login, known or not, or from this address.
    """
    try:
        counts = _count_attempt(login, address)
    except RowTakenError:  # another process counted the very first attempt at the same moment
        counts = _count_attempt(login, address)
    if counts[0] > PER_LOGIN or counts[1] > PER_ADDRESS:
        minutes = int(WINDOW.total_seconds() // 60)
        message = _("Too many attempts. Wait %(n)d minutes, then try again.", n=minutes)
        raise TooManyAttemptsError(message, 60 * minutes)


def _count_attempt(login: str, address: str) -> tuple[int, int]:
    now = datetime.now(UTC)
    with database.write() as connection:
        by_login = shop_queries.count_attempt(connection, _login_subject(login), now, now - WINDOW)
        by_address = shop_queries.count_attempt(connection, _hash_subject(f"address {address}"), now, now - WINDOW)
    return by_login, by_address


def forget_attempts(login: str) -> None:
    """Start again at none for a login after a log-in that was right.

    Its address keeps its count: else an account of one's own would wash away the guesses at another's.
    """
    with database.write() as connection:
        shop_queries.forget_attempts(connection, _login_subject(login), datetime.now(UTC) - WINDOW)


def _login_subject(login: str) -> str:
    return _hash_subject(f"login {login}")


def _hash_subject(text: str) -> str:
    """Return under what an attempt is counted. An address is personal data, so only a keyed hash of it is kept."""
    key = str(current_app.config["SECRET_KEY"]).encode()
    return hmac.new(key, text.encode("utf-8", "surrogatepass"), hashlib.sha256).hexdigest()
