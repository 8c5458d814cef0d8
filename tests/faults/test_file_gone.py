"""The database's file is deleted or replaced under a running server: no save is acknowledged that is then lost."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from webapp.ground.database.backup import copy_database
from webapp.ground.database.engine import database
from webapp.setups.queries import setups as queries

pytestmark = pytest.mark.sqlite


def delete(file: Path) -> None:
    for ending in ("", "-wal", "-shm"):
        Path(f"{file}{ending}").unlink(missing_ok=True)


def count(app: Flask) -> int:
    with app.app_context(), database.read() as connection:
        return queries.count_setups(connection)


def test_a_deleted_file_is_told_no_new_one_is_made_and_a_copy_put_back_is_used(
    make_app: Callable[..., Flask], tmp_path: Path, whole_request: dict[str, Any]
) -> None:
    app, file = make_app(), tmp_path / "data" / "setups.db"
    client = app.test_client()
    first = client.post("/api/v1/setups", json=whole_request).json
    assert first is not None
    with app.app_context():
        copy_database(tmp_path / "copy.db")
    delete(file)
    refused = client.post("/api/v1/setups", json=whole_request)
    assert refused.status_code == 503
    assert refused.json is not None
    assert "Nothing was saved" in refused.json["errors"][0]["message"]
    assert [client.get(path).status_code for path in ("/healthz", "/readyz")] == [503, 503]
    assert not file.exists()
    shutil.copy(tmp_path / "copy.db", file)
    assert [client.get(path).status_code for path in ("/healthz", "/readyz")] == [200, 200]
    assert client.post("/api/v1/setups", json=whole_request).status_code == 201
    assert client.get(f"/s/{first['code']}").status_code == 200
    assert count(app) == count(make_app()) == 2


def test_what_is_saved_after_the_file_was_replaced_is_in_the_file_at_the_path(
    make_app: Callable[..., Flask], tmp_path: Path, whole_request: dict[str, Any]
) -> None:
    app, file = make_app(), tmp_path / "data" / "setups.db"
    client = app.test_client()
    with app.app_context():
        copy_database(tmp_path / "copy.db")
    delete(file)
    shutil.copy(tmp_path / "copy.db", file)
    assert client.post("/api/v1/setups", json=whole_request).status_code == 201
    assert count(make_app()) == 1


def test_an_empty_file_in_its_place_is_told(
    make_app: Callable[..., Flask], tmp_path: Path, whole_request: dict[str, Any]
) -> None:
    client, file = make_app().test_client(), tmp_path / "data" / "setups.db"
    delete(file)
    file.touch()
    assert client.post("/api/v1/setups", json=whole_request).status_code == 503
    assert client.get("/healthz").status_code == 503
