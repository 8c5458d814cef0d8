"""Opens random setups among a thousand, a hundred thousand and a million: times, bytes, and every statement's plan.

    python -m tests.growth [--setups 1000 100000] [--postgresql] [--rounds 200]

The rows are put in at once, with documents of real answers; setups are opened by codes drawn at random, so that no
cache of the tool or the database has them. A statement that reads a whole table is an error.
"""

from __future__ import annotations

import argparse
import contextlib
import itertools
import json
import os
import random
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from flask import Flask
from sqlalchemy import event

from setup_rules import read_request, recommend
from tests.databases import fresh_database
from tests.faults.ledger import CHECK as FIRST_CHECK
from tests.faults.ledger import REQUEST
from tests.servers import postgresql
from webapp import create_app
from webapp.accounts import queries as shop_queries
from webapp.accounts.actions.open_shop import open_shop
from webapp.ground.database.engine import database
from webapp.ground.link_codes import ALPHABET
from webapp.setups.documents import setup_document

#: Kept though a heavier rider would hardly read it.
CHECK = FIRST_CHECK | {"confirm": True}
PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
SHOPS = 100
#: Revisions of one setup after the other: two on average.
REVISIONS = (1, 1, 2, 4)
_BATCH = 5_000
_EXPIRES = timedelta(days=730)
#: What may be read whole, since it is short: `page` are the rows of one page, picked by an index before.
_SHORT_TABLES = ("shop", "alembic_version", "opening_link", "page")


@dataclass
class Grown:
    """One size: what it takes, and how long what takes [s]."""

    setups: int
    revisions: int
    bytes: int
    fill_s: float
    times_s: dict[str, list[float]] = field(default_factory=dict)
    #: Of the processor alone: what others do on the machine is not in it, nor is waiting for the disk.
    cpu_s: dict[str, list[float]] = field(default_factory=dict)
    whole_tables: list[str] = field(default_factory=list)
    plans: int = 0

    def line(self) -> str:
        """Return the size and its times as text: median and 95th percentile [ms]."""
        each = " · ".join(f"{name} {_ms(t, 0.5)}/{_ms(t, 0.95)}" for name, t in self.times_s.items())
        cpu = " · ".join(f"{name} {_ms(t, 0.5)}/{_ms(t, 0.95)}" for name, t in self.cpu_s.items())
        return (
            f"{self.setups:>9,} setups, {self.revisions:,} revisions, {self.bytes / 1e6:,.0f} MB "
            f"({self.bytes / self.setups / 1e3:.1f} kB a setup), filled in {self.fill_s:.0f} s\n"
            f"          ms, median/p95: {each}\n"
            f"          of the processor: {cpu}\n"
            f"          {self.plans} statements, reading a whole table: {len(self.whole_tables)}"
            + "".join(f"\n            {one}" for one in self.whole_tables)
        )


def _ms(times_s: list[float], part: float) -> str:
    ordered = sorted(times_s)
    return f"{1_000 * ordered[int(part * (len(ordered) - 1))]:.1f}"


def code_of(number: int, mark: str = "") -> str:
    """Return a code that looks random and is the same for the same number."""
    bits = random.Random(f"{mark}{number}").getrandbits(130)
    return "".join(ALPHABET[bits >> 5 * place & 31] for place in range(26))


def rows(first: int, last: int, shop_ids: list[int], staff_ids: list[int]) -> Iterator[tuple[str, tuple[Any, ...]]]:
    """Yield table and values of the setups numbered from `first` to below `last`, with a history of real answers."""
    texts = _documents()
    begun = datetime(2026, 1, 1, tzinfo=UTC)
    for number in range(first, last):
        made = begun + timedelta(seconds=number)
        owner = f"{random.Random(-number).getrandbits(256):064x}"
        yield "setup", (number, code_of(number), owner, made, made + _EXPIRES)
        for place in range(REVISIONS[number % len(REVISIONS)]):
            document = texts[(number + place) % len(texts)]
            kind = "created" if place == 0 else "sag_check_front"
            label = f"Heron {number % 977}"
            base = place or None
            yield "revision", (number, place + 1, base, kind, "First setup", label, "", *document, "2", made)
        if number % 2 == 0:
            shop = number // 2 % SHOPS
            yield "shop_setup", (number, shop_ids[shop], _short(number), staff_ids[shop], made)


