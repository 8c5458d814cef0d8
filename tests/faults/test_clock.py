"""A wrong clock. Set back, or years back after a flat battery: saves keep their order. Set ahead: nothing is erased."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask
from sqlalchemy import select, update

from setup_rules import SagCheck, read_request
from webapp.checks.actions.check_sag import check_sag
from webapp.commands.purge_expired import DoubtfulClockError, purge_expired
from webapp.ground.database.engine import database
from webapp.ground.database.setup_rows import RevisionRow, SetupRow
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


@pytest.mark.parametrize("ahead", [timedelta(days=741), timedelta(days=9_000)])
def test_a_clock_set_ahead_erases_nothing_and_says_what_to_do(app: Flask, ahead: timedelta) -> None:
    with app.app_context():
        saved = create_setup(read_request(REQUEST)).saved
        with pytest.raises(DoubtfulClockError, match=r"1 of 1 setups have expired.*purge --anyway"):
            purge_expired(datetime.now(UTC) + ahead)
        assert find_setup(saved.code) == saved
        assert purge_expired(datetime.now(UTC) + ahead, anyway=True) == 1


def expire(number: int, *, last_saved: datetime) -> None:
    """Let so many of the setups have expired, and let all have been saved at one moment."""
    with database.write() as connection:
        connection.execute(update(RevisionRow).values(created_at=last_saved))
        first = list(connection.execute(select(SetupRow.id).order_by(SetupRow.id).limit(number)).scalars())
        past = datetime.now(UTC) - timedelta(days=1)
        connection.execute(update(SetupRow).where(SetupRow.id.in_(first)).values(expires_at=past))


@pytest.mark.parametrize(
    ("expired", "of", "quiet_days", "erased"),
    [(1, 3, 59, True), (1, 3, 61, False), (20, 22, 1, True), (21, 22, 1, False)],
)
def test_much_at_once_or_after_a_long_quiet_time_is_asked_about(
    app: Flask, expired: int, of: int, quiet_days: int, erased: bool
) -> None:
    with app.app_context():
        for _number in range(of):
            create_setup(read_request(REQUEST))
        expire(expired, last_saved=datetime.now(UTC) - timedelta(days=quiet_days))
        if erased:
            assert purge_expired() == expired
        else:
            with pytest.raises(DoubtfulClockError, match=f"{expired} of {of} setups"):
                purge_expired()
