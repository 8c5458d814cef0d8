"""How gunicorn runs the app: `gunicorn -c python:webapp.commands.gunicorn_settings 'webapp:create_app()'`.

Everything here can be set again on gunicorn's own command line. Setups are purged by a timer (`setup-card purge`), the
first shop is opened by `setup-card shop`.
"""

from __future__ import annotations

import gc
import logging
import sys
from typing import Any, Final

from flask import Flask

from webapp.cards.rendering import renderer
from webapp.commands.serve import SWITCH_S

#: A process for each core is what the physics and the cards need; a core more waits for the database meanwhile.
workers: Final = 2
worker_class: Final = "gthread"
threads: Final = 8
#: A worker that does nothing for this long is started again, and has as long for what it began when it stops [s].
timeout: Final = 60
graceful_timeout: Final = 30
keepalive: Final = 20
#: The longest line and header that are read [bytes], and how many headers.
limit_request_line: Final = 4_094
limit_request_fields: Final = 100
#: A worker is replaced now and then: nothing is known to leak, and nothing that does gets far.
max_requests: Final = 50_000
max_requests_jitter: Final = 5_000


def post_worker_init(worker: Any) -> None:
    """Make a new worker ready as `setup-card serve` makes its one process: cards warm, no pauses, short turns."""
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    app = worker.app.callable
    if isinstance(app, Flask):
        renderer.start_warm_up(app)
    gc.collect()
    gc.freeze()
    sys.setswitchinterval(SWITCH_S)
