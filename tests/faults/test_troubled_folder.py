"""The data folder cannot be used: the start stops with one sentence and exit code 2, and doctor says how to mend it."""

from __future__ import annotations

from pathlib import Path

import pytest

from webapp.commands.cli import main


@pytest.fixture
def blocked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder below a plain file: not even an administrator can make it."""
    (tmp_path / "file").write_text("in the way")
    folder = tmp_path / "file" / "data"
    monkeypatch.setenv("SETUP_CARD_DATA", str(folder))
    return folder


@pytest.mark.parametrize("task", [["serve", "--port", "0"], ["demo"], ["purge"]])
def test_the_start_stops_with_one_sentence_and_code_2(
    blocked: Path, capsys: pytest.CaptureFixture[str], task: list[str]
) -> None:
    assert main(task) == 2
    error = capsys.readouterr().err
    assert str(blocked) in error
    assert "SETUP_CARD_DATA" in error
    assert "Traceback" not in error


def test_doctor_names_the_folder_and_ends_with_code_1(blocked: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["doctor"]) == 1
    output = capsys.readouterr().out
    assert "missing" in output
    assert str(blocked) in output


def test_a_folder_that_takes_no_files_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SETUP_CARD_DATA", str(tmp_path))
    # Tests may run as an administrator, who may write anywhere; so the system's answer is played.
    monkeypatch.setattr("webapp.ground.data_folder.os.access", lambda *_: False)
    assert main(["purge"]) == 2
    assert "cannot be written to" in capsys.readouterr().err
