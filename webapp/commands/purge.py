"""The `purge` task, to be called by a timer."""

from __future__ import annotations

import sys

from webapp.commands.opened_app import opened_app
from webapp.commands.purge_expired import DoubtfulClockError, purge_expired
from webapp.ground.text.i18n import ngettext


def purge(*, anyway: bool = False) -> int:
    """Erase the setups whose time is over, say how many, and return the exit code: 1 where the clock is in doubt."""
    with opened_app():
        try:
            erased = purge_expired(anyway=anyway)
        except DoubtfulClockError as error:
            sys.stderr.write(f"{error}\n")
            return 1
    sys.stdout.write(ngettext("%(num)d expired setup deleted.", "%(num)d expired setups deleted.", erased) + "\n")
    return 0
