"""Closing looks at everything as left: what cannot be is refused, what is odd is asked about again."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask

from setup_rules import read_request
from webapp.accounts.actions.find_session import find_session
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.staff import StaffMember
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.workshop.actions.change_record import save_left_state, save_step
from webapp.workshop.actions.close_record import close_record, find_obstacles
from webapp.workshop.actions.find_records import find_record
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.actions.records import RecordBlockedError
from webapp.workshop.actions.serviced_setup import expected_setup
from webapp.workshop.entries import Arrival, Left

SAFE = ("eyes", "release", "release_again")
SHOCK = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.5, "max_pressure_psi": 300, "rebound_clicks": 12}
FORK = {"travel_mm": 140, "stanchion_mm": 35, "rebound_clicks": 16}


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


def left_record(member: StaffMember, end: str, asked: dict[str, Any], left: dict[str, Any]) -> str:
    """Open a record of a bike with one end, note how it left, and return its code; every safety step is done."""
    request = read_request({"rider_mass_kg": 78, "riding_style": "trail", end: asked})
    made = create_setup(request)
    record = open_record(member, Arrival(bike_label="Heron 4", spring_end=end, setup_code=made.saved.code))
    for key in SAFE:
        save_step(member, record.short_code, key, "done")
    save_left_state(member, record.short_code, Left(values=left))
    return record.short_code


def obstacles(member: StaffMember, code: str) -> Any:
    """Return what stands against closing a record."""
    return find_obstacles(find_record(member.shop_id, code)[0])


def test_340_psi_on_a_300_psi_shock_is_refused(member: StaffMember) -> None:
    code = left_record(member, "rear", SHOCK, {"pressure_psi": 340.0})
    with pytest.raises(RecordBlockedError, match="340 psi is above the maximum of 300 psi"):
        close_record(member, code)
    record, _history = find_record(member.shop_id, code)
    assert record.is_open
    assert record.setup_code
    assert find_setup(record.setup_code).latest_number == 1
    # No confirmation helps: it is a limit, not a question.
    with pytest.raises(RecordBlockedError):
        close_record(member, code, confirmed=obstacles(member, code).key)


def test_a_sag_does_not_hide_that_the_pressure_is_above_the_maximum(member: StaffMember) -> None:
    """With a sag at 340 psi only the model spoke, of pressures that it could take: more than the maximum."""
    code = left_record(member, "front", FORK | {"max_pressure_psi": 150}, {"pressure_psi": 340.0, "sag_mm": 32.0})
    found = obstacles(member, code)
    assert found.reasons == (
        "Final settings: 340 psi is above the maximum of 150 psi. Let air out, or correct the number.",
    )
    assert "can be used" not in " ".join(found.questions)
    assert expected_setup(find_record(member.shop_id, code)[0]) is not None


@pytest.mark.parametrize(
    ("end", "asked", "left", "sentence"),
    [
        ("front", FORK, {"pressure_psi": 125.0}, "above our cautious maximum"),
        ("front", FORK | {"max_pressure_psi": 160}, {"pressure_psi": 150.0}, "far from the calculated"),
        ("front", FORK | {"max_pressure_psi": 160}, {"pressure_psi": 30.0}, "far from the calculated"),
        ("front", FORK, {"rebound_out": 19}, "19 clicks out is more than its 16"),
        ("rear", SHOCK, {"rebound_out": 13}, "13 clicks out is more than its 12"),
        ("front", FORK, {"sag_mm": 30.0}, "Sag without a pressure"),
    ],
)
def test_what_is_odd_is_asked_about_again(
    member: StaffMember, end: str, asked: dict[str, Any], left: dict[str, Any], sentence: str
) -> None:
    code = left_record(member, end, asked, left)
    with pytest.raises(RecordBlockedError, match=sentence):
        close_record(member, code)
    found = obstacles(member, code)
    assert found.reasons == ()
    assert sentence in " ".join(found.questions)
    # What was agreed to is what was shown, not whatever comes later.
    with pytest.raises(RecordBlockedError):
        close_record(member, code, confirmed="another question's key")
    close_record(member, code, confirmed=found.key)
    assert not find_record(member.shop_id, code)[0].is_open


def test_an_assumed_maximum_gives_way_to_the_printed_one(member: StaffMember) -> None:
    code = left_record(member, "front", FORK, {"pressure_psi": 125.0, "max_pressure_psi": 150.0})
    found = obstacles(member, code)
    assert not any("maximum" in question for question in found.questions)
    saved = close_record(member, code, confirmed=found.key).saved
    assert saved.setup.request.front is not None
    assert saved.setup.request.front.max_pressure_psi == 150


def test_what_was_calculated_and_set_closes_without_a_question(member: StaffMember) -> None:
    code = left_record(member, "front", FORK, {"pressure_psi": 78.0, "rebound_out": 8})
    assert obstacles(member, code).questions == ()
    close_record(member, code)


def test_a_record_that_changed_after_a_broken_closing_is_closed_as_it_is_now(
    member: StaffMember, monkeypatch: pytest.MonkeyPatch
) -> None:
    code = left_record(member, "front", FORK, {"volume_spacers": 1})
    module = close_record.__globals__
    with monkeypatch.context() as broken:
        broken.setitem(module, "keep", _power_cut)
        with pytest.raises(RuntimeError, match="power cut"):
            close_record(member, code)
    save_left_state(member, code, Left(values={"volume_spacers": 2}))
    saved = close_record(member, code).saved
    assert saved.setup.front is not None
    assert saved.setup.front.volume_spacers == 2


def test_grease_at_the_air_piston_takes_room_from_the_air(member: StaffMember) -> None:
    code = left_record(member, "rear", SHOCK, {})
    grease = {"what": "grease", "place": "air", "amount_cm3": 3.0}
    save_step(member, code, "lubricant", "done", grease)
    saved = close_record(member, code).saved
    assert saved.setup.request.rear is not None
    assert saved.setup.request.rear.air_lubricant_cm3 == 3.0
    bare = find_setup(saved.code, 1).setup.rear
    assert bare is not None
    assert saved.setup.rear is not None
    # 3 of about 40 cm³ at the end of the stroke: the last millimetre gets firmer by several per cent.
    assert 1.03 < saved.setup.rear.full_force_n / bare.full_force_n < 1.25


def test_oil_in_the_lower_legs_takes_none(member: StaffMember) -> None:
    code = left_record(member, "front", FORK, {})
    save_step(member, code, "lubricant", "done", {"what": "oil", "place": "left", "amount_cm3": 10.0})
    saved = close_record(member, code).saved
    assert saved.setup.request.front is not None
    assert saved.setup.request.front.air_lubricant_cm3 == 0.0


def _power_cut(*_given: Any) -> None:
    raise RuntimeError("power cut")
