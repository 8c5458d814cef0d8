"""The queue that tells a worker of a new stack: all of Huey. SQLite in the data folder, Redis by its setting.

The truth is in the database. Huey takes a task off its queue before it runs, so that a task dies with its worker
(its documented behaviour). So a task carries no more than a number, and what was lost is found again: a worker
looks for waiting stacks when it starts and once a minute, beside the queue, which may be away itself.
"""

from __future__ import annotations

import json
import logging
import math
import secrets
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from flask import Flask, current_app
from huey import Huey, MemoryHuey, RedisHuey, SqliteHuey
from huey.registry import Message
from huey.serializer import Serializer

_EXTENSION: Final = "card_queue"
_NAME: Final = "setup-card"
#: How often a worker looks for stacks that the queue did not tell it of [s].
LOOK_S: Final = 60.0
#: How long one worker's shutdown may take [s]: a batch of cards is finished.
FINISH_S: Final = 20
_logger = logging.getLogger(__name__)
_lock = threading.Lock()

#: Makes one stack: its number, who works, and whether to stop after the card in work.
Maker = Callable[[int, str, Callable[[], bool]], None]


class PlainSerializer(Serializer):  # type: ignore[misc]
    """Tasks as JSON. Huey's own way, pickle, would run whatever somebody put into a Redis that others reach."""

    def _serialize(self, data: Message) -> bytes:
        return json.dumps(list(data)).encode()

    def _deserialize(self, data: bytes) -> Message:
        return Message(*json.loads(data))


class WorkQueue:
    """The queue of one app."""

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._make: Maker | None = None
        self._holder = secrets.token_hex(8)
        self._one_at_a_time = threading.Lock()
        self._stopping: Callable[[], bool] = lambda: False
        self.huey = _storage(app)
        self._task = self.huey.task(name="make_stack")(self._run)
        self._waiting: Callable[[], list[int]] = list

    def wake(self, stack_id: int) -> None:
        """Tell a worker of a stack; where the queue is away, the stack is found within a minute."""
        try:
            self._task(stack_id)
        except Exception as error:  # noqa: BLE001 - each of Huey's stores fails in its own way, and none may stop a save
            _logger.warning("The queue of cards cannot be reached (%s). A worker finds the stack by itself.", error)

    def work(self, make: Maker, waiting: Callable[[], list[int]]) -> None:
        """Make stacks until SIGTERM or Ctrl+C: `make` makes one, `waiting` says which nobody works on."""
        self._make, self._waiting = make, waiting
        _quieten()
        consumer = self.huey.create_consumer(
            workers=1, max_delay=1.0, graceful_signal="TERM", shutdown_timeout=FINISH_S, check_worker_health=True
        )
        self._stopping = consumer.stop_flag.is_set
        looking = threading.Thread(target=self._look, args=(consumer.stop_flag,), name="waiting stacks", daemon=True)
        looking.start()
        _logger.info("Waiting for stacks of cards.")
        consumer.run()
        looking.join(FINISH_S)
        _logger.info("Stopped.")

    def _look(self, stop: threading.Event) -> None:
        """Make what waits, now and once a minute; what fails is tried again."""
        while not stop.is_set():
            for stack_id in self._try(self._find_waiting) or ():
                self._try(self._run, stack_id)  # one that cannot be made keeps no other waiting
            stop.wait(LOOK_S)

    def _find_waiting(self) -> list[int]:
        with self._app.app_context():
            return self._waiting()

    def _try(self, act: Callable[..., Any], *given: int) -> Any:
        try:
            return act(*given)
        except Exception as error:  # noqa: BLE001 - a database that is away, a card that cannot be drawn now
            kind = type(error).__name__
            _logger.warning("Waiting stacks were not made (%s: %s). The next look is in a minute.", kind, error)
            return None

    def _run(self, stack_id: int) -> None:
        if self._make is None or self._stopping():
            return
        with self._one_at_a_time:  # the queue and the look may find the same stack
            began = time.monotonic()
            with self._app.app_context():
                self._make(stack_id, self._holder, self._stopping)
            _logger.info("Stack %d: worked on for %.1f s.", stack_id, time.monotonic() - began)


class _OncePerMinute(logging.Filter):
    """Lets one line a minute of a kind through, without the way through the libraries below it."""

    def __init__(self) -> None:
        super().__init__()
        self._told: dict[str, float] = {}

    def filter(self, record: logging.LogRecord) -> bool:
        """Return whether this line is written; its traceback becomes the error's own words."""
        if record.exc_info and record.exc_info[1] is not None:
            record.msg, record.args = f"{record.getMessage()} ({record.exc_info[1]})", ()
            record.exc_info = record.exc_text = None
            kind = str(record.msg).partition(" (")[0]
            if time.monotonic() - self._told.get(kind, -math.inf) < LOOK_S:
                return False
            self._told[kind] = time.monotonic()
        return True


def _quieten() -> None:
    """Let a worker whose Redis is away say so once a minute: its library says so several times a second."""
    for part in ("huey.consumer.Worker", "huey.consumer.Scheduler"):
        logging.getLogger(part).addFilter(_OncePerMinute())


def _storage(app: Flask) -> Huey:
    options = {"results": False, "serializer": PlainSerializer()}
    redis, folder = str(app.config["REDIS_URL"] or ""), app.config["DATA"]
    if redis:
        # The address of a socket is written redis+unix:// for the limits and unix:// for the queue.
        return RedisHuey(_NAME, url=redis.removeprefix("redis+"), **options)
    if folder is None:  # another database without Redis: nothing is shared but the database, where a worker looks
        return MemoryHuey(_NAME, **options)
    path = Path(folder) / "card-queue.db"
    try:
        return SqliteHuey(_NAME, filename=str(path), fsync=False, **options)
    except Exception as error:  # noqa: BLE001 - as a file that root made; nothing is lost, a worker looks by itself
        _logger.warning("The queue of cards %s cannot be opened (%s). Stacks start within a minute.", path, error)
        return MemoryHuey(_NAME, **options)


def work_queue() -> WorkQueue:
    """Return the queue of the current app, opened when it is first needed."""
    app: Flask = current_app._get_current_object()  # type: ignore[attr-defined]
    with _lock:
        if _EXTENSION not in app.extensions:
            app.extensions[_EXTENSION] = WorkQueue(app)
        queue: WorkQueue = app.extensions[_EXTENSION]
        return queue
