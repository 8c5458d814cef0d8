"""Reads every version of every setup of a copy back before it is restored: what a whole database may still hold."""

from __future__ import annotations

from pathlib import Path

from webapp.ground.database.connection import Connection
from webapp.ground.errors import BackupError
from webapp.ground.text.i18n import gettext as _
from webapp.setups.queries.setups import count_unreadable


def need_readable(connection: Connection, path: Path) -> None:
    """Return when every version of the copy that was read from `path` can be read as a page reads it.

    Raises
    ------
    BackupError
        With how many cannot: put in, they would be setups that nobody can open.
    """
    unreadable, every = count_unreadable(connection)
    if unreadable:
        raise BackupError(
            _(
                "%(path)s is damaged: of the %(every)d versions of setups in it, %(unreadable)d cannot be read. "
                "Nothing was changed. Restore another backup.",
                path=path,
                every=every,
                unreadable=unreadable,
            )
        )
