"""Hashes: a secret is stored as one, and two bodies are compared by one."""

from __future__ import annotations

import hashlib
import json
from typing import Any


def secret_hash(text: str) -> str:
    """Return the SHA-256 of a secret in hex. A key of 130 random bits needs no slow hash."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def body_fingerprint(data: Any) -> str:
    """Return the SHA-256 of plain data, the same for the same values in any order of keys."""
    return secret_hash(json.dumps(data, sort_keys=True, separators=(",", ":")))
