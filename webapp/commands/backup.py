"""The `backup` and `restore` tasks: the embedded database to a file and back, looked through and read before."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path

from webapp.commands.opened_app import opened_app
from webapp.ground.database.backup import copy_database, database_folder, is_embedded, restore_database, stored_setups
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import damage_advice, database
from webapp.ground.errors import BackupError, DatabaseDamagedError, StorageDamagedError
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.end_again import EndedAgain, end_again, what_ended
from webapp.setups.actions.read_back import need_readable


def back_up(path: Path) -> int:
    """Copy the database to a new file, say what is in it, and return the exit code (raises `BackupError`)."""
    with opened_app():
        _need_embedded()
        counts = copy_database(path)
    _say(_("Saved to %(path)s: %(contents)s.", path=path, contents=_contents(counts)))
    _say(_("Checked: the copy opens and is whole as a database. Only a restore reads what each setup in it says."))
    _say(_("Keep this file safe. It holds riders' weights and the links of all setups, but not the secret key."))
    return 0


def restore(path: Path, *, replace: bool) -> int:
    """Replace the database by a backup and return the exit code.

    Raises
    ------
    BackupError
        When the file is no sound backup, a setup in it cannot be read, or setups are stored and `replace` does not
        say that they may go.
    """
    if not path.is_file():
        raise BackupError(_("There is no file %(path)s.", path=path))
    with opened_app(), _all_or_nothing():
        _need_embedded()
        kept = _place_for_what_is_there(replace=replace) if stored_setups() else None
        ended, again = what_ended(), list[EndedAgain]()

        def amend(copy: Connection) -> None:
            again.append(end_again(copy, ended))
            need_readable(copy, path)  # what ended just now is not put in, so that it may be damaged

        counts = restore_database(path, kept, amend)
    _say(_("Restored from %(path)s: %(contents)s.", path=path, contents=_contents(counts)))
    _say(_ended_sentence(again[0]))
    if kept is not None:
        _say(_("What was there before is in %(kept)s. Delete that file when you no longer need it.", kept=kept))
    return 0


@contextlib.contextmanager
def _all_or_nothing() -> Iterator[None]:
    """Leave no new empty database behind a failure: it would be taken for the shop's, with everything gone."""
    try:
        yield
    except BaseException as error:
        database.take_back()
        if isinstance(error, StorageDamagedError):
            path = str(database.engine.url.database)
            raise DatabaseDamagedError(damage_advice(path, error)) from error
        raise


def _need_embedded() -> None:
    if not is_embedded():
        raise BackupError(
            _(
                "The database is PostgreSQL. Use its own tools: pg_dump --format=custom --file=FILE DATABASE, and "
                "pg_restore --clean --if-exists --dbname=DATABASE FILE."
            )
        )


def _place_for_what_is_there(*, replace: bool) -> Path:
    if not replace:
        raise BackupError(
            _("The database here already has setups or shops. Nothing was changed. To replace them, add --replace.")
        )
    now = datetime.now(UTC)
    return database_folder() / f"setups-before-{now:%Y%m%d-%H%M%S-%f}.db"


def _contents(counts: Mapping[str, int]) -> str:
    return _(
        "%(setups)d setups with %(revisions)d versions, %(shops)d shops, %(units)d forks and shocks, "
        "%(records)d service records",
        setups=counts.get("setup", 0),
        revisions=counts.get("revision", 0),
        shops=counts.get("shop", 0),
        units=counts.get("unit", 0),
        records=counts.get("bench_record", 0),
    )


def _ended_sentence(again: EndedAgain) -> str:
    if again.deleted or again.renewed:
        done = _(
            "Ended again, as after the backup was made: deleted setups: %(deleted)d, "
            "renewed links and owner's links: %(renewed)d.",
            deleted=again.deleted,
            renewed=again.renewed,
        )
    else:
        done = _("Nothing is known here that was deleted or renewed after the backup was made.")
    more = _(
        "Accounts, passwords and access keys are those of the backup: close and revoke again what was closed since. "
        "Where the data folder was lost too, so is what was deleted: delete that again."
    )
    return f"{done} {more}"


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
