"""Backup and restore while others save: a copy is one moment, whole, and put back all at once or not at all."""

from __future__ import annotations

import contextlib
import gzip
import sqlite3
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from setup_rules import read_request
from tests.databases import set_storage, storage
from tests.faults.test_killed_server import keep_saving, save, server
from tests.kept.unpack import DATABASE as KEPT_DATABASE
from webapp import create_app
from webapp.commands.cli import main
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.database.backup import look_through
from webapp.ground.database.engine import database
from webapp.ground.errors import BackupError
from webapp.ground.link_codes import new_code
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.find_by_owner_key import find_by_owner_key
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.renew_link import renew_link
from webapp.setups.actions.renew_owner_key import renew_owner_key
from webapp.setups.ended_links import read_ended
from webapp.setups.revision import CreatedSetup

Make = Callable[..., Flask]


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The data folder of the commands."""
    set_storage(tmp_path / "data", monkeypatch)
    return tmp_path / "data"


def wait_until(is_so: Callable[[], bool]) -> None:
    """Wait for something that a busy machine may do late, but not for ever."""
    ends = time.monotonic() + 120
    while not is_so():
        assert time.monotonic() < ends
        time.sleep(0.01)


def codes(path: Path) -> set[str]:
    with contextlib.closing(sqlite3.connect(path)) as connection:
        return {code for (code,) in connection.execute("SELECT code FROM setup")}


@pytest.mark.postgresql
def test_on_postgresql_its_own_tools_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["backup", str(tmp_path / "copy.db")]) == 1
    assert "pg_dump" in capsys.readouterr().err
    assert not list(tmp_path.glob("copy*"))


@pytest.mark.sqlite
@pytest.mark.long
def test_copies_made_while_four_clients_save_are_whole_and_hold_all_that_was_acknowledged(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    acknowledged: list[tuple[str, dict[str, Any]]] = []
    before: list[set[str]] = []
    with server(folder) as (process, port):
        clients = [threading.Thread(target=keep_saving, args=(port, f"c{n}", acknowledged)) for n in range(4)]
        for client in clients:
            client.start()
        wait_until(lambda: len(acknowledged) > 3)
        for number in range(5):
            before.append({answer["code"] for _, answer in list(acknowledged)})
            assert main(["backup", str(tmp_path / f"copy{number}.db")]) == 0
        after = {answer["code"] for _, answer in list(acknowledged)}
        process.kill()
        for client in clients:
            client.join()
    assert len(after) >= len(before[-1]) > len(before[0]) > 0  # they did save meanwhile
    for number, known in enumerate(before):
        counts = look_through(tmp_path / f"copy{number}.db")
        assert known <= codes(tmp_path / f"copy{number}.db")
        assert counts["setup"] == counts["revision"]
    monkeypatch.setenv("SETUP_CARD_DATA", str(tmp_path / "elsewhere"))
    assert main(["restore", str(tmp_path / "copy4.db")]) == 0
    assert {path.name for path in (tmp_path / "elsewhere").glob("*setups*")} >= {"setups.db"}
    app = create_app({"DATA": str(tmp_path / "elsewhere")})
    with app.app_context():
        assert all(find_setup(code).number == 1 for code in codes(tmp_path / "copy4.db"))
        database.close()


@pytest.mark.sqlite
def test_a_restore_under_a_running_server_shows_the_copy_at_once_and_keeps_what_was_there(
    tmp_path: Path, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with server(folder) as (_, port):
        first = save(port, "first")["code"]
        assert main(["backup", str(tmp_path / "copy.db")]) == 0
        second = save(port, "second")["code"]
        assert main(["restore", str(tmp_path / "copy.db")]) == 1
        assert "--replace" in capsys.readouterr().err
        assert main(["restore", "--replace", str(tmp_path / "copy.db")]) == 0
        third = save(port, "third")["code"]
    (kept,) = folder.glob("setups-before-*.db")
    assert codes(kept) == {first, second}
    app = create_app({"DATA": str(folder)})
    with app.app_context():
        assert [find_setup(code).number for code in (first, third)] == [1, 1]
        database.close()
    assert codes(folder / "setups.db") == {first, third}


@pytest.mark.sqlite
def test_a_backup_overwrites_nothing_and_is_private(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy = tmp_path / "copy.db"
    assert main(["backup", str(copy)]) == 0
    assert copy.stat().st_mode & 0o077 == 0
    held = copy.read_bytes()
    assert main(["backup", str(copy)]) == 1
    assert "exists already" in capsys.readouterr().err
    assert copy.read_bytes() == held
    assert main(["backup", str(tmp_path / "no" / "such" / "folder.db")]) == 1
    assert "cannot be written" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir() if "copy" in path.name] == ["copy.db"]


@pytest.mark.sqlite
@pytest.mark.parametrize("keep", [0, *(pytest.param(keep, marks=pytest.mark.long) for keep in (4096, 40_000))])
def test_a_damaged_copy_is_not_restored(
    tmp_path: Path, folder: Path, keep: int, capsys: pytest.CaptureFixture[str]
) -> None:
    with server(folder) as (_, port):
        code = save(port, "first")["code"]
    copy = tmp_path / "copy.db"
    assert main(["backup", str(copy)]) == 0
    whole = copy.read_bytes()
    copy.write_bytes(whole[:keep] + b"\x55" * (len(whole) - keep))
    assert main(["restore", "--replace", str(copy)]) == 1
    assert str(copy) in capsys.readouterr().err
    assert codes(folder / "setups.db") == {code}
    assert not list(folder.glob("setups-before-*"))


@pytest.mark.sqlite
def test_what_is_no_backup_is_not_restored(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "words.db").write_text("no database")
    other = sqlite3.connect(tmp_path / "other.db")
    other.execute("CREATE TABLE something (x)")
    other.close()
    for name in ("words.db", "other.db", "missing.db"):
        assert main(["restore", str(tmp_path / name)]) == 1
        assert name in capsys.readouterr().err


@pytest.mark.sqlite
def test_a_setup_without_its_version_is_noticed(tmp_path: Path, folder: Path) -> None:
    with server(folder) as (_, port):
        save(port, "first")
    copy = tmp_path / "copy.db"
    assert main(["backup", str(copy)]) == 0
    with contextlib.closing(sqlite3.connect(copy)) as half:
        half.execute("DELETE FROM revision")
        half.commit()
    with pytest.raises(BackupError, match="1 setup"):
        look_through(copy)


@pytest.mark.sqlite
def test_a_copy_whose_documents_cannot_be_read_is_not_restored(
    tmp_path: Path, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    app = create_app({"DATA": str(folder)})
    first, second, third = (_made(app) for _ in range(3))
    copy = tmp_path / "copy.db"
    with contextlib.closing(sqlite3.connect(folder / "setups.db")) as here:
        here.execute("UPDATE revision SET result = json_remove(result, '$.front') WHERE setup_id = 2")
        here.execute("UPDATE revision SET request = '{' WHERE setup_id = 3")
        here.commit()
    assert main(["backup", str(copy)]) == 0
    said = capsys.readouterr().out
    assert "3 setups with 3 versions" in said
    assert "Only a restore reads what each setup in it says" in said
    assert main(["restore", "--replace", str(copy)]) == 1
    refused = capsys.readouterr().err
    assert "of the 3 versions of setups in it, 2 cannot be read. Nothing was changed." in refused
    assert first.saved.code not in refused
    assert not list(folder.glob("setups-before-*"))
    with app.app_context():
        for spoilt in (second, third):
            delete_setup(str(spoilt.owner_key))  # ended here, so that it is not put in
        database.close()
    assert main(["restore", "--replace", str(copy)]) == 0


@pytest.mark.sqlite
def test_a_backup_of_an_earlier_version_is_brought_up_to_date(tmp_path: Path, folder: Path) -> None:
    copy = tmp_path / "old.db"
    copy.write_bytes(gzip.decompress(KEPT_DATABASE.read_bytes()))
    held = copy.read_bytes()
    assert main(["restore", str(copy)]) == 0
    assert copy.read_bytes() == held
    assert codes(folder / "setups.db") == codes(copy)


@pytest.mark.sqlite
def test_a_backup_of_a_newer_version_is_refused(
    tmp_path: Path, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "copy.db"
    assert main(["backup", str(copy)]) == 0
    with contextlib.closing(sqlite3.connect(copy)) as newer:
        newer.execute("UPDATE alembic_version SET version_num = '9999'")
        newer.commit()
    assert main(["restore", str(copy)]) == 2
    told = capsys.readouterr().err
    assert f"{copy} was written by a newer version of this tool. Nothing was changed. Update the tool" in told
    assert "SETUP_CARD_DATA" not in told  # another folder helps nobody
    assert codes(folder / "setups.db") == set()


@pytest.mark.sqlite
@pytest.mark.parametrize("copy", ["words.db", "newer.db"])
def test_a_restore_that_fails_leaves_no_new_database_behind(tmp_path: Path, folder: Path, copy: str) -> None:
    (tmp_path / "words.db").write_text("no database")
    assert main(["backup", str(tmp_path / "newer.db")]) == 0
    with contextlib.closing(sqlite3.connect(tmp_path / "newer.db")) as newer:
        newer.execute("UPDATE alembic_version SET version_num = '9999'")
        newer.commit()
    for path in folder.glob("setups.db*"):
        path.unlink()
    assert main(["restore", str(tmp_path / copy)]) != 0
    assert not list(folder.glob("*setups.db*"))


@pytest.mark.sqlite
@pytest.mark.parametrize("keep", [0, pytest.param(4096, marks=pytest.mark.long)])
def test_over_a_damaged_database_what_to_do_is_told_and_then_works(
    tmp_path: Path, folder: Path, keep: int, capsys: pytest.CaptureFixture[str]
) -> None:
    with server(folder) as (_, port):
        code = save(port, "first")["code"]
    copy, file = tmp_path / "copy.db", folder / "setups.db"
    assert main(["backup", str(copy)]) == 0
    whole = file.read_bytes()
    file.write_bytes(whole[:keep] + b"\x55" * (len(whole) - keep))
    capsys.readouterr()
    for task in (["restore", str(copy)], ["restore", "--replace", str(copy)]):
        assert main(task) == 1
        said = capsys.readouterr().err
        assert f"Stop the server and move {file} away" in said
        assert "restore a backup: setup-card restore FILE" in said
    assert main(["doctor"]) == 1
    said = capsys.readouterr().out
    assert "The database is damaged" in said
    assert "settings" not in said
    for path in folder.glob("setups.db*"):
        path.rename(tmp_path / path.name)
    assert main(["restore", str(copy)]) == 0
    assert codes(file) == {code}


def _made(app: Flask) -> CreatedSetup:
    with app.app_context():
        return create_setup(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}))


@pytest.mark.sqlite
@pytest.mark.parametrize("lost", ["nothing", "the database", "the file beside it"])
def test_what_was_ended_after_the_copy_was_made_ends_again(
    tmp_path: Path, folder: Path, capsys: pytest.CaptureFixture[str], lost: str
) -> None:
    app = create_app({"DATA": str(folder)})
    deleted, renewed, key, kept = (_made(app) for _ in range(4))
    copy, page = tmp_path / "copy.db", new_code()
    assert main(["backup", str(copy)]) == 0
    with app.app_context():
        delete_setup(str(deleted.owner_key))
        once = renew_link(str(renewed.owner_key))
        twice = renew_link(str(renewed.owner_key))
        fresh_key = renew_owner_key(str(key.owner_key), page)
        later = _made(app)
        delete_setup(str(later.owner_key))
        database.close()
    if lost == "the database":
        for part in folder.glob("setups.db*"):
            part.unlink()
    elif lost == "the file beside it":
        (folder / "ended-links.txt").unlink()
    assert main(["restore", "--replace", str(copy)]) == 0
    said = capsys.readouterr().out
    assert "deleted setups: 1," in said
    assert "access keys are those of the backup" in said
    app = create_app({"DATA": str(folder)})
    with app.app_context():
        for code in (deleted.saved.code, renewed.saved.code):
            with pytest.raises(LinkGoneError):
                find_setup(code)
        assert find_setup(kept.saved.code).number == 1
        now = find_by_owner_key(str(renewed.owner_key)).code
        assert (now == twice) is (lost != "the file beside it")
        assert find_setup(now).number == 1
        assert now not in (renewed.saved.code, once)
        with pytest.raises(LinkUnknownError):
            find_by_owner_key(str(key.owner_key))
        assert find_by_owner_key(fresh_key).code == key.saved.code
        with database.read() as connection:
            weights = connection.exec_driver_sql("SELECT count(*) FROM revision").scalar()
        assert weights == 3
        database.close()


@pytest.mark.sqlite
def test_of_a_deleted_setup_a_hash_alone_is_noted_and_a_torn_line_is_no_trouble(folder: Path) -> None:
    app = create_app({"DATA": str(folder)})
    made = _made(app)
    with app.app_context():
        delete_setup(str(made.owner_key))
        noted = folder / "ended-links.txt"
        assert made.saved.code not in noted.read_text()
        assert noted.stat().st_mode & 0o077 == 0
        with noted.open("a") as file:
            file.write("renewed 12\ndeleted\n\xff nonsense\nowner " + "0" * 64)
        assert [words[0] for words in read_ended()] == ["deleted"]
        database.close()


@pytest.mark.sqlite
def test_a_deletion_stands_though_it_cannot_be_noted(folder: Path) -> None:
    app = create_app({"DATA": str(folder)})
    made = _made(app)
    (folder / "ended-links.txt").mkdir()
    with app.app_context():
        delete_setup(str(made.owner_key))
        with pytest.raises(LinkGoneError):
            find_setup(made.saved.code)
        database.close()


@pytest.mark.postgresql
def test_on_postgresql_nothing_is_noted_beside_it(folder: Path) -> None:
    app = create_app({"DATA": str(folder), **storage(folder)})
    with app.app_context():
        delete_setup(str(_made(app).owner_key))
        assert list(read_ended()) == []
    assert not (folder / "ended-links.txt").exists()
