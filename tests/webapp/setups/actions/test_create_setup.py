"""Saving a setup, and saving it once."""

from __future__ import annotations

import threading
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask

from setup_rules import read_request, recommend
from webapp.ground.action_errors import IdempotencyError
from webapp.ground.database.engine import database
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.queries import setups as queries
from webapp.setups.revision import CardTexts, CreatedSetup


def test_a_saved_setup_is_found_again_whole(app: Flask, whole_request: dict[str, Any]) -> None:
    request = read_request(whole_request)
    with app.app_context():
        created = create_setup(request, CardTexts("Heron 1", "Seals renewed"))
        found = find_setup(created.saved.code)
    assert found == created.saved
    assert found.setup == recommend(request)
    assert (found.number, found.latest_number, found.texts.bike_label) == (1, 1, "Heron 1")
    assert found.expires_at == found.created_at + timedelta(days=730)


def test_the_owners_key_is_another_secret_and_only_its_hash_is_stored(
    app: Flask, whole_request: dict[str, Any]
) -> None:
    with app.app_context():
        created = create_setup(read_request(whole_request))
        assert created.owner_key not in (None, created.saved.code)
        with database.engine.connect() as connection:
            rows = connection.exec_driver_sql("SELECT * FROM setup").all()
    assert str(created.owner_key) not in str(rows)


def test_a_repeat_under_the_same_key_is_answered_and_not_saved_again(app: Flask, whole_request: dict[str, Any]) -> None:
    request = read_request(whole_request)
    with app.app_context():
        first = create_setup(request, idempotency_key="key")
        second = create_setup(request, idempotency_key="key")
        assert second == CreatedSetup(saved=first.saved, owner_key=None)
        assert count() == 1
        create_setup(request, idempotency_key="another key")
        assert count() == 2


def test_the_same_key_with_another_request_or_label_is_refused(app: Flask, whole_request: dict[str, Any]) -> None:
    request = read_request(whole_request)
    heavier = read_request({**whole_request, "rider_mass_kg": 79})
    with app.app_context():
        create_setup(request, idempotency_key="key")
        with pytest.raises(IdempotencyError):
            create_setup(heavier, idempotency_key="key")
        with pytest.raises(IdempotencyError):
            create_setup(request, CardTexts("other"), idempotency_key="key")
        assert count() == 1


def test_twins_at_the_same_moment_are_saved_once(app: Flask, whole_request: dict[str, Any]) -> None:
    request = read_request(whole_request)
    barrier = threading.Barrier(6)
    codes: list[str] = []

    def save() -> None:
        with app.app_context():
            barrier.wait()
            codes.append(create_setup(request, idempotency_key="double tap").saved.code)

    threads = [threading.Thread(target=save) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(codes) == 6
    assert len(set(codes)) == 1


def count() -> int:
    with database.read() as connection:
        return queries.count_setups(connection)
