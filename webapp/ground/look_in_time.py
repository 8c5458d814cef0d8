"""A look at the database that answers in time, also where the database takes a question in and never answers it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from concurrent.futures import Future, wait
from typing import Final

from flask import Flask

from webapp.ground.errors import StorageUnavailableError
from webapp.ground.text.i18n import gettext as _

#: How long a look may take before the database is said not to answer [s]: less than watchers wait.
LONGEST_S: Final = 3.0


class LookInTime:
    """Looks from a thread beside the requests, one at a time: who asks meanwhile waits for the same look.

    A look that hangs stays the only one until it ends, so that a database that hangs costs one thread and one
    connection, however often it is asked for.
    """

    def __init__(self, app: Flask, look: Callable[[], None]) -> None:
        self._app, self._look = app, look
        self._lock = threading.Lock()
        self._under_way: Future[None] | None = None
        self._began_s = 0.0

    def need_answer(self) -> None:
        """Return when the look found nothing (raises what it raises).

        Raises
        ------
        StorageUnavailableError
            When the look has not come back in time.
        """
        with self._lock:
            if self._under_way is None or self._under_way.done():
                self._under_way, self._began_s = self._begin(), time.monotonic()
            under_way, left_s = self._under_way, self._began_s + LONGEST_S - time.monotonic()
        wait([under_way], max(left_s, 0.0))
        if not under_way.done():
            raise StorageUnavailableError(_("it takes questions in and does not answer them"))
        under_way.result()

    def _begin(self) -> Future[None]:
        under_way: Future[None] = Future()
        threading.Thread(target=self._run, args=(under_way,), name="readiness", daemon=True).start()
        return under_way

    def _run(self, under_way: Future[None]) -> None:
        try:
            with self._app.app_context():
                self._look()
        except BaseException as error:  # noqa: BLE001 - told where it is waited for
            under_way.set_exception(error)
        else:
            under_way.set_result(None)
