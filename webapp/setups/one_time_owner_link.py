"""Carries a new setup's owner key, once, from the save to the page that shows it, and whose entries may be shown here.

It rides in the signed session cookie of the browser that saved the setup: the server keeps nothing.
"""

from __future__ import annotations

from flask import session

from webapp.ground.urls import owner_url

_KEY = "owner_link"
_STRIPS = "owner_strips"
#: A cookie holds 4 kB; each of these takes 60 bytes.
_MOST_STRIPS = 8
_ENTERED = "entered"
#: Setups remembered at most: those of one sitting.
_MOST = 5


def remember(code: str, owner_key: str | None, *, by_staff: bool) -> None:
    """Remember the owner's key of a setup just saved: for its page, or by staff for the strip of the rider's."""
    (remember_owner_strip if by_staff else remember_owner_link)(code, owner_key)


def remember_owner_link(code: str, owner_key: str | None) -> None:
    """Remember the owner's key of a setup just saved for the next page."""
    if owner_key is not None:
        session[_KEY] = [code, owner_key]
        remember_owner(code)


def remember_owner(code: str) -> None:
    """Remember, until this browser is closed, that it entered a setup or was shown its owner's page."""
    session[_ENTERED] = [*(one for one in _entered() if one != code), code][-_MOST:]


def was_entered_here(code: str) -> bool:
    """Return whether this browser may be shown what was entered for a setup, weights and all."""
    return code in _entered()


def _entered() -> list[str]:
    held = session.get(_ENTERED)
    return [one for one in held if isinstance(one, str)] if isinstance(held, list) else []


def take_owner_link(code: str) -> str | None:
    """Return the owner's link of the setup `code` if it was just saved in this browser, and forget it."""
    held = session.get(_KEY)
    if not isinstance(held, list) or len(held) != 2 or held[0] != code:
        return None
    session.pop(_KEY)
    return owner_url(held[1])


def remember_owner_strip(code: str, owner_key: str | None) -> None:
    """Keep the owner's key of a setup that staff saved, for the strip that its rider gets; nobody is shown the link.

    It stays until the log-in ends, so that a strip that jams can be printed again; the newest few are kept.
    """
    if owner_key is not None:
        remember_owner(code)
        session[_STRIPS] = [*(one for one in _held_strips() if one[0] != code), [code, owner_key]][-_MOST_STRIPS:]


def held_owner_strip(code: str) -> str | None:
    """Return the owner's link of a setup whose strip this browser may print, None for every other."""
    return next((owner_url(key) for held, key in _held_strips() if held == code), None)


def _held_strips() -> list[list[str]]:
    held = session.get(_STRIPS)
    return [one for one in held if isinstance(one, list) and len(one) == 2] if isinstance(held, list) else []
