"""A stored document that cannot be read back is told as damage, by the setup's number and never by its code."""

from __future__ import annotations

import logging
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import update

from setup_rules import read_request
from webapp.ground.database.engine import database
from webapp.ground.database.setup_rows import RevisionRow
from webapp.setups.actions.create_setup import create_setup


@pytest.fixture
def code(app: Flask) -> str:
    """The code of a sound setup."""
    request = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}
    with app.app_context():
        return create_setup(read_request(request)).saved.code


@pytest.mark.parametrize(
    "values",
    [
        {"result": {}},
        {"request": {"rider_mass_kg": 78}},
        {"request": ["no", "mapping"]},
        {"checks": [{"struck": True}]},
        {"result": 7},
        {"reason_key": "revision.first", "reason_values": {"label": {}}},
    ],
)
@pytest.mark.parametrize("place", ["/s/{}", "/s/{}/1", "/s/{}/history", "/api/v1/setups/{}"])
def test_it_is_no_fault_of_the_program(
    app: Flask, client: FlaskClient, code: str, values: dict[str, Any], place: str, caplog: pytest.LogCaptureFixture
) -> None:
    with app.app_context(), database.write() as connection:
        connection.execute(update(RevisionRow).values(**values))
    with caplog.at_level(logging.DEBUG):
        answer = client.get(place.format(code))
    assert answer.status_code == 503
    assert "The database is damaged" in answer.text
    told = " ".join(caplog.messages)
    assert "setup number 1 cannot be read back" in told
    assert code not in told
    assert "78" not in told


@pytest.mark.sqlite
def test_a_text_that_is_no_json_is_told_too(app: Flask, client: FlaskClient, code: str) -> None:
    with app.app_context(), database.write() as connection:
        connection.exec_driver_sql("UPDATE revision SET result = '{'")
    assert client.get(f"/s/{code}").status_code == 503
