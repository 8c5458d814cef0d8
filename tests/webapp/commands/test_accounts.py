"""Accounts made on the command line."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from tests.databases import set_storage
from webapp import create_app
from webapp.accounts.actions.log_in import log_in
from webapp.accounts.staff import StaffMember
from webapp.commands.cli import main
from webapp.ground.action_errors import LogInRefusedError

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    set_storage(tmp_path, monkeypatch)


def run(monkeypatch: pytest.MonkeyPatch, *words: str, typed: str = PASSWORD) -> int:
    """Run a task with the password on the standard input."""
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{typed}\n"))
    return main(list(words))


def entered(login: str, password: str) -> StaffMember:
    """Log in as the page would."""
    with create_app(None).app_context():
        return log_in(login, password, "")


def test_a_shop_and_its_staff_are_opened_and_can_log_in(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(monkeypatch, "shop", "Lantern Lane Cycles", "mira") == 0
    assert run(monkeypatch, "staff", "lantern lane cycles", "tom", typed="pedal stand grease") == 0
    assert PASSWORD not in capsys.readouterr().out
    assert entered("mira", PASSWORD).is_owner
    tom = entered("tom", "pedal stand grease")
    assert (tom.role, tom.shop_name) == ("staff", "Lantern Lane Cycles")
    with pytest.raises(LogInRefusedError):
        entered("tom", PASSWORD)


def test_a_short_password_and_an_unknown_shop_are_refused_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(monkeypatch, "shop", "Lantern Lane Cycles", "mira", typed="short") == 1
    assert "10" in capsys.readouterr().err
    assert run(monkeypatch, "staff", "Nobody's", "tom") == 1
    assert "no shop is called" in capsys.readouterr().err
