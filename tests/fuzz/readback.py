"""Reads everything back that is stored: what was taken must open, as page, card, JSON and file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from flask import Flask
from sqlalchemy import select
from werkzeug.test import Client

from tests.fuzz.judge import Judge
from webapp.ground.database.engine import database
from webapp.ground.database.tables import metadata

#: The newest of them are opened one by one; the history shows the others.
REVISIONS_OPENED = 3


def read_everything_back(app: Flask, judge: Judge, staff: Client | None = None) -> int:
    """Open all that the database holds, blame what does not open, and return how much was opened."""
    client, opened = Client(judge), 0
    for path in _paths_of_setups(app):
        opened += 1
        _open(client, judge, path)
    for path in _paths_of_the_shop(app) if staff is not None else ():
        opened += 1
        _open(staff, judge, path)
    return opened


def _open(client: Client, judge: Judge, path: str) -> None:
    answer = client.get(path)
    if answer.status_code not in (200, 410):
        judge.blame(path, f"stored and not readable ({answer.status_code})")


def _rows(app: Flask, name: str) -> list[dict[str, Any]]:
    table = metadata.tables[name]
    with app.app_context(), database.read() as connection:
        return [dict(row._mapping) for row in connection.execute(select(table))]


def _paths_of_setups(app: Flask) -> Iterator[str]:
    numbers: dict[int, list[int]] = {}
    for row in _rows(app, "revision"):
        numbers.setdefault(row["setup_id"], []).append(row["number"])
    for setup in _rows(app, "setup"):
        code, own = setup["code"], sorted(numbers.get(setup["id"], []))[-REVISIONS_OPENED:]
        yield from (f"/s/{code}", f"/s/{code}/history", f"/s/{code}/print", f"/api/v1/setups/{code}/revisions")
        yield from (f"/s/{code}/{number}" for number in own)
        yield from (f"/s/{code}/{number}/answer" for number in own if number > 1)
        yield from (f"/api/v1/setups/{code}?revision={number}" for number in own)


def _paths_of_the_shop(app: Flask) -> Iterator[str]:
    yield from ("/shop", "/shop/bench", "/shop/bench/checklist", "/shop/units", "/shop/units/units.csv")
    yield from ("/shop/units/units.toml", "/shop/staff")
    shop = min(row["id"] for row in _rows(app, "shop"))
    yield from (f"/shop/units/{row['id']}" for row in _rows(app, "unit") if row["shop_id"] == shop)
    for row in _rows(app, "bench_record"):
        if row["shop_id"] == shop:
            # The forms of one that has ended say so, with 409.
            parts = ("", "/found", "/left", "/setup") if row["state"] == "open" else ("",)
            yield from (f"/shop/bench/{row['short_code']}{part}" for part in parts)
