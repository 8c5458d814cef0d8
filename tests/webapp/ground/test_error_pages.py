"""Every refusal is a page that says what to do."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.ground.database.engine import StorageUnavailableError
from webapp.setups.queries import setups as queries

CODE = "0" * 26


@pytest.mark.parametrize(
    ("method", "path", "status", "says"),
    [
        ("GET", "/nowhere", 404, "Check the address"),
        ("GET", "/s/not-a-code", 404, "26 letters and digits"),
        ("GET", f"/s/{CODE}", 404, "No setup has this link"),
        ("GET", f"/s/{CODE}/7", 404, "No setup has this link"),
        ("DELETE", "/about", 405, "Go back"),
    ],
)
def test_a_page_says_what_is_wrong_and_what_to_do(
    client: FlaskClient, method: str, path: str, status: int, says: str
) -> None:
    page = client.open(path, method=method)
    assert page.status_code == status
    assert page.mimetype == "text/html"
    assert says in page.text
    assert page.text.count("<h1>") == 1


@pytest.mark.parametrize("host", ["a..b", "x" * 64, "a..example.org"])
@pytest.mark.parametrize("path", ["/", "/healthz", "/nowhere"])
def test_a_host_that_is_none_is_refused_in_a_line(client: FlaskClient, host: str, path: str) -> None:
    answer = client.get(path, headers={"Host": host})
    assert (answer.status_code, answer.mimetype) == (400, "text/plain")
    assert "host name is not allowed" in answer.text


def test_a_method_that_is_not_allowed_names_those_that_are(client: FlaskClient) -> None:
    assert client.delete("/about").headers["Allow"] == "GET, HEAD, OPTIONS"


def test_a_form_that_is_too_long_is_refused(client: FlaskClient) -> None:
    answer = client.post("/", data={"bike_label": "x" * 70_000})
    assert answer.status_code == 413
    assert "Send less" in answer.text


def test_a_database_that_does_not_answer_is_said_with_a_time_to_wait(
    make_app: Callable[..., Flask], monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object) -> None:
        raise StorageUnavailableError("disk I/O error")

    monkeypatch.setattr(queries, "setup_by_code", away)
    page = make_app().test_client().get(f"/s/{CODE}")
    assert page.status_code == 503
    assert page.headers["Retry-After"] == "5"
    assert "Nothing was saved" in page.text
    assert "disk" not in page.text


def test_a_host_that_is_not_ours_gets_a_plain_sentence(client: FlaskClient) -> None:
    answer = client.get("/", headers={"Host": "evil.example"})
    assert (answer.status_code, answer.mimetype) == (400, "text/plain")
    assert "TRUSTED_HOSTS" in answer.text
