"""The `export-list` task: a shop's records or setups as a CSV or JSON file, as its page gives them."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from webapp.accounts.actions.open_shop import find_shop
from webapp.commands.opened_app import opened_app
from webapp.ground.text.i18n import gettext as _
from webapp.workshop.actions.export_lists import RECORD_COLUMNS, SETUP_COLUMNS, export_records, export_setups
from webapp.workshop.pages.list_files import write_csv, write_json


def export_list(name: str, what: str, path: Path) -> int:
    """Write the list `what` ("records" or "setups") of a shop to a new file and return the exit code."""
    write = {".csv": write_csv, ".json": write_json}.get(path.suffix.lower())
    if write is None:
        return _refuse(_("%(path)s: let the name of the file end in .csv or .json.", path=path))
    columns, rows = (RECORD_COLUMNS, export_records) if what == "records" else (SETUP_COLUMNS, export_setups)
    with opened_app():
        shop_id = find_shop(name)
        if shop_id is None:
            return _refuse(_("No shop is called %(name)s.", name=repr(name)))
        try:
            flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL
            with os.fdopen(os.open(path, flags, 0o600), "w", encoding="utf-8", newline="") as file:
                file.writelines(write(columns, rows(shop_id)))
        except FileExistsError:
            return _refuse(_("%(path)s exists already. Choose another name, or move the file away.", path=path))
        except OSError as error:
            return _refuse(_("%(path)s cannot be written (%(why)s).", path=path, why=error.strerror))
    sys.stdout.write(_("Saved to %(path)s.", path=path) + "\n")
    return 0


def _refuse(message: str) -> int:
    sys.stderr.write(f"setup-card: {message}\n")
    return 1
