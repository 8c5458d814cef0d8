"""The `export-shop` and `import-shop` tasks: a shop from one server to another, under the same links."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from webapp.accounts.actions.open_shop import find_shop
from webapp.commands.opened_app import opened_app
from webapp.ground.text.i18n import gettext as _
from webapp.moving.actions.export_shop import count_left_behind, export_shop
from webapp.moving.actions.import_shop import ImportedShop, import_shop
from webapp.moving.differences import Difference
from webapp.moving.errors import ShopConflictError, ShopFileError
from webapp.moving.shop_file import MOST_BYTES, read_shop_file, write_shop_file

#: Conflicts that are named; what is beyond them is counted.
_NAMED = 20


def export(name: str, path: Path) -> int:
    """Write everything of a shop to a new file and return the exit code."""
    with opened_app():
        shop_id = find_shop(name)
        if shop_id is None:
            return _refuse(_unknown(name))
        data = export_shop(shop_id)
        of_none, of_others = count_left_behind(shop_id)
    content = write_shop_file(data)
    try:
        read_shop_file(content)  # what cannot be taken in anywhere is no export
    except ShopFileError as error:
        return _refuse(str(error))
    try:
        _write_private(path, content)
    except FileExistsError:
        return _refuse(_("%(path)s exists already. Choose another name, or move the file away.", path=path))
    except OSError as error:
        return _refuse(_("%(path)s cannot be written (%(why)s).", path=path, why=error.strerror))
    counts = {key: len(data[key]) for key in ("setups", "units", "records")}
    _say(
        _(
            "Saved to %(path)s: %(setups)d setups, %(units)d forks and shocks, %(records)d service records.",
            path=path,
            **counts,
        )
    )
    if of_none:
        _say(_("Setups that belong to no shop and are not in the file: %(n)d.", n=of_none))
    if of_others:
        _say(_("Setups that belong to another shop and are not in the file: %(n)d.", n=of_others))
    _say(_("Keep this file safe. It holds riders' weights and the links of all setups. It holds no passwords."))
    return 0


def take_in(name: str, path: Path, *, leave_out_differing: bool = False) -> int:
    """Add what a shop's file holds to a shop here and return the exit code: 0 also where asked to leave things out."""
    try:
        content = _read_bounded(path)
    except OSError as error:
        return _refuse(_("%(path)s cannot be opened (%(why)s).", path=path, why=error.strerror))
    with opened_app():
        shop_id = find_shop(name)
        if shop_id is None:
            return _refuse(_unknown(name))
        try:
            done = import_shop(shop_id, read_shop_file(content), leave_out_differing=leave_out_differing)
        except ShopConflictError as error:
            way_out = _("To keep what is here and import everything else, add --leave-out-differing.")
            return _refuse(f"{error}\n{_listed(error.differences)}\n{way_out}")
        except ShopFileError as error:
            return _refuse(str(error))
    _report(done)
    return 0


def _report(done: ImportedShop) -> None:
    if not done.changed and done.left_out:
        _say(_("Everything else in the file is here already. Nothing was changed."))
    elif not done.changed:
        _say(_("Everything in the file is here already. Nothing was changed."))
    else:
        text = _(
            "Added %(setups)d setups, %(revisions)d versions, %(units)d forks and shocks, %(records)d service records."
        )
        _say(text % {name: getattr(done, name) for name in ("setups", "revisions", "units", "records")})
    if done.bikes:
        _say(_("Bikes added: %(n)d.", n=done.bikes))
    if done.brought_up:
        _say(_("Service records that were brought up to date: %(n)d.", n=done.brought_up))
    if done.left_out:
        _say(_("Left out, because these differ from what is here:") + "\n" + _listed(done.left_out))
    if done.accounts:
        _say(_("Accounts added, closed and without a password: %(logins)s.", logins=", ".join(done.accounts)))
    if done.gone:
        _say(_("Setups that were deleted or given a new link here, and stay so: %(n)d.", n=done.gone))
    if done.keeps_factors:
        _say(_("The shop here uses its own sag checks in another way, and keeps it."))
    if done.keeps_checklist:
        _say(_("The shop here has its own checklist, and keeps it."))


def _listed(differences: Sequence[Difference]) -> str:
    lines = [f"  {one}" for one in differences[:_NAMED]]
    if len(differences) > _NAMED:
        lines.append(f"  … {len(differences) - _NAMED}")
    return "\n".join(lines)


def _read_bounded(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def _write_private(path: Path, content: bytes) -> None:
    number = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(number, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        path.unlink(missing_ok=True)
        raise


def _unknown(name: str) -> str:
    return _("no shop is called %(shop_name)s. Open it first: setup-card shop NAME LOGIN", shop_name=repr(name))


def _refuse(text: str) -> int:
    sys.stderr.write(f"setup-card: {text}\n")
    return 1


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
