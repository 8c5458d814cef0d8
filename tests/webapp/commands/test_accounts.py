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


@pytest.mark.parametrize("again", ["Écluse Cycles", "écluse CYCLES", "  Écluse   Cycles "])
def test_a_shop_is_not_opened_twice_and_found_by_any_such_name(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], again: str
) -> None:
    assert run(monkeypatch, "shop", "Écluse Cycles", "mira") == 0
    assert run(monkeypatch, "shop", again, "tom") == 1
    told = capsys.readouterr().err
    assert "There is a shop called Écluse Cycles already" in told
    assert 'setup-card staff "Écluse Cycles" LOGIN' in told
    with pytest.raises(LogInRefusedError):
        entered("tom", PASSWORD)
    assert run(monkeypatch, "staff", again, "tom") == 0
    assert run(monkeypatch, "shop", "Écluse Cycle", "ada") == 0


def test_a_short_password_and_an_unknown_shop_are_refused_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(monkeypatch, "shop", "Lantern Lane Cycles", "mira", typed="short") == 1
    assert "10" in capsys.readouterr().err
    assert run(monkeypatch, "staff", "Nobody's", "tom") == 1
    assert "no shop is called" in capsys.readouterr().err


def test_a_token_is_printed_once_and_lets_a_tool_in(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(monkeypatch, "shop", "Lantern Lane Cycles", "mira") == 0
    capsys.readouterr()
    assert run(monkeypatch, "token", "Lantern Lane Cycles", "demo desk") == 0
    printed = capsys.readouterr()
    token = printed.out.strip()
    assert len(token) == 26
    assert token not in printed.err
    sent = {"Authorization": f"Bearer {token}"}
    assert create_app(None).test_client().get("/api/v1/bikes/1", headers=sent).status_code == 404
    assert run(monkeypatch, "token", "No such shop", "demo desk") == 1
    assert run(monkeypatch, "token", "Lantern Lane Cycles", " ") == 1
    assert "name" in capsys.readouterr().err
