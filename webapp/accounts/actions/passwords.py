"""Passwords: hashed by Argon2id, checked in the same time whether or not there is anything to check."""

from __future__ import annotations

import threading
import unicodedata
from typing import Final

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from webapp.ground.action_errors import RefusedError
from webapp.ground.text.i18n import gettext as _

PASSWORD_SHORTEST: Final = 10
#: Long enough for any sentence, short enough that hashing it costs nothing extra.
PASSWORD_LONGEST: Final = 200

#: Fewer guesses than this are made online in a few years, in spite of the limits on attempts. All that the lists of
#: leaked passwords hold lies far below.
GUESSES_LEAST: Final = 1e6
#: The estimate takes no more letters [count]; as many are far beyond guessing.
_LOOKED_AT: Final = 72

#: The library's own choice of cost, the "low memory" one of RFC 9106 (64 MiB, 3 passes).
_HASHER = PasswordHasher()
#: Each hash holds 64 MiB for about 50 ms; more at once than this wait for their turn.
_AT_ONCE: Final = threading.BoundedSemaphore(2)
#: Any password's hash: what an unknown login is checked against, so that it takes as long as a known one.
_decoys: dict[str, str] = {}


def hash_password(password: str) -> str:
    """Return what is stored instead of the password: its Argon2id hash with salt and cost."""
    with _AT_ONCE:
        return _HASHER.hash(_plain(password))


def is_password(password: str, stored_hash: str | None) -> bool:
    """Return whether `password` is the one behind `stored_hash`; None is never right but takes as long."""
    if stored_hash is None or len(password) > PASSWORD_LONGEST:
        stored_hash = _decoys.get("") or _decoys.setdefault("", hash_password("a password that nobody has"))
        _verify(stored_hash, password[:PASSWORD_LONGEST])
        return False
    return _verify(stored_hash, password)


def _verify(stored_hash: str, password: str) -> bool:
    try:
        with _AT_ONCE:
            return _HASHER.verify(stored_hash, _plain(password))
    except (VerificationError, InvalidHashError):
        return False


def needs_new_hash(stored_hash: str) -> bool:
    """Return whether a hash was made at a lower cost than today's."""
    return _HASHER.check_needs_rehash(stored_hash)


def check_new_password(password: str, login: str, field: str = "new_password") -> None:
    """Hold a new password against the few rules that help: length, and that it is not among the first to be guessed.

    Raises
    ------
    RefusedError
        With what to do.
    """
    if len(password) < PASSWORD_SHORTEST:
        message = _("Use at least %(n)d characters. A few words in a row are easy to remember.", n=PASSWORD_SHORTEST)
        raise RefusedError(message, field)
    if len(password) > PASSWORD_LONGEST:
        raise RefusedError(_("Use at most %(n)d characters.", n=PASSWORD_LONGEST), field)
    if password.casefold().strip() == login or _guesses(password) < GUESSES_LEAST:
        raise RefusedError(_("This password is too easy to guess. Use a few words in a row."), field)


def _guesses(password: str) -> float:
    """Return after how many guesses somebody who knows common passwords, words and patterns would have found it."""
    from zxcvbn import zxcvbn  # its lists of words are read when a password is chosen, which is seldom

    return float(zxcvbn(password[:_LOOKED_AT])["guesses"])


def _plain(password: str) -> bytes:
    """Return the bytes to hash: the same for every keyboard's way of writing the same letters."""
    return unicodedata.normalize("NFKC", password).encode("utf-8", "surrogatepass")
