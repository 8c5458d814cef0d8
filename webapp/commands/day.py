"""The `day-file` and `erase-riders` tasks: the end of a demo day from the command line."""

from __future__ import annotations

import sys
from pathlib import Path

from webapp.accounts.actions.open_shop import find_shop
from webapp.commands.opened_app import opened_app
from webapp.demo_day.actions.end_day import count_riders, day_events, erase_riders
from webapp.demo_day.pages.day_file import write_day
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext


def write_file(shop: str, path: Path, hours: int) -> int:
    """Write what was done to a shop's bikes to a new CSV file and return the exit code."""
    with opened_app():
        shop_id = find_shop(shop)
        if shop_id is None:
            return _refuse(_unknown(shop))
        events = day_events(shop_id, hours)
    try:
        _write_new(path, write_day(events))
    except FileExistsError:
        return _refuse(_("%(path)s exists already. Choose another name, or move the file away.", path=path))
    except OSError as error:
        return _refuse(_("%(path)s cannot be written (%(why)s).", path=path, why=error.strerror))
    return _say(ngettext("1 entry saved to %(path)s.", "%(num)d entries saved to %(path)s.", len(events), path=path))


def _write_new(path: Path, text: str) -> None:
    """Write a new file whole or not at all: a full disk leaves no part of it."""
    with path.open("x", encoding="utf-8", newline="") as file:
        try:
            file.write(text)
            file.flush()
        except OSError:
            path.unlink(missing_ok=True)
            raise


def erase(shop: str, *, keep_cards: bool, sure: bool) -> int:
    """Erase the riders of a shop's bikes, where asked for in so many words, and return the exit code."""
    with opened_app():
        shop_id = find_shop(shop)
        if shop_id is None:
            return _refuse(_unknown(shop))
        if not sure:
            found = count_riders(shop_id)
            told = _("This erases %(n)d riders. It cannot be undone. Add --yes to do it.", n=found.riders)
            return _refuse(told)
        gone = erase_riders(shop_id, None, keep_cards=keep_cards)
    return _say(ngettext("1 rider erased.", "%(num)d riders erased.", gone))


def _unknown(name: str) -> str:
    return _("no shop is called %(shop_name)s. Open it first: setup-card shop NAME LOGIN", shop_name=repr(name))


def _refuse(text: str) -> int:
    sys.stderr.write(f"setup-card: {text}\n")
    return 1


def _say(text: str) -> int:
    sys.stdout.write(text + "\n")
    return 0
