"""Addresses for cards and links: always from PUBLIC_BASE_URL, never from the host of a request."""

from __future__ import annotations

import ipaddress
from urllib.parse import urlsplit

from flask import current_app

_LOCAL_SUFFIXES = (".local", ".localhost", ".lan", ".home.arpa", ".internal")


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
    A path in PUBLIC_BASE_URL keeps its case: only its server knows whether capitals would be found there.
    """
    parts = urlsplit(base_url())
    return f"{parts.scheme}://{parts.netloc.upper()}{parts.path}/S/{code}"


def is_local_host(host: str) -> bool:
    """Return whether `host` names this machine or a private network, and so means nothing elsewhere."""
    name = host.strip("[]").lower().rstrip(".")
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return name == "localhost" or "." not in name or name.endswith(_LOCAL_SUFFIXES)
    return address.is_private or address.is_loopback or address.is_link_local


def is_local_address() -> bool:
    """Return whether the printed link works only on this machine or its own network."""
    return is_local_host(urlsplit(base_url()).hostname or "")
