"""Ends again, in a copy that is to be restored, what its owners ended after the copy was made.

What ended is known from the database that is replaced, where there is one, and from the file beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.hashes import secret_hash
from webapp.ground.link_codes import new_code
from webapp.setups.ended_links import read_ended
from webapp.setups.queries import ended as queries
from webapp.setups.queries.setups import erase


@dataclass(frozen=True, slots=True)
class Ended:
    """What ended in the database that is here: codes erased and renewed, and owner's keys (hashes) by code."""

    erased: frozenset[str]
    retired: frozenset[str]
    keys: dict[str, str | None]


@dataclass(frozen=True, slots=True)
class EndedAgain:
    """How many setups of a copy were deleted again, and how many of their links and owner's keys renewed again."""

    deleted: int
    renewed: int


class _Copy:
    """The living setups of a copy by code and owner's key, kept true while links and keys are renewed in it."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.keys = queries.living_keys(connection)
        self.codes = {secret_hash(code): code for code in self.keys}
        self.of_key = {key: code for code, key in self.keys.items() if key is not None}
        self.renewed = 0

    def renew_link(self, code: str, new: str) -> None:
        if new in self.keys:
            return
        queries.move_link(self.connection, code, new)
        self.keys[new] = self.keys.pop(code)
        self.codes[secret_hash(new)] = new
        if (key := self.keys[new]) is not None:
            self.of_key[key] = new
        self.renewed += 1

    def renew_key(self, code: str, new: str | None) -> None:
        queries.set_owner_key(self.connection, code, new)
        self.keys[code] = new
        if new is not None:
            self.of_key[new] = code
        self.renewed += 1


def what_ended() -> Ended:
    """Return what ended in the current database."""
    with database.read() as connection:
        erased, retired = queries.erased_codes(connection), queries.retired_codes(connection)
        return Ended(frozenset(erased), frozenset(retired), queries.living_keys(connection))


def end_again(connection: Connection, ended: Ended) -> EndedAgain:
    """End in a copy what ended here; a link whose successor nobody knows gets a new one, that its owner can look up."""
    copy = _Copy(connection)
    deleted = _follow_file(copy) | (ended.erased & copy.keys.keys())
    for code in ended.retired & copy.keys.keys():
        copy.renew_link(code, new_code())
    for code in copy.keys.keys() & ended.keys.keys() - deleted:
        if copy.keys[code] != ended.keys[code]:
            copy.renew_key(code, ended.keys[code])
    for rows in queries.row_numbers(connection, deleted):
        erase(connection, rows, datetime.now(UTC))
    return EndedAgain(len(deleted), copy.renewed)


def _follow_file(copy: _Copy) -> set[str]:
    """Renew again in the order of the file, and return the codes of the setups that it says were deleted."""
    deleted = set()
    for how, old, *new in read_ended():
        code = copy.of_key.get(old) if how == "owner" else copy.codes.get(old)
        if code is None or code not in copy.keys:
            continue
        if how == "deleted":
            deleted.add(code)
        elif how == "renewed":
            copy.renew_link(code, new[0])
        elif copy.keys[code] == old:
            copy.renew_key(code, new[0])
    return deleted
