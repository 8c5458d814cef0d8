"""Corrections of a saved setup: appended once under a key, on the newest revision, and never at another's cost."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from flask import Flask

from setup_rules import BounceCheck, RequestError, RideReport, SagCheck, apply_sag_check, read_request
from webapp.checks.actions.check_bounce import check_bounce
from webapp.checks.actions.check_sag import _asked, check_sag
from webapp.checks.actions.preview_changes import preview_changes
from webapp.checks.actions.report_ride import report_ride
from webapp.checks.actions.restore_revision import restore_revision
from webapp.checks.actions.save_changes import save_changes
from webapp.checks.weight_proof import WeightProof
from webapp.ground.action_errors import ConflictError, IdempotencyError, LinkGoneError, LinkUnknownError
from webapp.ground.text.sentences import say
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.list_revisions import list_revisions
from webapp.setups.revision import CardTexts, Revision

Correct = Callable[..., Revision]

SAG = SagCheck(end="front", pressure_pa=580_000.0, readings_mm=(36.0, 35.0, 36.0))
#: What the rider of the setup knows.
KNOWN = WeightProof(now_kg=78)
#: Every correction, as a caller makes it: code first, base and key by keyword.
CORRECTIONS: dict[str, Correct] = {
    "sag check": lambda code, **how: check_sag(code, SAG, **how),
    "bounce check": lambda code, **how: check_bounce(
        code, BounceCheck(end="front", clicks_out=8, seen="several_swings"), **how
    ),
    "ride": lambda code, **how: report_ride(code, RideReport(end="rear", felt=("kicks_back",)), **how),
    "change": lambda code, **how: save_changes(code, {"kit_mass_kg": 11}, proof=KNOWN, **how),
}
every_correction = pytest.mark.parametrize("correct", CORRECTIONS.values(), ids=CORRECTIONS)


@pytest.fixture
def saved(app: Flask, whole_request: dict[str, Any]) -> Revision:
    with app.app_context():
        return create_setup(read_request(whole_request), CardTexts("Heron 1", "seals")).saved


@every_correction
def test_a_correction_is_the_next_revision_and_the_one_before_stays(
    app: Flask, saved: Revision, correct: Correct
) -> None:
    with app.app_context():
        new = correct(saved.code)
        assert find_setup(saved.code) == new
        assert find_setup(saved.code, 1).setup == saved.setup
    assert (new.number, new.base_number) == (2, 1)
    assert (new.texts.bike_label, new.texts.service_note) == ("Heron 1", "seals")
    assert new.setup != saved.setup


@pytest.mark.parametrize(
    ("correction", "kind", "reason"),
    [
        ("sag check", "sag_check_front", "Sag check of the fork"),
        ("bounce check", "bounce_check_front", "Bounce check of the fork"),
        ("ride", "ride_rear", "After a ride: shock"),
        ("change", "what_if", "Changed: Kit weight"),
    ],
)
def test_history_says_what_led_to_a_revision(
    app: Flask, saved: Revision, correction: str, kind: str, reason: str
) -> None:
    with app.app_context():
        CORRECTIONS[correction](saved.code)
        line = list_revisions(saved.code)[-1].revision
    assert (line.kind, say(line.reason)) == (kind, reason)
    assert len(line.kind) <= 32


def test_the_service_saves_what_the_rules_answer(app: Flask, saved: Revision) -> None:
    with app.app_context():
        assert check_sag(saved.code, SAG).setup == apply_sag_check(saved.setup, SAG)


@every_correction
def test_on_a_revision_that_is_not_the_newest_the_second_is_told_and_shown_it(
    app: Flask, saved: Revision, correct: Correct
) -> None:
    with app.app_context():
        newest = check_sag(saved.code, SAG, base_revision=1)
        with pytest.raises(ConflictError) as told:
            correct(saved.code, base_revision=1)
        assert told.value.latest == newest
        assert told.value.latest_revision == 2
        assert len(list_revisions(saved.code)) == 2
        assert correct(saved.code, base_revision=2).number == 3


@every_correction
@pytest.mark.parametrize("base", [None, 1])
def test_the_same_again_under_the_same_key_is_the_same_revision(
    app: Flask, saved: Revision, correct: Correct, base: int | None
) -> None:
    with app.app_context():
        first = correct(saved.code, base_revision=base, idempotency_key="tap")
        again = correct(saved.code, base_revision=base, idempotency_key="tap")
        assert (again.number, again.setup) == (first.number, first.setup)
        assert len(list_revisions(saved.code)) == 2


def test_a_repeat_finds_its_revision_even_after_others_were_saved(app: Flask, saved: Revision) -> None:
    with app.app_context():
        first = check_sag(saved.code, SAG, idempotency_key="tap")
        save_changes(saved.code, {"kit_mass_kg": 9}, proof=KNOWN)
        again = check_sag(saved.code, SAG, idempotency_key="tap")
    assert (again.number, again.latest_number) == (first.number, 3)


@pytest.mark.parametrize("correct", [c for name, c in CORRECTIONS.items() if name != "sag check"])
def test_a_key_that_was_used_for_something_else_is_refused(app: Flask, saved: Revision, correct: Correct) -> None:
    with app.app_context():
        check_sag(saved.code, SAG, idempotency_key="tap")
        with pytest.raises(IdempotencyError):
            correct(saved.code, idempotency_key="tap")
        assert len(list_revisions(saved.code)) == 2


def test_a_check_of_before_there_was_a_place_keeps_its_fingerprint(app: Flask, saved: Revision) -> None:
    asked = [_asked(SAG), _asked(replace(SAG, place="ride"))]
    assert "place" not in asked[0]
    assert asked[1] == {**asked[0], "place": "ride"}
    with app.app_context():
        assert check_sag(saved.code, SAG, idempotency_key="tap").number == 2
        with pytest.raises(IdempotencyError):
            check_sag(saved.code, replace(SAG, place="ride"), idempotency_key="tap")


def test_the_same_key_on_another_setup_is_another_request(app: Flask, whole_request: dict[str, Any]) -> None:
    with app.app_context():
        codes = [create_setup(read_request(whole_request)).saved.code for _ in range(2)]
        assert [check_sag(code, SAG, idempotency_key="tap").number for code in codes] == [2, 2]


def test_what_the_rules_refuse_saves_nothing_and_leaves_the_key_free(app: Flask, saved: Revision) -> None:
    with app.app_context():
        with pytest.raises(RequestError):
            check_sag(saved.code, SagCheck(end="front", pressure_pa=580_000.0), idempotency_key="tap")
        assert find_setup(saved.code).number == 1
        assert check_sag(saved.code, SAG, idempotency_key="tap").number == 2


@pytest.mark.parametrize("base", [0, -1, 2, 10**30])
def test_a_base_that_never_was_is_refused_by_name(app: Flask, saved: Revision, base: int) -> None:
    with app.app_context(), pytest.raises(RequestError) as refused:
        check_sag(saved.code, SAG, base_revision=base)
    assert [p.field for p in refused.value.problems] == ["base_revision"]


@every_correction
def test_links_that_lead_nowhere_or_are_gone_say_so(
    app: Flask, whole_request: dict[str, Any], correct: Correct
) -> None:
    with app.app_context():
        with pytest.raises(LinkUnknownError):
            correct("0" * 26)
        created = create_setup(read_request(whole_request))
        assert created.owner_key is not None
        delete_setup(created.owner_key)
        with pytest.raises(LinkGoneError):
            correct(created.saved.code)


def together(app: Flask, *actions: Callable[[], Revision]) -> list[Revision | Exception]:
    """Run actions at the same moment, each in a thread, and return what each got, in order."""
    barrier, got = threading.Barrier(len(actions)), [None] * len(actions)  # type: list[Any]

    def act(place: int, action: Callable[[], Revision]) -> None:
        with app.app_context():
            barrier.wait()
            try:
                got[place] = action()
            except (ConflictError, IdempotencyError) as error:
                got[place] = error

    threads = [threading.Thread(target=act, args=pair) for pair in enumerate(actions)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return got


def test_of_two_at_once_on_the_same_revision_one_is_saved_and_the_other_is_told(app: Flask, saved: Revision) -> None:
    got = together(
        app,
        lambda: check_sag(saved.code, SAG, base_revision=1),
        lambda: save_changes(saved.code, {"kit_mass_kg": 11}, base_revision=1, proof=KNOWN),
    )
    winners = [one for one in got if isinstance(one, Revision)]
    losers = [one for one in got if isinstance(one, ConflictError)]
    assert (len(winners), len(losers)) == (1, 1)
    assert losers[0].latest == winners[0]


def test_several_at_once_who_named_no_revision_are_all_saved_one_on_the_other(app: Flask, saved: Revision) -> None:
    checks = [
        lambda mm=mm: check_sag(saved.code, SagCheck(end="front", pressure_pa=580_000.0, readings_mm=(mm,)))
        for mm in (33.0, 34.0, 35.0)
    ]
    got = together(app, *checks)
    assert sorted(one.number for one in got if isinstance(one, Revision)) == [2, 3, 4]
    with app.app_context():
        newest = find_setup(saved.code).setup
    assert sorted(taken.check.readings_mm[0] for taken in newest.checks) == [33.0, 34.0, 35.0]


def test_a_double_tap_at_the_same_moment_makes_one_revision_for_both(app: Flask, saved: Revision) -> None:
    tap = lambda: check_sag(saved.code, SAG, base_revision=1, idempotency_key="tap")  # noqa: E731
    got = together(app, tap, tap, tap)
    assert [one.number for one in got if isinstance(one, Revision)] == [2, 2, 2]
    with app.app_context():
        assert len(list_revisions(saved.code)) == 2


def test_a_preview_shows_the_difference_and_saves_nothing(app: Flask, saved: Revision) -> None:
    with app.app_context():
        preview = preview_changes(saved.code, {"kit_mass_kg": 15}, proof=KNOWN)
        assert find_setup(saved.code).number == 1
        done = save_changes(saved.code, {"kit_mass_kg": 15}, proof=KNOWN)
    assert preview.saved == saved
    assert preview.setup == done.setup
    assert preview.setup.front is not None
    assert saved.setup.front is not None
    assert preview.setup.front.pressure_pa > saved.setup.front.pressure_pa


def test_an_earlier_revision_comes_back_whole_as_a_new_one(app: Flask, saved: Revision) -> None:
    with app.app_context():
        checked = check_sag(saved.code, SAG)
        save_changes(saved.code, {"rider_mass_kg": 90}, proof=WeightProof(saved.setup.request.rider_mass_kg))
        back = restore_revision(saved.code, 2)
        assert (back.number, back.base_number, back.kind) == (4, 3, "restored")
        assert say(back.reason) == "Restored version 2"
        assert back.setup.front == checked.setup.front
        assert back.setup.checks == checked.setup.checks
        assert (back.setup.advice, back.setup.settled) == ((), None)
        assert [line.revision.number for line in list_revisions(saved.code)] == [1, 2, 3, 4]


def test_going_back_to_before_a_check_forgets_what_it_taught(app: Flask, saved: Revision) -> None:
    with app.app_context():
        check_sag(saved.code, SAG)
        assert restore_revision(saved.code, 1).setup == saved.setup


def test_bringing_back_what_is_in_force_is_refused(app: Flask, saved: Revision) -> None:
    with app.app_context():
        with pytest.raises(RequestError, match="already the current version"):
            restore_revision(saved.code, 1)
        with pytest.raises(LinkUnknownError):
            restore_revision(saved.code, 9)


def test_history_tells_pressure_sag_clicks_and_what_was_measured(app: Flask, saved: Revision) -> None:
    with app.app_context():
        checked = check_sag(saved.code, SAG)
        save_changes(saved.code, {"front": {"volume_spacers": 1}})
        first, second, third = list_revisions(saved.code)
    assert (first.revision.kind, first.revision.base_number, second.revision.base_number) == ("created", None, 1)
    assert [end.end for end in second.ends] == ["front", "rear"]
    front, rear = second.ends
    assert checked.setup.front is not None
    assert front.pressure_pa == checked.setup.front.pressure_pa
    assert front.measured_sag_mm == pytest.approx(107 / 3)
    assert front.measured_at_pa == SAG.pressure_pa
    assert rear.measured_sag_mm is None
    assert [end.measured_sag_mm for end in third.ends] == [None, None]
    assert [line.ends[0].volume_spacers for line in (second, third)] == [0, 1]
    assert second.revision.setup.settled == checked.setup.settled
    assert second.revision.setup.advice == checked.setup.advice
    assert second.revision.created_at >= first.revision.created_at


def test_changes_are_named_in_words_of_the_form(app: Flask, saved: Revision) -> None:
    with app.app_context():
        changes = {"riding_style": "enduro", "ride": {"temperature_c": 3}, "front": {"volume_spacers": 1}}
        assert say(save_changes(saved.code, changes).reason) == "Changed: Riding style, Temperature, Volume spacers"
        assert say(save_changes(saved.code, {}).reason) == "Changed: nothing"
