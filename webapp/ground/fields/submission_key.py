"""A key for each shown page, so that a page sent twice is saved once."""

from __future__ import annotations

import secrets
from typing import Final

KEY_BYTES: Final = 16
#: The fewest characters of such a key.
SHORTEST_KEY: Final = 22


def new_key() -> str:
    """Return a random key that tells one shown page from another."""
    return secrets.token_urlsafe(KEY_BYTES)