def _short(number: int) -> str:
    return "".join(ALPHABET[number >> 5 * place & 31] for place in range(6))


def _documents() -> list[tuple[str, str, str]]:
    """Return requests, checks and results of different riders, as they are stored."""
    found = []
    for mass in range(50, 110, 3):
        stored = setup_document(recommend(read_request(REQUEST | {"rider_mass_kg": mass})))
        parts = (stored.request, stored.checks, stored.result)
        found.append(tuple(json.dumps(part, separators=(",", ":")) for part in parts))
    return found  # type: ignore[return-value]


_COLUMNS = {
    "setup": "id, code, owner_key_hash, created_at, expires_at",
    "revision": "setup_id, number, base_number, kind, reason, bike_label, service_note, request, checks, result, "
    "rules_version, created_at",
    "shop_setup": "setup_id, shop_id, short_code, staff_id, created_at",
}


def fill(app: Flask, first: int, last: int, shops: list[tuple[int, int]]) -> None:
    """Put in the setups from `first` to below `last` by the driver's own fastest way."""
    shop_ids, staff_ids = [shop for shop, _ in shops], [staff for _, staff in shops]
    numbers = iter(range(first, last, _BATCH))
    with app.app_context(), database.engine.connect() as connection:
        connection.rollback()
        raw = connection.connection.driver_connection
        for start in numbers:
            batch: dict[str, list[tuple[Any, ...]]] = {name: [] for name in _COLUMNS}
            for table, values in rows(start, min(start + _BATCH, last), shop_ids, staff_ids):
                batch[table].append(values)
            (_insert_sqlite if isinstance(raw, sqlite3.Connection) else _insert_postgresql)(raw, batch)
    _settle(app)


def _insert_sqlite(raw: Any, batch: dict[str, list[tuple[Any, ...]]]) -> None:
    raw.execute("PRAGMA synchronous=OFF")
    raw.execute("BEGIN")
    for table, values in batch.items():
        plain = [tuple(_plain(one) for one in row) for row in values]
        marks = ", ".join("?" * len(_COLUMNS[table].split(",")))
        raw.executemany(f"INSERT INTO {table} ({_COLUMNS[table]}) VALUES ({marks})", plain)  # noqa: S608
    raw.execute("COMMIT")


def _plain(value: Any) -> Any:
    return f"{value:%Y-%m-%d %H:%M:%S.%f}" if isinstance(value, datetime) else value


def _insert_postgresql(raw: Any, batch: dict[str, list[tuple[Any, ...]]]) -> None:
    with raw.cursor() as cursor:
        for table, values in batch.items():
            with cursor.copy(f"COPY {table} ({_COLUMNS[table]}) FROM STDIN") as copy:
                for row in values:
                    copy.write_row(row)
    raw.commit()


def _settle(app: Flask) -> None:
    """Let the database know what it holds, as it would after a while by itself, and begin with fresh connections."""
    with app.app_context():
        database.close()
        if database.engine.dialect.name == "sqlite":
            return
        with database.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("SELECT setval('setup_id_seq', (SELECT max(id) FROM setup))")
            connection.exec_driver_sql("VACUUM ANALYZE")


def stored_bytes(app: Flask) -> int:
    """Return how many bytes the database takes on the disk, with its indexes."""
    with app.app_context(), database.read() as connection:
        if connection.dialect.name == "sqlite":
            return Path(str(database.engine.url.database)).stat().st_size
        return int(connection.exec_driver_sql("SELECT pg_database_size(current_database())").scalar_one())


