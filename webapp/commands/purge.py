"""The `purge` task, to be called by a timer."""

from __future__ import annotations

import sys

from webapp import create_app
from webapp.commands.purge_expired import purge_expired


def purge() -> int:
    """Erase the setups whose time is over, say how many, and return the exit code."""
    with create_app().app_context():
        erased = purge_expired()
    sys.stdout.write(f"{erased} expired {'setup' if erased == 1 else 'setups'} deleted.\n")
    return 0
