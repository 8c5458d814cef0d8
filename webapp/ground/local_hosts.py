"""Which host names mean something on this machine or its own network only."""

from __future__ import annotations

import ipaddress

_LOCAL_SUFFIXES = (".local", ".localhost", ".lan", ".home.arpa", ".internal")


def is_own_host(host: str) -> bool:
    """Return whether `host` means the very machine that reads it: a phone would look for the server on itself."""
    name = host.strip("[]").lower().rstrip(".")
    try:
        return ipaddress.ip_address(name).is_loopback
    except ValueError:
        return name == "localhost" or name.endswith(".localhost")


def is_local_host(host: str) -> bool:
    """Return whether `host` names this machine or a private network, and so means nothing elsewhere."""
    name = host.strip("[]").lower().rstrip(".")
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return name == "localhost" or "." not in name or name.endswith(_LOCAL_SUFFIXES)
    return address.is_private or address.is_loopback or address.is_link_local
