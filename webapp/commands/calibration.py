"""The `calibration` task: how right the numbers were, by the checks stored here or by the files of several shops."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from webapp.accounts.actions.open_shop import find_shop, list_shops
from webapp.calibration.actions.judge_shop import judge_shop
from webapp.calibration.actions.pool_files import PooledClass, pool_files
from webapp.calibration.anonymous_file import MOST_BYTES, CalibrationFileError
from webapp.calibration.pages.calibration_page import change, class_name, percent_range, present_calibration
from webapp.calibration.tally import usable_factors
from webapp.commands.opened_app import opened_app
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.class_factors import factor_states


def report(name: str | None) -> int:
    """Print what the first sag checks of one shop, or of each, say; return the exit code."""
    with opened_app():
        found = None if name is None else find_shop(name)
        if name is not None and found is None:
            return _refuse(_("no shop is called %(shop_name)s.", shop_name=repr(name)))
        for shop_id, shop_name in list_shops():
            if found in (None, shop_id):
                _report_shop(shop_name, shop_id)
    return 0


def _report_shop(name: str, shop_id: int) -> None:
    tally = judge_shop(shop_id, None)
    page = present_calibration(tally, factor_states(shop_id), usable_factors(tally))
    _say(f"{name}: {_('%(checks)d first sag checks', checks=page.checks)}")
    for one in (*page.kinds, *page.held_by_class):
        _say(f"  {one.name}: {one.held} ({one.interval}), {one.correction}")
    for line in page.classes:
        _say(f"  {line.name}: {line.checks}, {line.measured}, {line.used}")
    _say("  " + (_("The shop uses its own checks.") if page.in_use else _("The shop uses our estimates.")))


def pool(paths: Sequence[Path]) -> int:
    """Print the table that several shops' files make together; return the exit code."""
    try:
        table = pool_files([_read(path) for path in paths])
    except CalibrationFileError as error:
        return _refuse(str(error))
    except OSError as error:
        return _refuse(_("%(path)s cannot be opened (%(why)s).", path=error.filename, why=error.strerror))
    for row in table:
        _say(_line(row))
    return 0


def _line(row: PooledClass) -> str:
    return _(
        "%(name)s: %(checks)d bikes, %(shops)d shops, pressure %(factor)s (%(low)s to %(high)s), range held %(share)s",
        name=class_name(row.spring_class),
        checks=row.checks,
        shops=row.shops,
        factor=change(row.factor),
        low=change(row.low),
        high=change(row.high),
        share=percent_range(row.held_low, row.held_high),
    )


def _read(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")


def _refuse(text: str) -> int:
    sys.stderr.write(f"setup-card: {text}\n")
    return 1
