"""What only the owner may do, and what time does by itself: export, renew, delete, purge."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask

from setup_rules import read_request
from webapp.commands.purge_expired import purge_expired
from webapp.ground.action_errors import KeyEndedError, LinkGoneError, LinkUnknownError
from webapp.ground.database.engine import database
from webapp.setups.actions.append_revision import append_revision
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.export_setup import export_setup
from webapp.setups.actions.find_by_owner_key import find_by_owner_key
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.renew_link import renew_link
from webapp.setups.revision import CardTexts, CreatedSetup


@pytest.fixture
def created(app: Flask, whole_request: dict[str, Any]) -> CreatedSetup:
    with app.app_context():
        return create_setup(read_request(whole_request), CardTexts("Heron 1"))


@pytest.fixture
def key(created: CreatedSetup) -> str:
    assert created.owner_key is not None
    return created.owner_key


def test_the_owners_key_opens_its_setup_and_the_code_does_not(app: Flask, created: CreatedSetup, key: str) -> None:
    with app.app_context():
        assert find_by_owner_key(key.lower()) == created.saved
        with pytest.raises(LinkUnknownError):
            find_by_owner_key(created.saved.code)
        with pytest.raises(LinkUnknownError):
            find_by_owner_key("not a key")


def test_the_export_holds_every_revision_with_request_and_result(app: Flask, created: CreatedSetup, key: str) -> None:
    saved = created.saved
    with app.app_context():
        append_revision(saved.followed_by(saved.setup, kind="retune", reason="again"))
        data = export_setup(key)
    assert data["code"] == saved.code
    assert [r["revision"] for r in data["revisions"]] == [1, 2]
    assert data["revisions"][0]["request"]["rider_mass_kg"] == 78
    assert data["revisions"][1]["reason"] == "again"
    assert saved.setup.front is not None
    assert data["revisions"][0]["result"]["front"]["pressure_pa"] == saved.setup.front.pressure_pa


def test_a_renewed_link_works_and_the_old_one_is_gone(app: Flask, created: CreatedSetup, key: str) -> None:
    with app.app_context():
        code = renew_link(key)
        assert find_setup(code).setup == created.saved.setup
        assert find_by_owner_key(key).code == code
        with pytest.raises(LinkGoneError, match="replaced"):
            find_setup(created.saved.code)


def test_deleting_erases_the_contents_and_leaves_the_link_gone(app: Flask, created: CreatedSetup, key: str) -> None:
    with app.app_context():
        delete_setup(key)
        with pytest.raises(LinkGoneError):
            find_setup(created.saved.code)
        with pytest.raises(LinkGoneError):
            find_by_owner_key(key)
        with database.read() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM revision").scalar() == 0


@pytest.mark.parametrize("end", [delete_setup, renew_link])
def test_the_key_of_a_deleted_setup_or_a_renewed_link_makes_no_second_one(
    app: Flask, whole_request: dict[str, Any], end: Callable[[str], Any]
) -> None:
    request = read_request(whole_request)
    with app.app_context():
        first = create_setup(request, idempotency_key="key")
        end(str(first.owner_key))
        with pytest.raises(KeyEndedError):
            create_setup(request, idempotency_key="key")


def test_expired_setups_are_gone_before_and_after_they_are_purged(app: Flask, created: CreatedSetup) -> None:
    expires = created.saved.expires_at
    assert expires is not None
    with app.app_context():
        assert purge_expired(expires - timedelta(seconds=1)) == 0
        assert find_setup(created.saved.code) == created.saved
        assert purge_expired(expires, anyway=True) == 1
        assert purge_expired(expires) == 0
        with pytest.raises(LinkGoneError):
            find_setup(created.saved.code)
        with database.read() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM revision").scalar() == 0


def test_a_setup_past_its_day_is_gone_even_if_nobody_purged(app: Flask, created: CreatedSetup, key: str) -> None:
    with app.app_context():
        with database.write() as connection:
            connection.exec_driver_sql("UPDATE setup SET expires_at = '2020-01-01 00:00:00.000000'")
        with pytest.raises(LinkGoneError):
            find_setup(created.saved.code)
        with pytest.raises(LinkGoneError):
            find_by_owner_key(key)
