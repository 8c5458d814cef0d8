"""A line for each request says what happened and to whom it happened only roughly."""

from __future__ import annotations

import json
import logging
import re
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.ground.request_log import LOGGER, shortened_network

ADDRESS = "198.51.100.77"


@pytest.fixture
def lines(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What was written, read as JSON."""
    written: list[dict[str, Any]] = []

    class Keep(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            written.append(json.loads(record.getMessage()))

    monkeypatch.setattr(LOGGER, "handlers", [Keep()])
    return written


@pytest.fixture
def logged(make_app: Callable[..., Flask], lines: list[dict[str, Any]]) -> FlaskClient:
    client = make_app(LOG_REQUESTS=True).test_client()
    client.environ_base["REMOTE_ADDR"] = ADDRESS
    return client


def test_every_request_has_one_line_with_its_figures(logged: FlaskClient, lines: list[dict[str, Any]]) -> None:
    answer = logged.get("/about?x=1")
    (line,) = lines
    assert (line["method"], line["path"], line["endpoint"], line["status"]) == ("GET", "/about", "pages.about", 200)
    assert line["id"] == answer.headers["X-Request-ID"]
    assert 0 < line["ms"] < 60_000
    assert line["bytes"] == len(answer.get_data())
    assert line["network"] == "198.51.100.0/24"


def test_no_line_holds_a_code_a_key_a_weight_or_a_whole_address(
    logged: FlaskClient, lines: list[dict[str, Any]], whole_request: dict[str, Any]
) -> None:
    made = logged.post("/api/v1/setups", json={**whole_request, "rider_mass_kg": 83.5})
    code, key = made.json["code"], made.headers["Setup-Owner-Link"].rpartition("/")[2]
    body = {"kit_mass_kg": 6, "rider_mass_now_kg": 83.5}
    logged.post(f"/api/v1/setups/{code}/what-if", json=body)
    for path in (f"/s/{code}", f"/S/{code}", f"/owner/{key}", f"/nowhere/{code}", f"/find?code={code}", f"/s/{key}/x"):
        logged.get(path)
    text = json.dumps(lines)
    assert len(lines) == 8
    for secret in (code, key, "83.5", ADDRESS, code.lower()):
        assert secret not in text
    assert {"/s/<code>", "/owner/<key>", "-"} <= {line["path"] for line in lines}


def test_a_proxys_name_for_the_request_is_kept_unless_it_could_be_a_code(
    logged: FlaskClient, lines: list[dict[str, Any]]
) -> None:
    for given in ("0b57c4e1-77aa-4b6e-9d3c-000000000001", "A" * 26, "x\ty", "a" * 100):
        logged.get("/about", headers={"X-Request-ID": given})
    assert lines[0]["id"] == "0b57c4e1-77aa-4b6e-9d3c-000000000001"
    assert all(re.fullmatch("[0-9a-f]{16}", line["id"]) for line in lines[1:])


def test_a_failure_is_named(
    make_app: Callable[..., Flask], lines: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    app = make_app(LOG_REQUESTS=True, TESTING=False, PROPAGATE_EXCEPTIONS=False)
    monkeypatch.setitem(app.view_functions, "pages.about", lambda: 1 / 0)
    assert app.test_client().get("/about").status_code == 500
    assert (lines[0]["status"], lines[0]["failed_by"]) == (500, "ZeroDivisionError")


def test_nothing_is_written_unless_it_is_asked_for(client: FlaskClient, lines: list[dict[str, Any]]) -> None:
    assert len(client.get("/about").headers["X-Request-ID"]) == 16
    assert lines == []


def test_what_is_no_address_is_none() -> None:
    assert shortened_network(None) == "-"
    assert shortened_network("::ffff:198.51.100.7") == "198.51.100.0/24"
