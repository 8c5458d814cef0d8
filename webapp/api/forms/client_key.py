"""The idempotency key of a creation, which has no secret link yet: bound to its client unless it is random."""

from __future__ import annotations

import hashlib
import hmac
import uuid
from datetime import timedelta
from typing import Final

from flask import current_app

from webapp.ground.client_network import client_network

#: How long a repeat is answered as the first time: longer than any client goes on trying.
KEY_LASTS: Final = timedelta(hours=24)
#: The versions of RFC 9562 whose identifiers hold 62 random bits or more.
_RANDOM_VERSIONS: Final = (4, 7)


def clients_own_key(key: str | None, address: str | None) -> str | None:
    """Return the key under which a creation is repeated by its client alone, None without a key.

    A repeat is answered with the setup's link. A random UUID is a secret of its client and holds wherever it comes
    from; any other key may be guessed, so that it counts only for the network address that it came from. The address
    is kept in a keyed hash alone.
    """
    if key is None or _is_random(key):
        return key
    secret = str(current_app.config["SECRET_KEY"]).encode()
    return hmac.new(secret, f"{client_network(address)} {key}".encode(), hashlib.sha256).hexdigest()


def _is_random(key: str) -> bool:
    try:
        found = uuid.UUID(key)
    except ValueError:
        return False
    return found.variant == uuid.RFC_4122 and found.version in _RANDOM_VERSIONS
