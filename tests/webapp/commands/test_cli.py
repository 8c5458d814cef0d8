"""The command line: tasks, exit codes, and words."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.databases import set_storage, storage
from webapp import create_app
from webapp.commands.cli import main
from webapp.ground.database.engine import database


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    set_storage(tmp_path, monkeypatch)
    return tmp_path


def test_help_names_every_task_and_setting(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["--help"])
    assert caught.value.code == 0
    text = capsys.readouterr().out
    for word in ("serve", "doctor", "demo", "purge", "shop", "staff", "SETUP_CARD_DATA", "SETUP_CARD_PUBLIC_BASE_URL"):
        assert word in text


@pytest.mark.parametrize("arguments", [[], ["nothing"], ["serve", "--port", "x"], ["serve", "--port", "70000"]])
def test_wrong_usage_ends_with_code_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    assert "usage" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["--help"], ["doctor"]])
def test_a_reader_that_is_gone_ends_a_task_quietly(arguments: list[str], folder: Path) -> None:
    reader, writer = os.pipe()
    os.close(reader)
    command = [sys.executable, "-m", "webapp", *arguments]
    held_back = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
    with os.fdopen(writer, "wb") as nobody:
        ended = subprocess.run(command, stdout=nobody, stderr=subprocess.PIPE, check=False, timeout=120, env=held_back)
    assert (ended.returncode, ended.stderr) == (1, b"")


@pytest.mark.parametrize(
    ("shell", "said"),
    [
        ("purge >/dev/full", "setup-card: the output cannot be written (No space left on device)."),
        ("purge >&-", "setup-card: Standard output is closed. Nothing was done. Send it to a file."),
        ("shop Heron mira <&-", "setup-card: Use at least 10 characters. A few words in a row are easy to remember."),
    ],
)
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_input_or_output_that_is_closed_or_full_is_one_sentence(shell: str, said: str, folder: Path) -> None:
    command = ["sh", "-c", f'exec "$0" -m webapp {shell}', sys.executable]
    ended = subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)
    assert (ended.returncode, ended.stderr) == (1, said + "\n")


def test_a_terminal_without_our_signs_stops_no_task(folder: Path) -> None:
    told = "import sys; from webapp.commands import cli; cli._run = lambda chosen: print('5\u2013100 %') or 0"
    command = [sys.executable, "-c", f"{told}; sys.exit(cli.main(['purge']))"]
    environment = {**os.environ, "PYTHONIOENCODING": "latin-1"}
    ended = subprocess.run(command, capture_output=True, check=False, timeout=120, env=environment)
    assert (ended.returncode, ended.stdout) == (0, b"5?100 %\n")


@pytest.mark.parametrize(
    ("arguments", "task", "code"),
    [
        (["backup", "copy.db"], "webapp.commands.backup.back_up", 130),
        (["purge"], "webapp.commands.purge.purge", 130),
        (["serve"], "webapp.commands.serve.serve", 0),
        (["worker"], "webapp.commands.worker.work", 0),
    ],
)
def test_a_task_that_is_stopped_is_not_done_and_a_server_that_is_stopped_is(
    arguments: list[str], task: str, code: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_given: object, **_named: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(task, stopped)
    assert main(arguments) == code


def test_a_wrong_setting_ends_with_code_2_and_one_sentence(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SETUP_CARD_PUBLIC_BASE_URL", "cards.example")
    assert main(["serve", "--port", "0"]) == 2
    error = capsys.readouterr().err
    assert error.startswith("setup-card: SETUP_CARD_PUBLIC_BASE_URL")
    assert error.count("\n") == 1


def test_an_address_that_is_not_this_machines_cannot_be_listened_on(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["serve", "--host", "192.0.2.1", "--port", "0"]) == 2
    assert "Cannot listen on 192.0.2.1" in capsys.readouterr().err


def test_purge_says_how_many_were_erased(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["demo"])
    app = create_app({"DATA": str(folder), **storage(folder)})
    with app.app_context():
        with database.write() as connection:
            connection.exec_driver_sql(
                "UPDATE setup SET expires_at = '2020-01-01 00:00:00.000000' WHERE id = (SELECT min(id) FROM setup)"
            )
        database.engine.dispose()
    capsys.readouterr()
    assert main(["purge"]) == 0
    assert capsys.readouterr().out == "1 expired setup deleted.\n"
    assert main(["purge"]) == 0
    assert capsys.readouterr().out == "0 expired setups deleted.\n"


def test_purge_asks_about_the_clock_before_it_erases_after_a_long_quiet_time(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["demo"])
    app = create_app({"DATA": str(folder), **storage(folder)})
    with app.app_context():
        with database.write() as connection:
            for table, column in (("setup", "expires_at"), ("revision", "created_at")):
                connection.exec_driver_sql(f"UPDATE {table} SET {column} = '2020-01-01 00:00:00.000000'")  # noqa: S608 of here
        database.engine.dispose()
    capsys.readouterr()
    assert main(["purge"]) == 1
    said = capsys.readouterr()
    assert (said.out, "the newest save is of 2020-01-01" in said.err) == ("", True)
    assert main(["purge", "--anyway"]) == 0
    assert "expired setups deleted" in capsys.readouterr().out


@pytest.mark.parametrize("hours", ["0", "-1", "745", "x", "٣", "1e2"])
def test_hours_that_cannot_be_are_refused(hours: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["day-file", "Lantern Lane", str(tmp_path / "day.csv"), f"--hours={hours}"])
    assert ended.value.code == 2
    assert "whole number from 1 to 744" in capsys.readouterr().err
    assert not (tmp_path / "day.csv").exists()
