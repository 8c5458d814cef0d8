"""The `purge` task, to be called by a timer."""

from __future__ import annotations

import sys

from webapp.commands.opened_app import opened_app
from webapp.commands.purge_expired import purge_expired
from webapp.ground.text.i18n import ngettext


def purge() -> int:
    """Erase the setups whose time is over, say how many, and return the exit code."""
    with opened_app():
        erased = purge_expired()
    sys.stdout.write(ngettext("%(num)d expired setup deleted.", "%(num)d expired setups deleted.", erased) + "\n")
    return 0
