"""Log-in: in, out, kept out, and the link that opens the first shop."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

import pytest
from argon2 import PasswordHasher
from flask import Flask
from flask.testing import FlaskClient

from webapp.accounts.actions import passwords
from webapp.accounts.actions.open_shop import issue_opening_link, open_shop
from webapp.accounts.actions.throttle import PER_ADDRESS, PER_LOGIN

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
OPENING = {"name": "Lantern Lane Cycles", "login": "mira", "password": PASSWORD}


@pytest.fixture
def shop(app: Flask) -> Flask:
    """An app with one shop and its owner."""
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    return app


def attempt(client: FlaskClient, login: str, password: str) -> tuple[int, str]:
    """Try to log in; return (status, what is said of it)."""
    answer = client.post("/shop/log-in", data={"login": login, "password": password})
    said = re.search(r'id="problems".*?</ul>', answer.text, re.DOTALL)
    return answer.status_code, re.sub(r"<[^>]+>|\s+", " ", said[0]) if said else ""


def test_a_password_is_stored_as_an_argon2id_hash(shop: Flask, tmp_path: Path) -> None:
    path = next((tmp_path / "data").glob("*.db"))
    with sqlite3.connect(path) as connection:
        (stored,) = connection.execute("SELECT password_hash FROM staff").fetchone()
    assert stored.startswith("$argon2id$")
    assert PasswordHasher().verify(stored, PASSWORD)


def test_an_unknown_login_a_wrong_password_and_a_closed_account_read_the_same(shop: Flask) -> None:
    client = shop.test_client()
    assert attempt(client, "mira", "not the pass phrase") == attempt(client, "nobody", PASSWORD)
    assert attempt(client, "mira", "not the pass phrase")[0] == 422


def test_an_unknown_login_takes_a_hash_to_refuse_too(shop: Flask) -> None:
    with patch.object(passwords, "_HASHER", wraps=passwords._HASHER) as hasher:
        attempt(shop.test_client(), "nobody", PASSWORD)
    assert hasher.mock_calls


def test_guessing_at_one_login_is_stopped_for_every_address(shop: Flask) -> None:
    for n in range(PER_LOGIN):
        client = shop.test_client()
        client.environ_base["REMOTE_ADDR"] = f"127.0.0.{n + 1}"
        assert attempt(client, "mira", f"guess number {n}")[0] == 422
    answer = shop.test_client().post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) > 0


def test_guessing_from_one_address_is_stopped_for_every_login(shop: Flask) -> None:
    client = shop.test_client()
    for n in range(PER_ADDRESS):
        assert attempt(client, f"guess{n}", "any words at all")[0] == 422
    assert attempt(client, "another", "any words at all")[0] == 429
    client.environ_base["REMOTE_ADDR"] = "127.0.0.77"
    assert client.post("/shop/log-in", data={"login": "mira", "password": PASSWORD}).status_code == 303


def test_logging_out_ends_a_session_that_was_copied(shop: Flask) -> None:
    client, thief = shop.test_client(), shop.test_client()
    assert attempt(client, "mira", PASSWORD)[0] == 303
    name = shop.config["SESSION_COOKIE_NAME"]
    cookie = client.get_cookie(name)
    assert cookie is not None
    thief.set_cookie(name, cookie.value)
    assert thief.get("/shop").status_code == 200
    assert client.post("/shop/log-out").status_code == 303
    assert thief.get("/shop").status_code == 303


def test_a_new_password_needs_the_old_one_and_ends_the_other_sessions(shop: Flask) -> None:
    one, other = shop.test_client(), shop.test_client()
    attempt(one, "mira", PASSWORD)
    attempt(other, "mira", PASSWORD)
    new = {"new_password": "spoke key and rim tape", "again": "spoke key and rim tape"}
    assert one.post("/shop/password", data=new | {"old_password": "wrong words here"}).status_code == 422
    assert one.post("/shop/password", data=new | {"old_password": PASSWORD}).status_code == 303
    assert one.get("/shop").status_code == 200
    assert other.get("/shop").status_code == 303
    assert attempt(shop.test_client(), "mira", PASSWORD)[0] == 422


@pytest.mark.parametrize("back", ["//elsewhere.example/", "https://elsewhere.example/", "/\\elsewhere.example"])
def test_the_way_back_after_the_log_in_leads_nowhere_else(shop: Flask, back: str) -> None:
    data = {"login": "mira", "password": PASSWORD}
    answer = shop.test_client().post("/shop/log-in", query_string={"back": back}, data=data)
    assert answer.location == "/shop"


def test_the_opening_link_opens_one_shop_once(app: Flask, client: FlaskClient) -> None:
    with app.app_context():
        older, token = issue_opening_link(), issue_opening_link()
    assert client.get(f"/shop/open/{older}").status_code == 410
    assert client.get(f"/shop/open/{token}").status_code == 200
    assert client.post(f"/shop/open/{token}", data=OPENING | {"password": "short"}).status_code == 422
    assert client.post(f"/shop/open/{token}", data=OPENING).status_code == 303
    assert "Lantern Lane Cycles" in client.get("/shop").text
    assert client.get(f"/shop/open/{token}").status_code == 410
    with app.app_context():
        assert issue_opening_link() is None


def test_a_lost_token_at_the_door_loses_nothing_that_was_typed(make_app: Callable[..., Flask]) -> None:
    app = make_app(WTF_CSRF_ENABLED=True)
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    answer = app.test_client().post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    assert answer.status_code == 422
    assert 'value="mira"' in answer.text
    assert PASSWORD not in answer.text
