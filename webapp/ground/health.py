"""The checks for monitoring: whether the tool works, reading and saving, and whether it should be given requests."""

from __future__ import annotations

import shutil
import time
from typing import Final

from flask import Flask, current_app

from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.database.migrate import HEAD, current_version
from webapp.ground.database.missing_columns import missing_columns
from webapp.ground.database.ping import ping
from webapp.ground.errors import StorageFullError, StorageUnavailableError
from webapp.ground.look_in_time import LookInTime
from webapp.ground.text.i18n import gettext as _

#: Less room than this on the data folder's disk is told before saves fail [bytes]: about a thousand setups.
LEAST_FREE: Final = 20_000_000
#: How long columns that were found are taken to be there [s]: tables change with a start, not between two saves.
_COLUMNS_HOLD_S: Final = 60.0
_COLUMNS_FOUND: Final = "setup_card_columns_found"
_READINESS: Final = "setup_card_readiness"


def install(app: Flask) -> None:
    """Keep for `app` the one look that its checks for readiness share."""
    app.extensions[_READINESS] = LookInTime(app, _look_for_readiness)


def check_health() -> None:
    """Return when the database answers and takes a save (raises `StorageUnavailableError` when it does not)."""
    with database.read() as connection:
        ping(connection)
    database.try_to_save()
    folder = current_app.config["DATA"]
    if folder is not None and shutil.disk_usage(folder).free < LEAST_FREE:
        raise StorageFullError(_("the disk of the data folder is nearly full"))


def check_readiness() -> None:
    """Return when requests can be sent here: as `check_health`, and the tables are those that this version works with.

    Another process may have brought them further after this one started: then it has to be started again. A version
    is only a number that is written down, so that the columns themselves are looked for too. A database that hangs is
    told in time (`LookInTime`).
    """
    look: LookInTime = current_app.extensions[_READINESS]
    look.need_answer()


def _look_for_readiness() -> None:
    check_health()
    with database.read() as connection:
        version = current_version(connection)
        if version != HEAD:
            raise StorageUnavailableError(
                _("the database is at migration %(found)s, not %(wanted)s: start again", found=version, wanted=HEAD)
            )
        _look_for_columns(connection)


def _look_for_columns(connection: Connection) -> None:
    """Return when every column that the code reads is there; that they are is remembered for a while."""
    found_at = current_app.extensions.get(_COLUMNS_FOUND)
    if found_at is not None and time.monotonic() - found_at < _COLUMNS_HOLD_S:
        return
    current_app.extensions.pop(_COLUMNS_FOUND, None)
    if missing := missing_columns(connection):
        raise StorageUnavailableError(_("the tables lack %(what)s", what=", ".join(missing[:3])))
    current_app.extensions[_COLUMNS_FOUND] = time.monotonic()
