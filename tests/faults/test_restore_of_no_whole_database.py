"""What says it is a database of this tool, and is not whole or not only that, is refused before anything changes."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path

import pytest

from tests.databases import set_storage
from webapp.commands.cli import main
from webapp.ground.database.migrate import HEAD

STUBS = f"""
    CREATE TABLE alembic_version (version_num TEXT); INSERT INTO alembic_version VALUES ('{HEAD}');
    CREATE TABLE setup (id INTEGER PRIMARY KEY, deleted_at TEXT); CREATE TABLE revision (setup_id INT);
"""  # noqa: S608 - our own version
TRIGGER = "CREATE TRIGGER t AFTER INSERT ON revision BEGIN UPDATE revision SET bike_label = 'x' WHERE id = new.id; END"


@pytest.fixture
def held(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, Path]:
    """A database with a shop in it, and a sound backup of an empty one."""
    set_storage(tmp_path / "empty", monkeypatch)
    assert main(["backup", str(tmp_path / "sound.db")]) == 0
    set_storage(tmp_path / "data", monkeypatch)
    assert main(["demo"]) == 0
    return tmp_path / "data" / "setups.db", tmp_path / "sound.db"


def shops(path: Path) -> list[str]:
    with contextlib.closing(sqlite3.connect(path)) as connection:
        return [name for (name,) in connection.execute("SELECT name FROM shop")]


@pytest.mark.sqlite
def test_each_is_refused_in_a_sentence_and_nothing_is_replaced(
    held: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here, sound = held
    before = shops(here)
    cases = {
        "stubs": (STUBS, "bench_record"),
        "missing": ("DROP TABLE bench_change; DROP TABLE bench_record", "bench_change, bench_record"),
        "column": ("ALTER TABLE shop DROP COLUMN created_at", "(shop)"),
        "foreign": ("CREATE TABLE other (x)", "(other)"),
        "trigger": (TRIGGER, "trigger t"),
        "view": ("CREATE VIEW v AS SELECT 1", "view v"),
        "two": ("INSERT INTO alembic_version VALUES ('9999')", "alembic_version: 2"),
        "none": ("DELETE FROM alembic_version", "alembic_version: 0"),
        "older": ("UPDATE alembic_version SET version_num = '0003'", "(alembic_version)"),
    }
    for name, (script, said) in cases.items():
        copy = tmp_path / f"{name}.db"
        if name != "stubs":
            copy.write_bytes(sound.read_bytes())
        with contextlib.closing(sqlite3.connect(copy)) as connection:
            connection.executescript(script)
        capsys.readouterr()
        assert main(["restore", "--replace", str(copy)]) == 1, name
        told = capsys.readouterr().err
        assert "is not a whole database of this tool" in told, name
        assert said in told, (name, told)
        assert shops(here) == before, name
    assert not list(here.parent.glob("setups-before-*"))
    assert main(["restore", "--replace", str(sound)]) == 0
    assert shops(here) == []
