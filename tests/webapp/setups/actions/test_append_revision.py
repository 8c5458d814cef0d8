"""Revisions: appended, never overwritten; a second saver is told and loses nothing."""

from __future__ import annotations

import dataclasses
import threading
from typing import Any

import pytest
from flask import Flask

from setup_rules import Setup, read_request, recommend
from webapp.ground.action_errors import ConflictError, IdempotencyError, LinkUnknownError
from webapp.ground.hashes import repeat_key
from webapp.setups.actions.append_revision import append_revision
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.list_revisions import list_revisions
from webapp.setups.revision import CardTexts, Revision


@pytest.fixture
def saved(app: Flask, whole_request: dict[str, Any]) -> Revision:
    with app.app_context():
        return create_setup(read_request(whole_request), CardTexts("Heron 1", "seals")).saved


def retuned(saved: Revision, rider_mass_kg: float) -> Setup:
    return recommend(dataclasses.replace(saved.setup.request, rider_mass_kg=rider_mass_kg))


def test_a_new_revision_is_added_and_the_old_one_stays(app: Flask, saved: Revision) -> None:
    with app.app_context():
        new = append_revision(saved.followed_by(retuned(saved, 85), kind="what_if", reason="Packed for a tour"))
        assert find_setup(saved.code) == new
        old = find_setup(saved.code, 1)
    assert (new.number, new.base_number, new.kind, new.reason) == (2, 1, "what_if", "Packed for a tour")
    assert new.texts.bike_label == "Heron 1"
    assert old.setup == saved.setup
    assert old.latest_number == 2


def test_history_lists_every_revision_in_order(app: Flask, saved: Revision) -> None:
    with app.app_context():
        for mass in (80, 82):
            append_revision(find_setup(saved.code).followed_by(retuned(saved, mass), kind="k", reason="r"))
        masses = [past.revision.setup.request.rider_mass_kg for past in list_revisions(saved.code)]
    assert masses == [78, 80, 82]


def test_a_save_on_an_older_revision_is_told_which_is_newer(app: Flask, saved: Revision) -> None:
    with app.app_context():
        append_revision(saved.followed_by(retuned(saved, 80), kind="k", reason="first"))
        with pytest.raises(ConflictError) as caught:
            append_revision(saved.followed_by(retuned(saved, 90), kind="k", reason="second"))
        assert caught.value.latest_revision == 2
        assert find_setup(saved.code).reason == "first"


def test_of_many_savers_at_once_exactly_one_wins(app: Flask, saved: Revision) -> None:
    barrier = threading.Barrier(5)
    outcomes: list[str] = []

    def save(mass: float) -> None:
        setup = retuned(saved, mass)
        with app.app_context():
            barrier.wait()
            try:
                append_revision(saved.followed_by(setup, kind="k", reason=str(mass)))
                outcomes.append("saved")
            except ConflictError:
                outcomes.append("told")

    threads = [threading.Thread(target=save, args=(70.0 + i,)) for i in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["saved", "told", "told", "told", "told"]


def test_a_repeat_under_the_same_key_makes_no_second_revision(app: Flask, saved: Revision) -> None:
    new = saved.followed_by(retuned(saved, 80), kind="k", reason="r")
    with app.app_context():
        first = append_revision(new, repeat_key("key", "f"))
        again = append_revision(new, repeat_key("key", "f"))
        assert again == first
        assert len(list_revisions(saved.code)) == 2
        with pytest.raises(IdempotencyError):
            append_revision(new, repeat_key("key", "g"))


def test_the_day_of_purging_moves_with_every_save(app: Flask, saved: Revision) -> None:
    with app.app_context():
        new = append_revision(saved.followed_by(saved.setup, kind="k", reason="r"))
        found = find_setup(saved.code)
    assert found.expires_at is not None
    assert saved.expires_at is not None
    assert found.expires_at > saved.expires_at
    assert found.expires_at == new.expires_at


def test_nothing_is_appended_to_an_unknown_setup(app: Flask, saved: Revision) -> None:
    with app.app_context(), pytest.raises(LinkUnknownError):
        append_revision(dataclasses.replace(saved, code="0" * 26))
