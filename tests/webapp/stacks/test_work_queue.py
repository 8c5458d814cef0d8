"""The queue carries numbers as JSON, lies where the settings say, and may be away without anything being lost."""

from __future__ import annotations

import json
import pickle
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from huey import MemoryHuey, SqliteHuey

from tests.webapp.stacks.conftest import Table
from webapp.stacks.make_cards import waiting_stacks
from webapp.stacks.work_queue import PlainSerializer, WorkQueue, work_queue

Make = Callable[..., Flask]


class Trap:
    """Would leave a file behind if it were unpickled."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __reduce__(self) -> tuple[object, ...]:
        return Path.touch, (self.path,)


def test_a_task_is_plain_json_and_nothing_that_was_pickled_is_run(app: Flask, tmp_path: Path) -> None:
    with app.app_context():
        queue = work_queue()
        queue.wake(7)
        sent = queue.huey.storage.dequeue()
    assert json.loads(sent)[6] == [7]
    with pytest.raises(ValueError, match=r"decode|Expecting"):
        PlainSerializer().deserialize(pickle.dumps(Trap(tmp_path / "trapped")))
    assert not (tmp_path / "trapped").exists()


@pytest.mark.sqlite
def test_the_queue_lies_in_the_data_folder_or_nowhere(make_app: Make) -> None:
    app = make_app()
    assert isinstance(WorkQueue(app).huey, SqliteHuey)
    assert (Path(app.config["DATA"]) / "card-queue.db").exists()
    app.config["DATA"] = None
    assert isinstance(WorkQueue(app).huey, MemoryHuey)


@pytest.mark.parametrize(
    ("url", "place"),
    [
        ("redis://127.0.0.1:6399/3", {"host": "127.0.0.1", "port": 6399, "db": 3}),
        ("redis+unix:///run/redis.sock", {"path": "/run/redis.sock"}),
    ],
)
def test_every_address_of_a_redis_that_settings_take_leads_to_its_queue(
    make_app: Make, url: str, place: dict[str, object]
) -> None:
    app = make_app(REDIS_URL=url)
    assert place.items() <= WorkQueue(app).huey.storage.pool.connection_kwargs.items()


def test_a_stack_ordered_while_the_queue_is_away_is_kept_and_found(
    app: Flask, staff: FlaskClient, table: Table, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(_data: bytes, _priority: object = None) -> None:
        raise ConnectionError("no queue")

    with app.app_context():
        monkeypatch.setattr(work_queue().huey.storage, "enqueue", fail)
        answer = staff.post("/shop/stacks/table", data={"table": table(2), "size": "a6"})
        assert answer.status_code == 303
        assert waiting_stacks() == [1]
    assert "queue of cards cannot be reached" in caplog.text


@pytest.mark.sqlite
def test_a_queue_that_cannot_be_opened_stops_no_order(
    staff: FlaskClient, table: Table, app: Flask, caplog: pytest.LogCaptureFixture
) -> None:
    queue = Path(app.config["DATA"]) / "card-queue.db"
    queue.unlink(missing_ok=True)
    queue.mkdir()
    with app.app_context():
        app.extensions.pop("card_queue", None)
        answer = staff.post("/shop/stacks/table", data={"table": table(2), "size": "a6"})
        assert answer.status_code == 303
        assert waiting_stacks() == [1]
    assert "card-queue.db cannot be opened" in caplog.text


def test_a_stack_that_cannot_be_made_keeps_no_other_waiting(make_app: Make, caplog: pytest.LogCaptureFixture) -> None:
    queue, made, stop = WorkQueue(make_app()), [], threading.Event()

    def make(stack_id: int, _holder: str, _stopping: Callable[[], bool]) -> None:
        made.append(stack_id)
        stop.set()  # this look is the last
        if stack_id == 1:
            raise RuntimeError("no card can be drawn")

    queue._make, queue._waiting = make, lambda: [1, 2]
    queue._look(stop)
    assert made == [1, 2]
    assert "RuntimeError: no card can be drawn" in caplog.text
