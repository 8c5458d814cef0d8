"""The `worker` task: makes cards by the stack until it is stopped."""

from __future__ import annotations

import logging
import os
import signal
import sys
import threading
from typing import Final

from webapp.cards.rendering import renderer
from webapp.commands.opened_app import opened_app
from webapp.stacks.make_cards import make_stack, waiting_stacks
from webapp.stacks.work_queue import work_queue

#: How much a worker stands back behind the server's own work, as `nice` counts.
_NICE: Final = 5


def work(*, until_closed: bool = False) -> int:
    """Make stacks until SIGTERM or Ctrl+C, or until standard input is closed; return the exit code."""
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    if hasattr(os, "nice"):
        os.nice(_NICE)
    if not until_closed:  # a server's own worker has nothing to add to what the server says
        logging.getLogger("webapp.stacks").setLevel(logging.INFO)
    with opened_app() as app:
        renderer.warm_up(app)
        if until_closed:
            threading.Thread(target=_end_with_input, name="parent", daemon=True).start()
        work_queue().work(make_stack, waiting_stacks)
    return 0


def _end_with_input() -> None:
    """Stop as SIGTERM would once the process that started this one is gone or closes the pipe."""
    sys.stdin.buffer.read()
    signal.raise_signal(signal.SIGTERM)
