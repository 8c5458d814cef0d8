"""Migrations: the same tables as the mapped classes, applied once, under a lock."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateTable

from tests import databases
from webapp.ground.database import migrate
from webapp.ground.database.engine import make_engine
from webapp.ground.database.tables import metadata
from webapp.ground.errors import ConfigError


@pytest.fixture
def url(tmp_path: Path) -> Iterator[str]:
    """An empty database of the kind that the tests run on."""
    server = databases.server_url()
    if server is None:
        yield f"sqlite:///{tmp_path}/fresh.db"
        return
    made = databases.fresh_database(server, empty=True)
    yield made
    databases.drop_database(server, made)


@pytest.fixture
def engine(url: str) -> Iterator[Engine]:
    made = make_engine(url, 5.0)
    yield made
    made.dispose()


def test_the_migrations_make_exactly_the_tables_that_the_classes_map(engine: Engine) -> None:
    migrate.upgrade(engine)
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
        names = {u["name"] for u in inspect(connection).get_unique_constraints("revision")}
    assert names == {"uq_revision_setup_id_number", "uq_revision_setup_id_idempotency_key"}
    engine.dispose()


def test_the_version_that_a_start_looks_for_is_the_newest_migration() -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(migrate.__file__).parent / "migrations"))
    config.set_main_option("path_separator", "os")
    assert ScriptDirectory.from_config(config).get_current_head() == migrate.HEAD


def test_the_columns_of_reasons_go_back_and_forth_and_leave_the_text(engine: Engine) -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(migrate.__file__).parent / "migrations"))
    config.set_main_option("path_separator", "os")

    def move(task: Callable[[Config, str], None], to: str) -> list[tuple[object, ...]]:
        with engine.begin() as connection:
            config.attributes["connection"] = connection
            task(config, to)
            return [tuple(row) for row in connection.execute(text("SELECT * FROM revision"))]

    move(command.upgrade, "0003")
    with engine.begin() as connection:
        connection.execute(
            text("INSERT INTO setup (id, code, created_at, expires_at) VALUES (1, 'X', '2026-01-01', '2027-01-01')")
        )
        connection.execute(
            text(
                "INSERT INTO revision (setup_id, number, kind, reason, bike_label, service_note, request, checks, "
                "result, rules_version, created_at) "
                "VALUES (1, 1, 'k', 'Old words', '', '', '{}', '[]', '{}', '1', '2026-01-01')"
            )
        )
    old = move(command.upgrade, "0003")
    assert "Old words" in old[0]
    new = move(command.upgrade, "0004")
    assert new == [(*old[0], None, None)]
    assert move(command.downgrade, "0003") == old
    assert move(command.upgrade, "0004") == new


def test_what_older_records_say_of_symptoms_and_the_next_service_is_found_later(engine: Engine) -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(migrate.__file__).parent / "migrations"))
    config.set_main_option("path_separator", "os")
    record = (
        "INSERT INTO bench_record (id, shop_id, short_code, bike_label, unit_label, customer_reference, search_key, "
        "spring_end, state, as_found, steps, as_left, setup_id, setup_revision, closing_key, opened_at, opened_by, "
        "next_due_on) VALUES ({n}, 1, 'AAAAA{n}', 'Heron', '', '', 'heron', 'front', '{state}', '{found}', '[]', "
        "'{{}}', 1, {revision}, 'k', '2026-01-0{n}', 1, {due})"
    )
    symptoms = '{"symptoms": "CREAKS"}'
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0009")
        for statement in (
            "INSERT INTO shop (id, name, created_at) VALUES (1, 'A', '2026-01-01')",
            "INSERT INTO staff (id, shop_id, login, password_hash, role, session_epoch, created_at) "
            "VALUES (1, 1, 'mira', 'h', 'owner', 1, '2026-01-01')",
            "INSERT INTO setup (id, code, created_at, expires_at) VALUES (1, 'X', '2026-01-01', '2027-01-01')",
            record.format(n=1, state="closed", found=symptoms, revision=1, due="'2026-06-01'"),
            record.format(n=2, state="closed", found="{}", revision=2, due="'2026-09-01'"),
            record.format(n=3, state="open", found="{}", revision="NULL", due="NULL"),
        ):
            connection.exec_driver_sql(statement)
        command.upgrade(config, "0012")
        keys = connection.exec_driver_sql("SELECT search_key FROM bench_record ORDER BY id").scalars().all()
        due = connection.exec_driver_sql("SELECT record_id, service, due_on FROM service_due").all()
        command.downgrade(config, "0009")
        command.upgrade(config, "0012")
    assert keys == ["heron\ncreaks", "heron", "heron"]
    assert [(row[0], row[1], str(row[2])) for row in due] == [(2, "service", "2026-09-01")]


def test_a_second_start_changes_nothing(engine: Engine) -> None:
    migrate.upgrade(engine)
    with engine.begin() as connection:
        connection.execute(text("INSERT INTO retired_link VALUES ('X', '2026-01-01 00:00:00.000000')"))
    migrate.upgrade(engine)
    with engine.connect() as connection:
        assert migrate.current_version(connection) == migrate.HEAD
        assert connection.execute(text("SELECT count(*) FROM retired_link")).scalar() == 1
    engine.dispose()


def test_starts_at_the_same_moment_migrate_once(url: str) -> None:
    errors: list[BaseException] = []

    def start() -> None:
        own = make_engine(url, 30.0)
        try:
            migrate.upgrade(own)
        except BaseException as error:  # noqa: BLE001 - handed to the test's own thread
            errors.append(error)
        finally:
            own.dispose()

    threads = [threading.Thread(target=start) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []


@pytest.mark.postgresql
def test_a_start_waits_for_another_ones_migration_longer_than_requests_wait(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = make_engine(url, 0.1), make_engine(url, 0.1)
    plain, begun = migrate._run, threading.Event()

    def slowly(connection: Connection) -> None:
        begun.set()
        connection.execute(text("SELECT pg_sleep(1)"))
        plain(connection)

    monkeypatch.setattr(migrate, "_run", slowly)
    thread = threading.Thread(target=migrate.upgrade, args=(one,))
    thread.start()
    begun.wait()
    migrate.upgrade(other)
    thread.join()
    with other.connect() as connection:
        assert migrate.current_version(connection) == migrate.HEAD
    one.dispose()
    other.dispose()


def test_a_database_of_a_newer_version_is_left_alone_with_a_clear_word(engine: Engine) -> None:
    migrate.upgrade(engine)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    setting = "SETUP_CARD_DATA to" if engine.dialect.name == "sqlite" else "SETUP_CARD_DATABASE_URL to"
    with pytest.raises(ConfigError, match=rf"newer version of this tool\. Install that version, or set {setting}"):
        migrate.upgrade(engine)
    with engine.connect() as connection:
        assert migrate.current_version(connection) == "9999"
    engine.dispose()


def test_a_migration_that_breaks_half_way_leaves_nothing_behind(
    engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    def half(connection: object) -> None:
        connection.execute(text("CREATE TABLE half (x INTEGER)"))  # type: ignore[attr-defined]
        raise RuntimeError("power cut")

    monkeypatch.setattr(migrate, "_run", half)
    with pytest.raises(RuntimeError, match="power cut"):
        migrate.upgrade(engine)
    with engine.connect() as connection:
        assert inspect(connection).get_table_names() == []
    engine.dispose()


#: Migrates half way, says so, and waits to be killed.
HALF = """
import sys, time
from pathlib import Path
from alembic import command
from alembic.config import Config
from webapp.ground.database import migrate
from webapp.ground.database.engine import make_engine

def half(connection):
    config = Config()
    config.set_main_option("script_location", str(Path(migrate.__file__).parent / "migrations"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, "0002")
    print("half", flush=True)
    time.sleep(60)

migrate._run = half
migrate.upgrade(make_engine(sys.argv[1], 5.0))
"""


def test_a_start_that_is_killed_while_it_migrates_leaves_nothing_and_the_next_start_does_it_all(
    url: str, engine: Engine
) -> None:
    child = subprocess.Popen([sys.executable, "-c", HALF, url], stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    assert child.stdout.readline() == "half\n"
    child.kill()
    child.wait()
    child.stdout.close()
    with engine.connect() as connection:
        assert migrate.current_version(connection) is None
    migrate.upgrade(engine)
    with engine.connect() as connection:
        assert migrate.current_version(connection) == migrate.HEAD
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_postgresql_has_a_type_for_every_column() -> None:
    statements = [str(CreateTable(table).compile(dialect=postgresql.dialect())) for table in metadata.sorted_tables]
    assert all(statement.strip().startswith("CREATE TABLE") for statement in statements)
    assert any("TIMESTAMP WITH TIME ZONE" in statement for statement in statements)
