"""Which links and owner's keys ended, in a file beside the embedded database: a restore does not bring them back.

A line each, the oldest first: `deleted HASH`, `renewed HASH CODE`, `owner HASH HASH`. A code that ended is kept as its
SHA-256 alone; the code that took its place is what the database holds too.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final, Literal

from flask import current_app

from webapp.ground.database.backup import database_folder, is_embedded
from webapp.ground.hashes import secret_hash

How = Literal["deleted", "renewed", "owner"]
NAME: Final = "ended-links.txt"
#: How many words a line of each kind has.
_WORDS: Final = {"deleted": 2, "renewed": 3, "owner": 3}


def note_deleted(code: str) -> None:
    """Note that the setup with this code was deleted by its owner."""
    _note(f"deleted {secret_hash(code)}")


def note_renewed(code: str, new: str) -> None:
    """Note that a setup has a new link."""
    _note(f"renewed {secret_hash(code)} {new}")


def note_owner_key(old_hash: str, new_hash: str) -> None:
    """Note that a setup has a new owner's key."""
    _note(f"owner {old_hash} {new_hash}")


def read_ended() -> Iterator[list[str]]:
    """Yield the words of each line; one that was not written whole is left out."""
    path = _path()
    if path is None or not path.exists():
        return
    for line in path.read_text("ascii", errors="replace").splitlines():
        words = line.split()
        if words and len(words) == _WORDS.get(words[0]) and len(words[1]) == len(secret_hash("")):
            yield words


def _path() -> Path | None:
    return database_folder() / NAME if is_embedded() else None


def _note(line: str) -> None:
    """Add a line. What is noted is done already: a full disk is logged and stops nobody."""
    path = _path()
    if path is None:
        return
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        try:
            os.write(handle, f"{line}\n".encode("ascii"))
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as error:
        current_app.logger.warning("%s could not be written: %s", path, error.strerror)
