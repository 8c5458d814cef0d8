"""The page of tokens: made and shown once, listed without the secret, revoked."""

from __future__ import annotations

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.accounts.actions import tokens
from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.actions.tokens import create_token_of_owner, find_token_holder, list_tokens
from webapp.ground.database.engine import database

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop


@pytest.fixture
def staff(app: Flask, client: FlaskClient) -> FlaskClient:
    """A browser in which a member of staff who is no owner is logged in."""
    with app.app_context():
        shop = open_shop("Lantern Lane Cycles", "mira", PASSWORD).shop_id
        create_staff(shop, "tom", PASSWORD)
    assert client.post("/shop/log-in", data={"login": "tom", "password": PASSWORD}).status_code == 303
    return client


def made(client: FlaskClient, name: str) -> str:
    """Make a token and return it as the page shows it."""
    page = client.post("/shop/tokens", data={"name": name})
    assert page.status_code == 200
    assert page.headers["Cache-Control"] == "no-store"
    found = re.search(r'<code class="secret">([0-9A-Z]{26})</code>', page.text)
    assert found
    return found[1]


def test_a_token_is_shown_once_and_kept_as_a_hash(app: Flask, staff: FlaskClient) -> None:
    secret = made(staff, "demo desk")
    again = staff.get("/shop/tokens").text
    assert "demo desk" in again
    assert secret not in again
    assert "Not used yet." in again
    with app.app_context():
        holder = find_token_holder(secret)
        assert holder is not None
        assert holder.login == "tom"
        with database.read() as connection:
            assert secret not in str(connection.exec_driver_sql("SELECT * FROM api_token").all())
    assert "Last used on" in staff.get("/shop/tokens").text


def test_a_revoked_token_stays_in_the_list_and_opens_nothing(app: Flask, staff: FlaskClient) -> None:
    secret = made(staff, "demo desk")
    assert staff.post("/shop/tokens/1/revoke").status_code == 303
    page = staff.get("/shop/tokens?done=revoked").text
    assert "Revoked on" in page
    assert "/shop/tokens/1/revoke" not in page
    with app.app_context():
        assert find_token_holder(secret) is None
        first = list_tokens(1)[0].revoked_at
    assert staff.post("/shop/tokens/1/revoke").status_code == 303
    with app.app_context():
        assert list_tokens(1)[0].revoked_at == first
    assert staff.post("/shop/tokens/99/revoke").status_code == 404


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "two\nlines"])
def test_a_name_that_cannot_be_is_refused(staff: FlaskClient, name: str) -> None:
    page = staff.post("/shop/tokens", data={"name": name})
    assert page.status_code == 422
    assert 'class="secret"' not in page.text


def test_a_shop_makes_so_many_and_no_more(staff: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tokens, "MOST_TOKENS", 2)
    for name in ("a", "b"):
        made(staff, name)
    refused = staff.post("/shop/tokens", data={"name": "c"})
    assert refused.status_code == 422
    assert "This shop has 2 open access keys. Revoke one that no tool uses." in refused.text


def test_a_full_list_lets_the_key_that_was_revoked_first_go(
    app: Flask, staff: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tokens, "MOST_TOKENS", 3)
    for name in ("a", "b", "c"):
        made(staff, name)
    for number in (2, 1):
        assert staff.post(f"/shop/tokens/{number}/revoke").status_code == 303
    secret = made(staff, "d")
    with app.app_context():
        assert {one.name for one in list_tokens(1)} == {"a", "c", "d"}
        assert find_token_holder(secret) is not None


def test_when_a_token_was_used_is_written_down_at_most_once_a_minute(app: Flask, staff: FlaskClient) -> None:
    secret = made(staff, "demo desk")
    with app.app_context():
        find_token_holder(secret)
        first = list_tokens(1)[0].last_used_at
        find_token_holder(secret)
        assert list_tokens(1)[0].last_used_at == first is not None


def test_a_press_that_is_sent_twice_makes_one_key_and_says_what_to_do(app: Flask, staff: FlaskClient) -> None:
    made(staff, "Demo desk")
    page = staff.post("/shop/tokens", data={"name": " demo  desk"})
    assert page.status_code == 422
    assert "There is an access key called demo  desk already." in page.text
    assert 'class="secret"' not in page.text
    with app.app_context():
        assert [one.name for one in list_tokens(1)] == ["Demo desk"]
    assert staff.post("/shop/tokens/1/revoke").status_code == 303
    made(staff, "Demo desk")


def test_who_is_no_owner_revokes_their_own_keys_only(app: Flask, staff: FlaskClient) -> None:
    with app.app_context():
        theirs = create_token_of_owner(1, "till")
    made(staff, "demo desk")
    page = staff.get("/shop/tokens").text
    assert "/shop/tokens/2/revoke" in page
    assert "/shop/tokens/1/revoke" not in page
    refused = staff.post("/shop/tokens/1/revoke")
    assert refused.status_code == 422
    assert "Only mira or an owner of the shop can revoke this access key." in refused.text
    with app.app_context():
        assert find_token_holder(theirs) is not None
    staff.post("/shop/log-out")
    staff.post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    assert staff.post("/shop/tokens/2/revoke").status_code == 303
    with app.app_context():
        assert all(one.revoked_at for one in list_tokens(1) if one.name == "demo desk")
