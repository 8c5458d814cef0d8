"""A key under which a setup is made once: what it answers to its client, and what it never tells to others."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import update

from webapp.ground.database.engine import database
from webapp.ground.database.setup_rows import SetupRow
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.renew_link import renew_link
from webapp.setups.queries.setups import count_setups

HOME, ELSEWHERE = "198.51.100.1", "203.0.113.9"
RANDOM = "7b0c7d0e-6d50-4a61-9c4e-0a5a6ad1f5a1"


def create(client: FlaskClient, body: dict[str, Any], key: str = RANDOM, address: str = HOME) -> Any:
    return client.post(
        "/api/v1/setups", json=body, headers={"Idempotency-Key": key}, environ_base={"REMOTE_ADDR": address}
    )


def owner_key(answer: Any) -> str:
    return str(answer.headers["Setup-Owner-Link"].rsplit("/", 1)[1])


def test_a_key_that_could_be_guessed_gives_a_stranger_no_link(
    client: FlaskClient, whole_request: dict[str, Any]
) -> None:
    mine = create(client, whole_request, "order-1")
    again = create(client, whole_request, "order-1")
    strangers = create(client, whole_request, "order-1", ELSEWHERE)
    assert again.json == mine.json
    assert strangers.status_code == 201
    assert strangers.json["code"] != mine.json["code"]


def test_a_guess_does_not_even_tell_that_the_key_was_used(client: FlaskClient, whole_request: dict[str, Any]) -> None:
    create(client, whole_request, "order-1")
    assert create(client, {**whole_request, "rider_mass_kg": 90}, "order-1", ELSEWHERE).status_code == 201


def test_a_random_key_holds_when_the_client_changes_its_network(
    client: FlaskClient, whole_request: dict[str, Any]
) -> None:
    codes = {create(client, whole_request, RANDOM, address).json["code"] for address in (HOME, ELSEWHERE)}
    assert len(codes) == 1


@pytest.mark.parametrize("end", [renew_link, delete_setup])
@pytest.mark.parametrize("key", [RANDOM, "order-1"])
def test_renewing_and_deleting_end_the_key(
    app: Flask, client: FlaskClient, whole_request: dict[str, Any], end: Any, key: str
) -> None:
    first = create(client, whole_request, key)
    with app.app_context():
        end(owner_key(first))
        with database.read() as connection:
            before = count_setups(connection)
    again = create(client, whole_request, key)
    other = create(client, {**whole_request, "rider_mass_kg": 90}, key)
    assert (again.status_code, other.status_code) == (410, 410)
    assert [e["field"] for e in again.json["errors"]] == ["Idempotency-Key"]
    with app.app_context(), database.read() as connection:
        assert count_setups(connection) == before


def test_a_key_expires_after_a_day_and_is_not_used_again(
    app: Flask, client: FlaskClient, whole_request: dict[str, Any]
) -> None:
    assert create(client, whole_request).status_code == 201
    with app.app_context(), database.write() as connection:
        connection.execute(update(SetupRow).values(created_at=datetime.now(UTC) - timedelta(hours=25)))
    late = create(client, whole_request)
    assert late.status_code == 409
    assert "code" not in late.json