@contextlib.contextmanager
def statements(app: Flask) -> Iterator[dict[str, Any]]:
    """Give what the database is asked meanwhile: every statement once, with parameters that it was asked with."""
    heard: dict[str, Any] = {}

    def hear(_conn: Any, _cursor: Any, statement: str, parameters: Any, _context: Any, many: bool) -> None:
        if not many and statement.lstrip().upper().startswith(("SELECT", "UPDATE", "DELETE")):
            heard.setdefault(statement, parameters)

    with app.app_context():
        engine = database.engine
    event.listen(engine, "before_cursor_execute", hear)
    try:
        yield heard
    finally:
        event.remove(engine, "before_cursor_execute", hear)


def whole_tables(app: Flask, heard: dict[str, Any]) -> list[str]:
    """Return the statements that read a whole table, each with the step of its plan."""
    found = []
    with app.app_context(), database.engine.connect() as connection:
        on_sqlite = connection.dialect.name == "sqlite"
        if not on_sqlite:  # it reads short tables whole though there is an index; what it still reads so has none
            connection.exec_driver_sql("SET LOCAL enable_seqscan = off")
        for statement, parameters in heard.items():
            explain = f"{'EXPLAIN QUERY PLAN' if on_sqlite else 'EXPLAIN'} {statement}"
            steps = [str(row[-1]) for row in connection.exec_driver_sql(explain, parameters)]
            found += [f"{step.strip()}: {' '.join(statement.split())[:150]}" for step in steps if _reads_all(step)]
        connection.rollback()
    return found


def _reads_all(step: str) -> bool:
    """Return whether a step of a plan reads a table of which there can be many rows from end to end."""
    words = step.strip().lstrip("->").split()
    if words[:1] == ["SCAN"] and "INDEX" not in words:
        return words[1] not in (*_SHORT_TABLES, "CONSTANT")
    return words[:3] == ["Seq", "Scan", "on"] and words[3] not in _SHORT_TABLES


def visit(client: Any, staff: Any, code: str, owner: str) -> None:
    """Do what users do most, once each, so that all of it can be explained."""
    client.get(f"/s/{code}")
    client.get(f"/s/{code}/history")
    client.post(f"/api/v1/setups/{code}/sag-checks", json=CHECK, headers={"Idempotency-Key": f"visit-{code}"})
    client.post("/api/v1/setups", json=REQUEST, headers={"Idempotency-Key": f"made-{code}"})
    client.get(f"/owner/{owner}")
    client.get("/healthz")
    staff.post("/shop/log-in", data={"login": "owner0", "password": PASSWORD})
    for path in (
        "/shop",
        "/shop?q=heron+7",
        f"/shop?q={code}",
        "/shop/units",
        "/shop/bench",
        "/shop/bench?q=x",
        "/shop/staff",
    ):
        staff.get(path)


Times = dict[str, list[float]]


def measure(app: Flask, size: int, rounds: int, *, seed: int = 1) -> tuple[Times, Times]:
    """Return how long opening and saving random setups takes [s], by the clock and of the processor, in turn."""
    choice, client = random.Random(seed), app.test_client()
    staff = app.test_client()
    staff.post("/shop/log-in", data={"login": "owner0", "password": PASSWORD})
    asks: dict[str, Callable[[str], Any]] = {
        "open page": lambda code: client.get(f"/s/{code}"),
        "open JSON": lambda code: client.get(f"/api/v1/setups/{code}"),
        "sag check": lambda code: client.post(f"/api/v1/setups/{code}/sag-checks", json=CHECK),
        "save new": lambda _code: client.post("/api/v1/setups", json=REQUEST),
        "shop's list": lambda _code: staff.get("/shop"),
    }
    times: Times = {name: [] for name in asks}
    used: Times = {name: [] for name in asks}
    for _ in range(rounds):
        for name, ask in asks.items():
            code = code_of(choice.randrange(1, size))
            begun, cpu = time.perf_counter(), time.process_time()
            answer = ask(code)
            times[name].append(time.perf_counter() - begun)
            used[name].append(time.process_time() - cpu)
            if answer.status_code not in (200, 201):
                raise RuntimeError(f"{name}: {answer.status_code}")
    return times, used


