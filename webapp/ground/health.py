"""The checks for monitoring: whether the tool works, reading and saving, and whether it should be given requests."""

from __future__ import annotations

import shutil
from typing import Final

from flask import current_app

from webapp.ground.database.engine import database
from webapp.ground.database.migrate import HEAD, current_version
from webapp.ground.database.ping import ping
from webapp.ground.errors import StorageFullError, StorageUnavailableError
from webapp.ground.text.i18n import gettext as _

#: Less room than this on the data folder's disk is told before saves fail [bytes]: about a thousand setups.
LEAST_FREE: Final = 20_000_000


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

    Another process may have brought them further after this one started: then it has to be started again.
    """
    check_health()
    with database.read() as connection:
        version = current_version(connection)
    if version != HEAD:
        raise StorageUnavailableError(
            _("the database is at migration %(found)s, not %(wanted)s: start again", found=version, wanted=HEAD)
        )
