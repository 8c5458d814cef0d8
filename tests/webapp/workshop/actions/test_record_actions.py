"""Actions on service records: what they keep, repeat, refuse, and forget."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from flask import Flask

from setup_rules import SagCheck, SetupRequest, apply_sag_check, read_request
from setup_rules.workshop.checklist import DEFAULT_STEPS, Step
from webapp.accounts.actions.find_session import find_session
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.staff import StaffMember
from webapp.commands.purge_expired import purge_expired
from webapp.ground.database.engine import database
from webapp.setups.actions.append_revision import append_revision
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.workshop.actions.change_record import save_draft_setup, save_left_state, save_step
from webapp.workshop.actions.close_record import close_record
from webapp.workshop.actions.close_record import close_record as close_record_function
from webapp.workshop.actions.describe_service import describe_service
from webapp.workshop.actions.edit_checklist import ChecklistError, save_checklist
from webapp.workshop.actions.find_records import find_record, find_records
from webapp.workshop.actions.find_services import find_service
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.actions.records import RecordBlockedError, RecordClosedError, RecordUnknownError
from webapp.workshop.actions.serviced_setup import expected_setup
from webapp.workshop.entries import Arrival, Left
from webapp.workshop.queries import records as record_queries

FRONT = {"travel_mm": 100, "longest_travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16}
TRAVEL = {"before_mm": 100.0, "after_mm": 120.0, "longest_mm": 140.0, "spacers": [[20.0, 1]]}
SAFE = ("eyes", "release", "release_again", "clearance")


@pytest.fixture(autouse=True)
def _inside(app: Flask) -> Iterator[None]:
    with app.app_context():
        yield


@pytest.fixture
def member() -> StaffMember:
    """The owner of an invented shop."""
    opened = open_shop("Lantern Lane Cycles", "mira", "a long enough pass phrase")
    found = find_session(opened.staff_id, opened.session_epoch)
    assert found is not None
    return found


def request(**front: Any) -> SetupRequest:
    """Return a rider's request."""
    return read_request({"rider_mass_kg": 123.5, "riding_style": "trail", "front": {**FRONT, **front}})


def safe_record(member: StaffMember, setup_code: str | None = None) -> str:
    """Open a record in which everything of safety is done, and return its code."""
    record = open_record(member, Arrival(bike_label="Heron 4", setup_code=setup_code))
    for key in SAFE:
        save_step(member, record.short_code, key, "done")
    return record.short_code


def test_what_the_sag_checks_taught_goes_into_the_serviced_setup(member: StaffMember) -> None:
    made = create_setup(request())
    front = made.saved.setup.front
    assert front is not None
    check = SagCheck(end="front", pressure_pa=front.pressure_pa, readings_mm=(30, 31, 30))
    learned = apply_sag_check(made.saved.setup, check)
    append_revision(made.saved.followed_by(learned, kind="sag_check", reason="checked"))
    code = safe_record(member, made.saved.code)
    save_step(member, code, "travel", "done", TRAVEL)
    saved = close_record(member, code).saved
    assert saved.number == 3
    assert saved.setup.front is not None
    assert saved.setup.front.checks_used == 1
    assert saved.setup.front.travel_mm == 120


def test_volume_spacers_as_left_are_those_of_the_setup(member: StaffMember) -> None:
    code = safe_record(member, create_setup(request(volume_spacers=1)).saved.code)
    save_left_state(member, code, Left(values={"volume_spacers": 3}))
    record, _history = find_record(member.shop_id, code)
    expected = expected_setup(record)
    saved = close_record(member, code).saved
    assert saved.setup.front is not None
    assert saved.setup.front.volume_spacers == 3
    assert expected == saved.setup


