"""A clock that was set back, or stands years back after a flat battery: saves keep their order, and nothing expires."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask

from setup_rules import SagCheck, read_request
from webapp.checks.actions.check_sag import check_sag
from webapp.commands.purge_expired import purge_expired
from webapp.setups.actions import append_revision
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.list_revisions import list_revisions

REQUEST = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}
CHECK = SagCheck(end="front", pressure_pa=580_000.0, readings_mm=(36.0, 35.0, 36.0))


def set_back(monkeypatch: pytest.MonkeyPatch, by: timedelta) -> None:
    """Let saves believe that it is earlier."""

    class Earlier(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]  # noqa: ARG003
            return datetime.now(UTC) - by

    monkeypatch.setattr(append_revision, "datetime", Earlier)


@pytest.mark.parametrize("back", [timedelta(hours=1), timedelta(days=9_000)])
def test_a_clock_that_is_set_back_between_saves_loses_nothing(
    app: Flask, monkeypatch: pytest.MonkeyPatch, back: timedelta
) -> None:
    with app.app_context():
        saved = create_setup(read_request(REQUEST)).saved
        set_back(monkeypatch, back)
        check_sag(saved.code, CHECK)
        monkeypatch.undo()
        check_sag(saved.code, CHECK)
        assert [past.revision.number for past in list_revisions(saved.code)] == [1, 2, 3]
        newest = find_setup(saved.code)
        assert (newest.number, len(newest.setup.checks)) == (3, 2)


def test_a_save_under_a_wrong_clock_does_not_let_a_setup_expire(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    with app.app_context():
        saved = create_setup(read_request(REQUEST)).saved
        set_back(monkeypatch, timedelta(days=9_000))
        check_sag(saved.code, CHECK)
        monkeypatch.undo()
        assert find_setup(saved.code).expires_at == saved.expires_at
        assert purge_expired() == 0
        assert find_setup(saved.code).number == 2
