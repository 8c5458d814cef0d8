"""Slows down guessing: attempts are counted for each login and each network, in the database all processes share.

An attempt is counted before the password is looked at, so that many at once cannot slip past the count.
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Final

from flask import current_app

from webapp.accounts import queries as shop_queries
from webapp.ground.action_errors import TooManyAttemptsError
from webapp.ground.client_network import client_network
from webapp.ground.database.connection import RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _

WINDOW: Final = timedelta(minutes=15)
#: Attempts in one window: at a login from one network, at it from all networks together, and from one network at all
#: logins. A shop's whole crew may sit behind one address.
PER_LOGIN: Final = 10
PER_LOGIN_EVERYWHERE: Final = 100
PER_ADDRESS: Final = 40


def count_attempt(login: str, address: str, device: str | None = None) -> None:
    """Count one attempt to log in.

    A `device` that the login was let in with before is counted apart, so that nobody's guesses keep its owner out.

    Raises
    ------
    TooManyAttemptsError
        When there were too many for this login, known or not, or from this address.
    """
    limits = _limits(login, client_network(address), device)
    try:
        counts = _count_attempt(limits)
    except RowTakenError:  # another process counted the very first attempt at the same moment
        counts = _count_attempt(limits)
    if any(count > most for count, most in zip(counts, limits.values(), strict=False)):
        minutes = int(WINDOW.total_seconds() // 60)
        message = _("Too many attempts. Wait %(n)d minutes, then try again.", n=minutes)
        raise TooManyAttemptsError(message, 60 * minutes)


def _limits(login: str, network: str, device: str | None) -> dict[str, int]:
    """Return what an attempt counts for, with the most of each."""
    if device is not None:
        return {f"device {device} login {login}": PER_LOGIN}
    # In this order everywhere, so that two attempts never wait for each other's rows.
    return {
        f"address {network}": PER_ADDRESS,
        f"login {login}": PER_LOGIN_EVERYWHERE,
        f"login {login} address {network}": PER_LOGIN,
    }


def _count_attempt(limits: Mapping[str, int]) -> list[int]:
    """Return the counts up to the first that is too high: a network that is over its limit adds no more logins."""
    now, counts = datetime.now(UTC), []
    with database.write() as connection:
        for subject, most in limits.items():
            counts.append(shop_queries.count_attempt(connection, _hash_subject(subject), now, now - WINDOW))
            if counts[-1] > most:
                break
    return counts


def forget_old_attempts(now: datetime) -> None:
    """Forget every attempt and guess whose time is over."""
    with database.write() as connection:
        shop_queries.forget_attempts(connection, "", now - WINDOW)


def forget_attempts(login: str, address: str, device: str | None = None) -> None:
    """Start again at none for a login after a log-in that was right.

    Its address keeps its count: else an account of one's own would wash away the guesses at another's. So does the
    login from all networks together: who has it cannot know who else tries.
    """
    own = list(_limits(login, client_network(address), device))[-1]
    with database.write() as connection:
        shop_queries.forget_attempts(connection, _hash_subject(own), datetime.now(UTC) - WINDOW)


def count_guess(subject: str, lasts: timedelta) -> int:
    """Return how many guesses at `subject` there were within `lasts`, this one counted."""
    # Kept as if it began when it ends, so that what forgets old attempts leaves it alone until then.
    ends = datetime.now(UTC) + lasts
    try:
        with database.write() as connection:
            return shop_queries.count_attempt(connection, _hash_subject(subject), ends, ends - lasts)
    except RowTakenError:  # another process counted the very first one at the same moment
        with database.write() as connection:
            return shop_queries.count_attempt(connection, _hash_subject(subject), ends, ends - lasts)


def forget_guesses(subject: str) -> None:
    """Start again at none for `subject` after a guess that was right."""
    with database.write() as connection:
        shop_queries.forget_attempts(connection, _hash_subject(subject), datetime.now(UTC) - WINDOW)


def take_back_guess(subject: str) -> None:
    """Count one guess at `subject` less: it was right, which is no reason to forget the wrong ones of others."""
    with database.write() as connection:
        shop_queries.take_back_attempt(connection, _hash_subject(subject))


def _hash_subject(text: str) -> str:
    """Return under what an attempt is counted. An address is personal data, so only a keyed hash of it is kept."""
    key = str(current_app.config["SECRET_KEY"]).encode()
    return hmac.new(key, text.encode("utf-8", "surrogatepass"), hashlib.sha256).hexdigest()
