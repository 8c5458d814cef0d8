"""Log-in: in, out, kept out, and the link that opens the first shop."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime
from unittest.mock import patch

import pytest
from argon2 import PasswordHasher
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import func, select

from tests.conftest import HASHER
from webapp.accounts.actions import open_shop as open_shop_module
from webapp.accounts.actions import passwords, throttle
from webapp.accounts.actions.open_shop import issue_opening_link, open_first_shop, open_shop
from webapp.accounts.actions.passwords import PASSWORD_LONGEST
from webapp.accounts.actions.throttle import PER_ADDRESS, PER_LOGIN, WINDOW
from webapp.accounts.queries import insert_shop
from webapp.commands.purge_expired import purge_expired
from webapp.ground.action_errors import LinkGoneError
from webapp.ground.database.engine import database
from webapp.ground.database.shop_rows import LogInAttemptsRow

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


def test_a_password_is_stored_as_an_argon2id_hash(shop: Flask) -> None:
    with shop.app_context(), database.read() as connection:
        stored = str(connection.exec_driver_sql("SELECT password_hash FROM staff").scalar())
    assert stored.startswith("$argon2id$")
    assert PasswordHasher().verify(stored, PASSWORD)


def test_a_hash_costs_a_guesser_at_least_what_rfc_9106_asks_for() -> None:
    # RFC 9106, second recommended choice: 3 passes over 64 MiB in 4 lanes (remembered, not opened).
    assert (HASHER.time_cost, HASHER.memory_cost, HASHER.parallelism) >= (3, 64 * 1024, 4)
    assert HASHER.hash_len >= 32
    assert HASHER.salt_len >= 16


def test_an_unknown_login_a_wrong_password_and_a_closed_account_read_the_same(shop: Flask) -> None:
    client = shop.test_client()
    assert attempt(client, "mira", "not the pass phrase") == attempt(client, "nobody", PASSWORD)
    assert attempt(client, "mira", "not the pass phrase")[0] == 422


def test_an_unknown_login_takes_a_hash_to_refuse_too(shop: Flask) -> None:
    with patch.object(passwords, "_HASHER", wraps=passwords._HASHER) as hasher:
        attempt(shop.test_client(), "nobody", PASSWORD)
    assert hasher.mock_calls


def client_at(app: Flask, address: str) -> FlaskClient:
    """Return a browser at an address."""
    client = app.test_client()
    client.environ_base["REMOTE_ADDR"] = address
    return client


def test_guessing_at_one_login_is_stopped(shop: Flask) -> None:
    for n in range(PER_LOGIN):
        assert attempt(shop.test_client(), "mira", f"guess number {n}")[0] == 422
    answer = shop.test_client().post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) > 0


def test_guessing_from_many_addresses_is_stopped_too(shop: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(throttle, "PER_LOGIN_EVERYWHERE", 12)
    said = [attempt(client_at(shop, f"127.0.0.{n}"), "mira", f"guess number {n}")[0] for n in range(1, 15)]
    assert said == [422] * 12 + [429] * 2


def test_wrong_guesses_by_others_do_not_keep_the_right_password_out(shop: Flask) -> None:
    for n in range(PER_LOGIN + 1):
        attempt(client_at(shop, "203.0.113.5"), "mira", f"guess number {n}")
    assert attempt(client_at(shop, "198.51.100.1"), "mira", PASSWORD)[0] == 303


def test_a_browser_that_was_let_in_before_stays_welcome_whatever_others_guess(
    shop: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(throttle, "PER_LOGIN_EVERYWHERE", 12)
    mine = client_at(shop, "127.0.0.1")
    assert attempt(mine, "mira", PASSWORD)[0] == 303
    mine.post("/shop/log-out")
    for n in range(15):  # from the same network, and from all over
        attempt(client_at(shop, "127.0.0.1"), "mira", f"guess number {n}")
        attempt(client_at(shop, f"203.0.113.{n}"), "mira", f"guess number {n}")
    assert attempt(client_at(shop, "127.0.0.1"), "mira", PASSWORD)[0] == 429
    assert attempt(mine, "mira", PASSWORD)[0] == 303
    mine.post("/shop/log-out")
    said = [attempt(mine, "mira", f"guess number {n}")[0] for n in range(PER_LOGIN + 1)]
    assert said[-1] == 429  # it is no way to guess without end


def test_all_addresses_of_one_ipv6_line_count_as_one(shop: Flask) -> None:
    said = [
        attempt(client_at(shop, f"2001:db8:1:2::{n:x}"), "mira", f"guess number {n}")[0] for n in range(PER_LOGIN + 1)
    ]
    assert said[-1] == 429
    assert attempt(client_at(shop, "2001:db8:1:3::1"), "mira", PASSWORD)[0] == 303


COMMON = ("1234567890", "password12", "qwertyuiop", "iloveyou12", "Password123!", "letmein2024", "passwordpassword")


@pytest.mark.parametrize("password", COMMON)
def test_a_password_that_many_have_is_refused(app: Flask, client: FlaskClient, password: str) -> None:
    with app.app_context():
        token = issue_opening_link()
    answer = client.post(f"/shop/open/{token}", data=OPENING | {"password": password})
    assert answer.status_code == 422
    assert "too easy to guess" in answer.text


def test_every_letter_of_a_password_counts(app: Flask) -> None:
    longest = "".join(f"word{n} " for n in range(60))[:PASSWORD_LONGEST]
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", longest)
    client = app.test_client()
    for wrong in (longest + "x", longest + "x" * 2_000, longest[:-1]):
        assert attempt(client, "mira", wrong)[0] == 422
    assert attempt(client, "mira", longest)[0] == 303


@pytest.mark.parametrize(
    ("base", "prefix"), [("https://cards.example", "__Host-"), ("http://localhost:8000", "setup_")]
)
def test_on_https_no_other_host_can_set_the_cookie(make_app: Callable[..., Flask], base: str, prefix: str) -> None:
    app = make_app(PUBLIC_BASE_URL=base)
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    answer = app.test_client().post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    cookies = answer.headers.getlist("Set-Cookie")
    assert len(cookies) == 2
    for cookie in cookies:
        assert cookie.startswith(prefix)
        assert "Path=/" in cookie.split("; ")
        assert "Domain" not in cookie
        assert ("Secure" in cookie) == base.startswith("https")
        assert "HttpOnly" in cookie


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


@pytest.mark.parametrize("restored", [False, True])
def test_the_opening_link_ends_with_any_shop(app: Flask, client: FlaskClient, restored: bool) -> None:
    with app.app_context():
        token = issue_opening_link()
        if restored:  # a copy brings its shops in beside the link
            with database.write() as connection:
                insert_shop(connection, "Harbour Wheels", datetime.now(UTC))
        else:
            open_shop("Harbour Wheels", "ines", PASSWORD)
    for answer in (client.get(f"/shop/open/{token}"), client.post(f"/shop/open/{token}", data=OPENING)):
        assert answer.status_code == 410
        assert "already been used" in answer.text


def test_a_shop_that_comes_between_look_and_save_ends_the_opening_link(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    with app.app_context():
        token = issue_opening_link()
        with database.write() as connection:
            insert_shop(connection, "Harbour Wheels", datetime.now(UTC))
        monkeypatch.setattr(open_shop_module, "check_opening_link", lambda _token: None)
        with pytest.raises(LinkGoneError):
            open_first_shop(str(token), "Lantern Lane Cycles", "mira", PASSWORD)


def test_a_lost_token_at_the_door_loses_nothing_that_was_typed(make_app: Callable[..., Flask]) -> None:
    app = make_app(WTF_CSRF_ENABLED=True)
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    answer = app.test_client().post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    assert answer.status_code == 422
    assert 'value="mira"' in answer.text
    assert PASSWORD not in answer.text


def counted(app: Flask) -> int:
    with app.app_context(), database.read() as connection:
        return int(connection.execute(select(func.count()).select_from(LogInAttemptsRow)).scalar_one())


def test_a_network_over_its_limit_adds_no_more_logins_and_the_purge_forgets_them(shop: Flask) -> None:
    for number in range(PER_ADDRESS + 20):
        attempt(client_at(shop, "203.0.113.9"), f"guess{number}", "not the pass phrase")
    assert counted(shop) <= 2 * PER_ADDRESS + 1
    with shop.app_context():
        purge_expired(datetime.now(UTC) + WINDOW / 2)
        assert counted(shop) > PER_ADDRESS
        purge_expired(datetime.now(UTC) + 2 * WINDOW)
    assert counted(shop) == 0