def test_a_closing_that_broke_off_half_way_is_finished_by_the_next(
    member: StaffMember, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = create_setup(request())
    code = safe_record(member, made.saved.code)
    module = close_record_function.__globals__
    monkeypatch.setitem(module, "keep", _power_cut)
    with pytest.raises(RuntimeError, match="power cut"):
        close_record(member, code)
    monkeypatch.undo()
    assert find_setup(made.saved.code).latest_number == 2
    assert find_record(member.shop_id, code)[0].is_open
    assert close_record(member, code).saved.number == 2
    assert find_setup(made.saved.code).latest_number == 2
    assert not find_record(member.shop_id, code)[0].is_open


def _power_cut(*_given: Any) -> None:
    raise RuntimeError("power cut")


def test_a_closed_record_is_found_by_its_setup_from_its_revision_on(member: StaffMember) -> None:
    made = create_setup(request())
    code = safe_record(member, made.saved.code)
    close_record(member, code)
    assert find_service(made.saved.code, 1) is None
    for revision in (2, 7):
        service = find_service(made.saved.code, revision)
        assert service is not None
        assert service.short_code == code


def test_the_last_of_two_services_counts(member: StaffMember) -> None:
    made = create_setup(request())
    codes = []
    for _visit in range(2):
        codes.append(safe_record(member, made.saved.code))
        close_record(member, codes[-1])
    assert [getattr(find_service(made.saved.code, n), "short_code", None) for n in (1, 2, 3)] == [None, *codes]


def test_every_change_stays_in_the_history(member: StaffMember) -> None:
    code = open_record(member, Arrival(bike_label="Heron 4")).short_code
    save_step(member, code, "seals", "done", {"what": "wipers"})
    save_step(member, code, "seals", "done", {"what": "wipers and piston"})
    save_step(member, code, "seals", "open")
    _record, changes = find_record(member.shop_id, code)
    assert [change.number for change in changes] == [1, 2, 3, 4]
    assert [change.detail.get("values") for change in changes[1:3]] == [
        {"what": "wipers"},
        {"what": "wipers and piston"},
    ]
    assert {change.made_by for change in changes} == {"mira"}


def test_an_unknown_record_or_step_is_refused(member: StaffMember) -> None:
    code = open_record(member, Arrival(bike_label="Heron 4")).short_code
    with pytest.raises(RecordUnknownError):
        save_step(member, code, "nothing", "done")
    for wrong in ("", "000000", "zz", "%", "a" * 500):
        with pytest.raises(RecordUnknownError):
            find_record(member.shop_id, wrong)


def test_a_record_that_the_rules_refuse_says_why_and_stays_open(member: StaffMember) -> None:
    code = safe_record(member, create_setup(request()).saved.code)
    save_step(member, code, "travel", "done", TRAVEL | {"after_mm": 30.0})
    with pytest.raises(RecordBlockedError, match="Fork travel: 30 mm is outside 40 to 220 mm"):
        close_record(member, code)
    assert find_record(member.shop_id, code)[0].is_open


def test_a_closed_record_refuses_every_change(member: StaffMember) -> None:
    code = safe_record(member, create_setup(request()).saved.code)
    close_record(member, code)
    with pytest.raises(RecordClosedError):
        save_step(member, code, "seals", "done", {"what": "wipers"})
    with pytest.raises(RecordClosedError):
        save_draft_setup(member, code, request())


def test_what_a_rider_told_for_a_record_never_closed_is_erased_in_time(app: Flask, member: StaffMember) -> None:
    code = open_record(member, Arrival(bike_label="Heron 4")).short_code
    save_draft_setup(member, code, request())
    soon = datetime.now(UTC) + timedelta(days=app.config["RETENTION_DAYS"] - 1)
    purge_expired(soon)
    assert find_record(member.shop_id, code)[0].draft is not None
    purge_expired(soon + timedelta(days=2))
    assert find_record(member.shop_id, code)[0].draft is None


def test_a_note_longer_than_a_setup_holds_is_cut_at_a_word(member: StaffMember) -> None:
    code = open_record(member, Arrival(bike_label="Heron 4")).short_code
    save_step(member, code, "seals", "done", {"what": "seal " * 60})
    note = describe_service(find_record(member.shop_id, code)[0])
    assert len(note) <= 200
    assert note.endswith("seal…")


def test_a_checklist_without_its_fixed_steps_or_with_a_step_twice_is_refused(member: StaffMember) -> None:
    own = Step(key="own", kind="tick", title="Own")
    for steps in (
        [own],
        [*DEFAULT_STEPS, own, own],
        [*DEFAULT_STEPS, *(Step(key=str(n), kind="tick", title="x") for n in range(30))],
    ):
        with pytest.raises(ChecklistError):
            save_checklist(member, steps)
    save_checklist(member, [own, *DEFAULT_STEPS])
    assert open_record(member, Arrival(bike_label="Heron 4")).steps[0] == own


def test_pages_are_counted(member: StaffMember) -> None:
    for n in range(3):
        open_record(member, Arrival(bike_label=f"Swift {n}"))
    page = find_records(member.shop_id, "swift", page=2)
    assert (page.total, page.pages, page.records) == (3, 1, ())


def test_steps_come_back_from_storage_as_they_were() -> None:
    step = Step(key="torque", kind="torque", title="Top cap", state="done", values={"torque": 7.0})
    assert record_queries.read_steps([{**record_queries.step_data(step), "later": 1}]) == (step,)


def test_two_shops_may_have_the_same_short_code_and_never_meet(member: StaffMember) -> None:
    other = open_shop("Harbour Wheels", "ines", "a long enough pass phrase")
    code = open_record(member, Arrival(bike_label="Heron 4")).short_code
    with pytest.raises(RecordUnknownError):
        find_record(other.shop_id, code)
    twin = open_record(other, Arrival(bike_label="Otter")).short_code
    with database.write() as connection:
        connection.exec_driver_sql(f"UPDATE bench_record SET short_code = '{code}' WHERE short_code = '{twin}'")  # noqa: S608
    assert find_record(other.shop_id, code)[0].bike_label == "Otter"
    assert find_record(member.shop_id, code)[0].bike_label == "Heron 4"


COIL = {"travel_mm": 140, "spring": "coil", "longest_travel_mm": None, "stanchion_mm": 34}


def test_a_record_of_a_coil_asks_for_preload_and_none_of_air(member: StaffMember) -> None:
    saved = create_setup(request(**COIL)).saved
    record = open_record(member, Arrival(bike_label="Heron 9", setup_code=saved.code))
    assert "preload" in {step.key for step in record.steps}
    assert not {"release", "release_again", "leak"} & {step.key for step in record.steps}
    for key in ("eyes", "preload"):
        save_step(member, record.short_code, key, "done")
    closed = close_record(member, record.short_code)
    assert closed.saved.setup.front is not None
    assert closed.saved.setup.front.coil is not None


def test_the_steps_follow_when_the_spring_is_known_later(member: StaffMember) -> None:
    record = open_record(member, Arrival(bike_label="Heron 9"))
    assert "release" in {step.key for step in record.steps}
    save_draft_setup(member, record.short_code, request(**COIL))
    assert "release" not in steps_of(member, record.short_code)
    save_draft_setup(member, record.short_code, request())
    assert {"release", "release_again"} <= steps_of(member, record.short_code)


def steps_of(member: StaffMember, code: str) -> set[str]:
    """Return the keys of the steps of a record."""
    return {step.key for step in find_record(member.shop_id, code)[0].steps}
