"""Carries a new setup's owner key, once, from the save to the page that shows it.

It rides in the signed session cookie of the browser that saved the setup: the server keeps nothing.
"""

from __future__ import annotations

from flask import session

from webapp.ground.urls import owner_url

_KEY = "owner_link"


def remember_owner_link(code: str, owner_key: str | None) -> None:
    """Remember the owner's key of a setup just saved for the next page."""
    if owner_key is not None:
        session[_KEY] = [code, owner_key]


def take_owner_link(code: str) -> str | None:
    """Return the owner's link of the setup `code` if it was just saved in this browser, and forget it."""
    held = session.get(_KEY)
    if not isinstance(held, list) or len(held) != 2 or held[0] != code:
        return None
    session.pop(_KEY)
    return owner_url(held[1])
