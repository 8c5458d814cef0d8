"""A fork of the library learns: from bikes that have it and setups that chose it, for others, until it is let go."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules import SagCheck, SetupRequest
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.staff import StaffMember
from webapp.checks.actions.check_sag import check_sag
from webapp.checks.actions.strike_check import strike_check
from webapp.demo_day.actions.create_bike import create_bike
from webapp.demo_day.actions.report_event import report_event
from webapp.demo_day.actions.set_up_bike import set_up_bike
from webapp.ground.database.engine import database
from webapp.library.actions.find_suspension_units import find_suspension_unit
from webapp.library.actions.save_suspension_unit import save_suspension_unit
from webapp.library.actions.unit_learning import UnitLearning, forget_learned, learned_of_unit
from webapp.library.parsing import read_suspension_unit
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.queries.setups import erase
from webapp.setups.revision import Revision
from webapp.workshop.actions.change_record import save_step
from webapp.workshop.actions.close_record import close_record
from webapp.workshop.actions.find_records import find_record
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.actions.serviced_setup import expected_setup
from webapp.workshop.entries import Arrival

PASSWORD = "three grey herons asleep"  # noqa: S105 it opens an invented shop
UNIT = {"kind": "fork", "name": "Fen 34", "travels_mm": [140], "stanchion_mm": 34, "max_pressure_psi": 160}
FORM = {
    "rider_mass_kg": "80",
    "riding_style": "trail",
    "front.wanted": "y",
    "front_unit": "fen 34",
    "front.travel_mm": "140",
}


@pytest.fixture
def member(app: Flask) -> StaffMember:
    with app.app_context():
        found = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        save_suspension_unit(found.shop_id, read_suspension_unit(UNIT))
        return found


@pytest.fixture
def desk(client: FlaskClient, member: StaffMember) -> FlaskClient:
    assert client.post("/shop/log-in", data={"login": member.login, "password": PASSWORD}).status_code == 303
    return client


def enter(client: FlaskClient, **more: str) -> str:
    """Save a setup in the form and return its code."""
    sent = client.post("/", data={**FORM, **more})
    assert sent.status_code == 303, sent.text
    return sent.headers["Location"].rsplit("/", 1)[1]


def add_bike(member: StaffMember, number: str, **more: Any) -> int:
    return create_bike(member.shop_id, {"number": number, "front": {"unit": "Fen 34", **more}}).bike_id


def ride(member: StaffMember, bike: int, kg: float = 75.0) -> Revision:
    return set_up_bike(member, bike, {"rider_mass_kg": kg}).created.saved


def check(saved: Revision, share: float = 1.3) -> None:
    """Take a sag check that reads so much of its target at the pressure asked for."""
    end = saved.setup.front
    assert end is not None
    read = SagCheck(end="front", pressure_pa=end.pressure_pa, readings_mm=(round(share * end.sag_target_mm),))
    check_sag(saved.code, replace(read, confirm=True))


def pressure(saved: Revision) -> float:
    assert saved.setup.front is not None
    return saved.setup.front.pressure_pa


def asked(saved: Revision) -> Any:
    request: SetupRequest = saved.setup.request
    assert request.front is not None
    return request.front.unit_memory


def learned(member: StaffMember) -> UnitLearning:
    return learned_of_unit(member.shop_id, 1)


def reasons(saved: Revision) -> list[str]:
    return [note.code for note in saved.setup.reasons]


def test_another_bike_with_the_fork_begins_from_what_the_first_one_taught(app: Flask, member: StaffMember) -> None:
    with app.app_context():
        first, second = add_bike(member, "1"), add_bike(member, "2")
        before = ride(member, second)
        assert asked(before) is None
        check(ride(member, first))
        after = ride(member, second)
        assert (asked(after).riders, "front_unit" in reasons(after)) == (1, True)
        assert pressure(after) > pressure(before)
        # The bike that taught has it from itself, in full and once.
        again = ride(member, first)
        assert asked(again) is None
        assert "front_bike" in reasons(again)
        assert pressure(again) > pressure(after)


def test_a_setup_of_the_form_teaches_bikes_and_forms_until_it_is_deleted(
    app: Flask, desk: FlaskClient, member: StaffMember
) -> None:
    code = enter(desk)
    with app.app_context():
        saved = find_setup(code)
        assert asked(saved) is None
        check(saved)
        assert learned(member).riders == 1
        assert asked(ride(member, add_bike(member, "1"))).riders == 1
    other = enter(desk, rider_mass_kg="70")
    with app.app_context():
        assert asked(find_setup(other)).riders == 1
        strike_check(code, 0, struck=True)
        assert learned(member) == UnitLearning()
        check(find_setup(code))
        assert learned(member).riders == 1
        with database.write() as connection:
            erase(connection, [1], datetime.now(UTC))
        assert learned(member) == UnitLearning()
        with database.read() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM unit_setup").scalar_one() == 1  # the other's


def test_a_first_setup_of_a_service_record_learns_and_teaches(
    app: Flask, desk: FlaskClient, member: StaffMember
) -> None:
    with app.app_context():
        check(ride(member, add_bike(member, "1")))
        code = open_record(member, Arrival(bike_label="Heron 4")).short_code
        for key in ("eyes", "release", "release_again", "clearance"):
            save_step(member, code, key, "done")
    assert desk.post(f"/shop/bench/{code}/setup", data=FORM).status_code == 303
    with app.app_context():
        record, _history = find_record(member.shop_id, code)
        expected = expected_setup(record)
        saved = close_record(member, code).saved
        assert expected == saved.setup
        assert asked(saved).riders == 1
        check(saved)
        assert learned(member).riders == 2


def test_a_spring_described_otherwise_neither_learns_nor_teaches(
    app: Flask, desk: FlaskClient, member: StaffMember
) -> None:
    with app.app_context():
        check(ride(member, add_bike(member, "1", bore_mm=30)))
        assert learned(member) == UnitLearning()
        check(ride(member, add_bike(member, "2")))
        assert learned(member).riders == 1
    code = enter(desk, **{"front.bore_mm": "30"})
    with app.app_context():
        assert asked(find_setup(code)) is None


def test_other_internals_end_it_and_other_limits_do_not(app: Flask, member: StaffMember) -> None:
    with app.app_context():
        code = ride(member, add_bike(member, "1"))
        check(code)
        save_suspension_unit(1, read_suspension_unit({**UNIT, "max_pressure_psi": 150}), suspension_unit_id=1)
        assert learned(member).riders == 1
        save_suspension_unit(1, read_suspension_unit({**UNIT, "bore_mm": 30.5}), suspension_unit_id=1)
        assert learned(member) == UnitLearning()
        check(ride(member, add_bike(member, "2")))
        assert learned(member).riders == 1


def test_a_leak_on_a_bike_ends_what_that_bike_taught(app: Flask, member: StaffMember) -> None:
    with app.app_context():
        bike = add_bike(member, "1")
        check(ride(member, bike))
        report_event(member.shop_id, bike, {"end": "front", "event": "leak"})
        assert learned(member) == UnitLearning()


def test_the_owner_looks_at_it_lets_it_go_and_takes_that_back(
    app: Flask, desk: FlaskClient, member: StaffMember
) -> None:
    page = desk.get("/shop/units/1").text
    assert "No sag check has taught anything of it yet" in page
    assert "Forget what was learned" not in page
    with app.app_context():
        bike = add_bike(member, "1")
        check(ride(member, bike))
    page = desk.get("/shop/units/1").text
    assert re.search(r"From the sag checks of one rider since .* more pressure than is typical", page)
    for forget, riders in (("1", 0), ("0", 1)):
        sent = desk.post("/shop/units/1/learned", data={"forget": forget})
        assert sent.status_code == 303
        with app.app_context():
            assert learned(member).riders == riders
            assert "front_bike" in reasons(ride(member, bike))  # the bike's own is its own
        assert ("What was learned before" in desk.get("/shop/units/1").text) == (forget == "1")


def test_no_body_can_send_it_and_another_shop_does_not_learn(app: Flask, client: FlaskClient) -> None:
    sent = {"riders": 3, "shift": [9, 0, 0], "precision": [90, 0, 0, 0, 0, 0]}
    body = {"rider_mass_kg": 70, "riding_style": "trail", "front": {"travel_mm": 140, "unit_memory": sent}}
    answer = client.post("/api/v1/setups", json=body)
    assert answer.status_code == 422
    assert "front.unit_memory" in answer.text
    with app.app_context():
        one, two = open_shop("One", "ida", PASSWORD), open_shop("Two", "jon", PASSWORD)
        for shop in (one, two):
            save_suspension_unit(shop.shop_id, read_suspension_unit(UNIT))
        check(ride(one, add_bike(one, "1")))
        assert asked(ride(two, add_bike(two, "1"))) is None


def test_the_unit_itself_is_not_changed_by_forgetting(app: Flask, member: StaffMember) -> None:
    with app.app_context():
        before = find_suspension_unit(member.shop_id, 1)
        forget_learned(member, 1, forget=True)
        assert find_suspension_unit(member.shop_id, 1) == before
