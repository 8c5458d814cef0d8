"""A login as it is stored: small letters, digits and a few signs, one form for all ways of typing it."""

from __future__ import annotations

import re
from typing import Final

from webapp.ground.action_errors import RefusedError
from webapp.ground.text.i18n import gettext as _

LOGIN_LONGEST: Final = 40
_SHAPE: Final = re.compile(r"[a-z0-9][a-z0-9._@+-]{1,39}")


def read_login(text: str) -> str:
    """Return the stored form of a login typed to log in; it may be one that cannot exist."""
    return text[: 4 * LOGIN_LONGEST].strip().casefold()


def new_login(text: str) -> str:
    """Return the stored form of a login that is to be created (raises `RefusedError`)."""
    login = read_login(text)
    if len(text) > 4 * LOGIN_LONGEST or not _SHAPE.fullmatch(login):
        message = _(
            "Use 2 to %(n)d characters: letters a to z, digits and . _ @ + -. Start with a letter or digit.",
            n=LOGIN_LONGEST,
        )
        raise RefusedError(message, "login")
    return login