def grow(app: Flask, sizes: list[int], rounds: int) -> Iterator[Grown]:
    """Grow a new database to one size after the other and measure each."""
    shops = _open_shops(app)
    for before, size in itertools.pairwise([0, *sizes]):
        begun = time.monotonic()
        fill(app, before + 1, size + 1, shops)
        grown = Grown(size, _count_revisions(app), stored_bytes(app), time.monotonic() - begun)
        measure(app, size, 10, seed=2)  # what is loaded lazily
        grown.times_s, grown.cpu_s = measure(app, size, rounds)
        client, staff = app.test_client(), app.test_client()
        staff.post("/shop/log-in", data={"login": "owner0", "password": PASSWORD})
        with statements(app) as heard:
            visit(client, staff, code_of(size // 2), code_of(1, "owner"))
        grown.plans, grown.whole_tables = len(heard), whole_tables(app, heard)
        yield grown
        with app.app_context(), database.write() as connection:  # what was saved while measuring stands in the way
            for table in ("revision", "setup"):
                column = "setup_id" if table == "revision" else "id"
                connection.exec_driver_sql(f"DELETE FROM {table} WHERE {column} > {size}")  # noqa: S608


def _count_revisions(app: Flask) -> int:
    with app.app_context(), database.read() as connection:
        return int(connection.exec_driver_sql("SELECT count(*) FROM revision").scalar_one())


def _open_shops(app: Flask) -> list[tuple[int, int]]:
    """Open the first shop with an account that can log in, and the others with one that cannot, which takes no time."""
    with app.app_context():
        first = open_shop("Shop 0", "owner0", PASSWORD)
        shops, now = [(first.shop_id, first.staff_id)], datetime.now(UTC)
        with database.write() as connection:
            for number in range(1, SHOPS):
                shop_id = shop_queries.insert_shop(connection, f"Shop {number}", now)
                values = {"login": f"owner{number}", "password_hash": "none", "role": "owner", "now": now}
                shops.append((shop_id, shop_queries.insert_staff(connection, shop_id=shop_id, **values)))
    return shops


@contextlib.contextmanager
def _storage(*, on_postgresql: bool) -> Iterator[dict[str, Any]]:
    with tempfile.TemporaryDirectory() as folder, contextlib.ExitStack() as stack:
        settings: dict[str, Any] = {"DATA": folder, "SECRET_KEY": "only-for-tests-0123456789"}
        if on_postgresql:
            settings["DATABASE_URL"] = fresh_database(stack.enter_context(postgresql()), empty=True)
        yield settings | {"RATELIMIT_ENABLED": False, "WTF_CSRF_ENABLED": False, "TESTING": True}


def main() -> int:
    """Run as the command line says; the exit code is 1 where a statement reads a whole table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--setups", type=int, nargs="+", default=[1_000, 100_000], help="sizes, rising")
    parser.add_argument("--rounds", type=int, default=200, help="how often each is measured (default 200)")
    parser.add_argument("--postgresql", action="store_true", help="on a PostgreSQL of its own instead of SQLite")
    chosen = parser.parse_args()
    bad = False
    with _storage(on_postgresql=chosen.postgresql) as settings:
        app = create_app(settings)
        print(f"{'PostgreSQL' if chosen.postgresql else 'SQLite'}, {os.cpu_count()} cores")
        for grown in grow(app, chosen.setups, chosen.rounds):
            print(grown.line(), flush=True)
            bad = bad or bool(grown.whole_tables)
        with app.app_context():
            database.close()
    return int(bad)


if __name__ == "__main__":
    sys.exit(main())
