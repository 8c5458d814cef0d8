"""Doctor: what is missing is found, and each finding says how to mend it."""

from __future__ import annotations

import builtins
import http.server
import os
import shutil
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from tests.databases import set_storage
from tests.servers import redis_server
from webapp.commands import doctor
from webapp.commands.cli import main
from webapp.commands.doctor import (
    Finding,
    look_at_address,
    look_at_card,
    look_at_counts,
    look_at_data,
    look_at_database,
)
from webapp.ground.database.migrate import HEAD

Make = Callable[..., Flask]


def looked(app: Flask, look: Callable[[], Iterator[Finding]]) -> list[Finding]:
    with app.app_context():
        return list(look())


def test_a_sound_installation_ends_with_code_0(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    set_storage(tmp_path, monkeypatch)
    monkeypatch.setenv("SETUP_CARD_PUBLIC_BASE_URL", "http://localhost:9")
    assert main(["doctor"]) == 0
    output = capsys.readouterr().out
    assert "missing" not in output
    assert "A trial card was printed" in output


def test_a_missing_pango_is_named_with_the_way_to_install_it(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def refusing(name: str, *rest: Any) -> Any:
        if name == "webapp.cards.rendering.pdf":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", refusing)
    findings = looked(app, look_at_card)
    assert [f.state for f in findings] == ["ok", "missing"]
    assert "libpango" in findings[1].text
    assert "apt install" in findings[1].mend


def test_an_address_too_long_for_the_code_is_missing(make_app: Make) -> None:
    app = make_app(PUBLIC_BASE_URL="https://cards.example/" + "x" * 400)
    finding = looked(app, look_at_card)[0]
    assert finding.state == "missing"
    assert "shorter" in finding.mend


def test_a_local_address_is_a_caution(make_app: Make) -> None:
    findings = looked(make_app(PUBLIC_BASE_URL="http://localhost:9"), look_at_address)
    assert [f.state for f in findings] == ["caution", "caution"]
    assert "SETUP_CARD_PUBLIC_BASE_URL" in findings[0].mend
    assert "setup-card serve" in findings[1].mend


class Answering(http.server.BaseHTTPRequestHandler):
    """Answers every GET with what the class says."""

    body = b"ok\n"

    def do_GET(self) -> None:
        self.send_response(200)
        self.end_headers()
        self.wfile.write(self.body)

    def log_message(self, *args: Any) -> None:
        """Stay quiet."""


@pytest.mark.parametrize(("body", "state"), [(b"ok\n", "ok"), (b"<html>", "caution")])
def test_the_address_is_tried_and_a_stranger_told_from_this_tool(make_app: Make, body: bytes, state: str) -> None:
    handler = type("Handler", (Answering,), {"body": body})
    with http.server.HTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.handle_request)
        thread.start()
        app = make_app(PUBLIC_BASE_URL=f"http://127.0.0.1:{server.server_port}")
        finding = looked(app, look_at_address)[-1]
        thread.join()
    assert finding.state == state


def test_a_secret_key_that_others_can_read_is_a_caution(make_app: Make, tmp_path: Path) -> None:
    app = make_app(SECRET_KEY=None)
    assert [f.state for f in looked(app, look_at_data)] == ["ok", "ok"]
    os.chmod(tmp_path / "data" / "secret_key", 0o644)
    finding = looked(app, look_at_data)[1]
    assert finding.state == "caution"
    assert finding.mend.startswith("chmod 600")


def test_the_database_is_told_with_its_version_and_size(app: Flask) -> None:
    finding = looked(app, look_at_database)[0]
    assert finding.state == "ok"
    assert f"version {HEAD}, 0 setups" in finding.text


def test_columns_that_are_missing_are_told(app: Flask) -> None:
    with app.app_context(), doctor.database.write() as connection:
        connection.exec_driver_sql("ALTER TABLE revision RENAME COLUMN service_note TO note")
    findings = looked(app, look_at_database)
    assert [one.state for one in findings] == ["ok", "missing"]
    assert "revision.service_note" in findings[1].text


def test_a_database_that_went_away_is_missing(app: Flask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def away() -> tuple[str, int, tuple[str, ...]]:
        raise doctor.StorageUnavailableError("disk I/O error")

    monkeypatch.setattr(doctor, "check_schema", away)
    finding = looked(app, look_at_database)[0]
    assert (finding.state, "disk I/O error" in finding.text) == ("missing", True)


def test_a_wrong_setting_is_reported_as_missing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SETUP_CARD_RETENTION_DAYS", "never")
    monkeypatch.setenv("SETUP_CARD_RETENTION_DAY", "1")
    assert main(["doctor"]) == 1
    output = capsys.readouterr().out
    assert "SETUP_CARD_RETENTION_DAYS must be" in output
    assert "Did you mean SETUP_CARD_RETENTION_DAYS?" in output


def test_a_redis_that_does_not_answer_is_missing_and_its_password_is_not_told(make_app: Make) -> None:
    findings = looked(make_app(REDIS_URL="redis://:hunter2@127.0.0.1:1"), look_at_counts)
    assert [finding.state for finding in findings] == ["missing"]
    assert "SETUP_CARD_REDIS_URL" in findings[0].mend
    assert "127.0.0.1" in findings[0].text
    assert "hunter2" not in str(findings)


@pytest.mark.skipif(shutil.which("redis-server") is None, reason="Redis is not installed")
def test_a_redis_that_answers_is_well(make_app: Make) -> None:
    with redis_server() as url:
        assert [finding.state for finding in looked(make_app(REDIS_URL=url), look_at_counts)] == ["ok"]


def test_without_redis_nothing_is_said_of_it(app: Flask) -> None:
    assert not looked(app, look_at_counts)
