"""The worker that `serve` keeps beside it: started when a stack waits, again if it dies, stopped last."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import threading
from typing import Any, Final

from flask import Flask

from webapp.ground.action_errors import StorageUnavailableError
from webapp.ground.errors import PREFIX
from webapp.stacks.make_cards import waiting_stacks
from webapp.stacks.work_queue import FINISH_S

#: How often it is looked whether a stack waits and the worker lives [s].
_LOOK_S: Final = 2.0
_logger = logging.getLogger(__name__)


class ChildWorker:
    """A process that lays out cards, so that pages stay quick. It ends when its standard input is closed."""

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._stop = threading.Event()
        self._process: subprocess.Popen[bytes] | None = None
        self._told = False
        self._watcher = threading.Thread(target=self._watch, name="card-worker", daemon=True)

    def start(self) -> None:
        """Begin to look for waiting stacks; the process itself is started when there is one."""
        self._watcher.start()

    def stop(self) -> None:
        """Let the worker finish the cards in work, and wait for it."""
        self._stop.set()
        if self._watcher.is_alive():
            self._watcher.join(_LOOK_S + 5)
        process = self._process
        if process is None or process.poll() is not None:
            return
        if process.stdin is not None:
            process.stdin.close()
        try:
            process.wait(FINISH_S + 5)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()

    def _watch(self) -> None:
        while not self._stop.wait(_LOOK_S):
            if self._process is not None and self._process.poll() is None:
                continue
            if self._is_wanted():
                self._process = self._begin()

    def _is_wanted(self) -> bool:
        try:
            with self._app.app_context():
                found = bool(waiting_stacks())
        except StorageUnavailableError as error:
            if not self._told:  # once, not every two seconds
                _logger.warning("It cannot be seen whether cards wait to be printed (%s).", error)
            self._told = True
            return False
        self._told = False
        return found

    def _begin(self) -> subprocess.Popen[bytes]:
        config = self._app.config
        settings: dict[str, Any] = {
            f"{PREFIX}_PUBLIC_BASE_URL": config["PUBLIC_BASE_URL"],
            f"{PREFIX}_FIELD_NETWORK": "true" if config["FIELD_NETWORK"] else "false",
        }
        return subprocess.Popen(
            [sys.executable, "-m", "webapp", "worker", "--until-closed"],
            stdin=subprocess.PIPE,
            start_new_session=True,  # Ctrl+C is for the server, which then closes the pipe
            env={**os.environ, **settings},
        )
