"""Addresses for cards and links: always from PUBLIC_BASE_URL or TAKE_HOME_URL, never from the host of a request."""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import current_app

from webapp.ground.local_hosts import is_local_host, is_own_host


def base_url() -> str:
    """Return the public address of the tool, without a slash at its end."""
    return str(current_app.config["PUBLIC_BASE_URL"])


def setup_url(code: str) -> str:
    """Return the full address of a saved setup."""
    return f"{base_url()}/s/{code}"


def card_url(code: str) -> str:
    """Return the full address of a setup's printable card."""
    return f"{base_url()}/s/{code}/card.pdf"


def owner_url(owner_key: str) -> str:
    """Return the full address of the owner's own page."""
    return f"{base_url()}/owner/{owner_key}"


def card_address(code: str) -> str:
    """Return the setup's address as the QR code carries it: the scheme in lower case, all else upper case.

    Capitals halve the room that a QR code needs for a letter, but some phones only know a lower-case scheme.
    A path in the public address keeps its case: only its server knows whether capitals would be found there.
    """
    parts = urlsplit(_card_base())
    return f"{parts.scheme}://{parts.netloc.upper()}{parts.path}/S/{code}"


def tag_address(tag: str) -> str:
    """Return what the QR code of a bike's tag opens: always this server, where the crew works."""
    parts = urlsplit(base_url())
    return f"{parts.scheme}://{parts.netloc.upper()}{parts.path}/BIKE/{tag}"


def _card_base() -> str:
    """Return the address that cards lead to: where these links will live later, where that is set, else this one."""
    return str(current_app.config["TAKE_HOME_URL"] or base_url())


def is_local_card() -> bool:
    """Return whether a card's address works only on this machine or its own network."""
    return is_local_host(urlsplit(_card_base()).hostname or "")


def is_dead_at_home() -> bool:
    """Return whether cards are printed on a field's network for riders who go home, with an address of it alone."""
    return bool(current_app.config["FIELD_NETWORK"]) and is_local_card()


def printed_address(code: str) -> str:
    """Return what a card's QR code opens, "" where it would be dead at home: such a card carries none."""
    return "" if is_dead_at_home() else card_address(code)


def opens_later() -> bool:
    """Return whether cards lead to another server than this one, where their setups still have to be moved to."""
    return bool(current_app.config["TAKE_HOME_URL"]) and _card_base() != base_url()


def is_own_machine() -> bool:
    """Return whether the tool's address means this machine alone, so that no phone can open it."""
    return is_own_host(urlsplit(base_url()).hostname or "")


def is_local_address() -> bool:
    """Return whether the printed link works only on this machine or its own network."""
    return is_local_host(urlsplit(base_url()).hostname or "")
