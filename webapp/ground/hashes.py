"""Hashes: a secret is stored as one, and two requests are compared by one."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class RepeatKey:
    """What tells a repeated request from another: the client's key, hashed, and the hash of what it asked."""

    key_hash: str
    fingerprint: str


def repeat_key(idempotency_key: str | None, asked: Any) -> RepeatKey | None:
    """Return the key under which the plain data `asked` is done once, None without a client's key."""
    if not idempotency_key:
        return None
    return RepeatKey(secret_hash(idempotency_key), hash_plain_data(asked))


def secret_hash(text: str) -> str:
    """Return the SHA-256 of a secret in hex. A key of 130 random bits needs no slow hash."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def hash_plain_data(data: Any) -> str:
    """Return the SHA-256 of plain data, the same for the same values in any order of keys."""
    return secret_hash(json.dumps(data, sort_keys=True, separators=(",", ":")))
