"""Bikes through the JSON interface: made, ridden, checked, confirmed; taught exactly once, and by nobody's weight."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from setup_rules.types.request import ShopChecks
from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.log_in import log_in
from webapp.accounts.actions.manage_staff import close_account
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.actions.tokens import create_token, list_tokens, revoke_token
from webapp.accounts.staff import StaffMember
from webapp.checks.actions.strike_check import strike_check
from webapp.ground.database.engine import database
from webapp.library.actions.class_factors import factor_states, go_back, use_factors
from webapp.library.actions.save_suspension_unit import save_suspension_unit
from webapp.library.parsing import read_suspension_unit
from webapp.setups.actions.delete_setup import delete_setup

PASSWORD = "three grey herons asleep"  # noqa: S105 it opens an invented shop
FRONT = {"travel_mm": 160, "stanchion_mm": 36, "rebound_clicks": 16, "max_pressure_psi": 150}
REAR = {"stroke_mm": 60, "leverage_start": 2.8, "leverage_end": 2.4, "rebound_clicks": 14, "max_pressure_psi": 300}
BIKE = {"number": "17", "label": "Heron 4, rust", "bike_mass_kg": 15, "riding_style": "enduro", "front": FRONT}


@dataclass
class Tool:
    """A shop's own tool with its token."""

    client: FlaskClient
    member: StaffMember
    token: str

    def send(self, path: str, body: Any = None, **headers: str) -> TestResponse:
        """POST with a body, GET without one."""
        sent = {"Authorization": f"Bearer {self.token}"} | {k.replace("_", "-"): v for k, v in headers.items()}
        method = "GET" if body is None else "POST"
        return self.client.open(f"/api/v1{path}", method=method, json=body, headers=sent)

    def bike(self, **more: Any) -> int:
        """Make the bike and return its number for the interface."""
        made = self.send("/bikes", {**BIKE, **more})
        assert made.status_code == 201, made.json
        return int(made.json["bike"])  # type: ignore[index]

    def ride(self, bike: int, kg: float) -> dict[str, Any]:
        """Make a rider's setup on a bike."""
        made = self.send(f"/bikes/{bike}/setups", {"rider_mass_kg": kg})
        assert made.status_code == 201, made.json
        return dict(made.json)  # type: ignore[arg-type]

    def check(self, setup: dict[str, Any], share: float = 1.2, **headers: str) -> dict[str, Any]:
        """Take a sag check that reads so much of its target at the pressure asked for; the link alone is needed."""
        end = setup["front"]
        read = [round(share * end["sag_target_mm"])]
        body = {"end": "front", "pressure_psi": end["pressure_psi"], "readings_mm": read, "confirm": True}
        answer = self.client.post(f"/api/v1/setups/{setup['code']}/sag-checks", json=body, headers=headers)
        assert answer.status_code == 201, answer.json
        return dict(answer.json)  # type: ignore[arg-type]

    def learned(self, bike: int, end: str = "front") -> Any:
        """Return what the interface says that a spring has taught."""
        return self.send(f"/bikes/{bike}").json[end]["learned"]  # type: ignore[index]


@pytest.fixture
def tool(app: Flask, client: FlaskClient) -> Tool:
    with app.app_context():
        member = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        return Tool(client, member, create_token(member, "demo desk"))


@pytest.fixture
def other(app: Flask, client: FlaskClient) -> Tool:
    with app.app_context():
        member = open_shop("Harbour Wheels", "ines", PASSWORD)
        return Tool(client, member, create_token(member, "till"))


def rows(app: Flask, table: str) -> list[tuple[Any, ...]]:
    with app.app_context(), database.read() as connection:
        return [tuple(row) for row in connection.exec_driver_sql(f"SELECT * FROM {table}")]  # noqa: S608


def memory(app: Flask) -> dict[str, Any]:
    """Return the first memory as it is stored: SQLite gives its text, PostgreSQL what it means."""
    found = rows(app, "bike_memory")[0][2]
    return dict(json.loads(found) if isinstance(found, str) else found)


def test_a_bike_is_made_and_shown_with_number_tag_and_ends(tool: Tool) -> None:
    made = tool.send("/bikes", {**BIKE, "rear": REAR})
    assert made.status_code == 201
    body = made.json
    assert body is not None
    assert made.headers["Location"] == f"https://cards.example/api/v1/bikes/{body['bike']}"
    assert (body["number"], body["label"], body["bike_mass_kg"], body["version"]) == ("17", "Heron 4, rust", 15, 1)
    assert len(body["tag"]) == 26
    assert body["front"]["fitted"]["travel_mm"] == 160
    assert body["rear"]["learned"] is None
    assert body["rear"]["standing"] is None
    assert tool.send(f"/bikes/{body['bike']}").json == body


def test_a_bike_takes_its_fork_from_the_library(app: Flask, tool: Tool) -> None:
    with app.app_context():
        fork = {"kind": "fork", "name": "Fen 34", "travels_mm": [140], "stanchion_mm": 34, "max_pressure_psi": 120}
        save_suspension_unit(tool.member.shop_id, read_suspension_unit(fork))
    made = tool.send("/bikes", {"number": "3", "front": {"unit": "fen 34"}})
    assert made.status_code == 201, made.json
    front = made.json["front"]  # type: ignore[index]
    assert front["unit"] == "Fen 34"
    assert (front["fitted"]["travel_mm"], front["fitted"]["max_pressure_psi"]) == (140, 120)
    unknown = tool.send("/bikes", {"number": "4", "front": {"unit": "Reed 99"}})
    assert unknown.status_code == 422
    assert "front.unit" in {one["field"] for one in unknown.json["errors"]}  # type: ignore[index]


@pytest.mark.parametrize(
    ("body", "fields"),
    [
        ({}, {"number", "front"}),
        ({"number": "1"}, {"front"}),
        ({"number": 5, "front": FRONT}, {"number"}),
        ({"number": "x" * 21, "front": FRONT}, {"number"}),
        ({"number": "1", "colour": "red", "front": FRONT}, {"colour"}),
        ({"number": "1", "front": {**FRONT, "travel_mm": 9000, "memory": {}}}, {"front.travel_mm", "front.memory"}),
        ({"number": "1", "front": FRONT, "rider_mass_kg": 78}, {"rider_mass_kg"}),
        ({"number": "1", "front": 5}, {"front"}),
    ],
)
def test_what_is_wrong_with_a_bike_is_named_and_nothing_stored(
    app: Flask, tool: Tool, body: dict[str, Any], fields: set[str]
) -> None:
    refused = tool.send("/bikes", body)
    assert refused.status_code == 422
    assert {one["field"] for one in refused.json["errors"]} >= fields  # type: ignore[index]
    assert rows(app, "bike") == []


def test_a_number_is_taken_once_and_a_key_repeats(app: Flask, tool: Tool, other: Tool) -> None:
    first = tool.send("/bikes", BIKE, Idempotency_Key="a-1")
    again = tool.send("/bikes", BIKE, Idempotency_Key="a-1")
    assert (again.status_code, again.json) == (201, first.json)
    assert tool.send("/bikes", {**BIKE, "label": "Other"}, Idempotency_Key="a-1").status_code == 409
    assert tool.send("/bikes", {**BIKE, "number": " 17 "}).status_code == 422
    assert other.send("/bikes", BIKE, Idempotency_Key="a-1").status_code == 201
    assert len(rows(app, "bike")) == 2


def test_a_setup_on_a_bike_says_what_to_change_and_only_the_confirmed_stands(tool: Tool) -> None:
    bike = tool.bike()
    light = tool.ride(bike, 60)
    assert light["bike"] == bike
    assert {one["what"]: one["before"] for one in light["changes"]} == {
        "pressure_psi": None,
        "rebound_clicks_out": None,
    }
    heavy = tool.ride(bike, 95)
    assert all(one["before"] is None for one in heavy["changes"])  # nobody confirmed anything yet
    stands = tool.send(f"/bikes/{bike}/standing", {"setup": light["code"]})
    assert stands.status_code == 200
    assert stands.json["front"]["standing"]["pressure_psi"] == light["front"]["pressure_psi"]  # type: ignore[index]
    changes = {one["what"]: one for one in tool.ride(bike, 95)["changes"]}
    assert changes["pressure_psi"]["before"] == light["front"]["pressure_psi"]
    assert changes["pressure_psi"]["after"] == heavy["front"]["pressure_psi"]
    typed = tool.send(f"/bikes/{bike}/standing", {"setup": heavy["code"], "front": {"pressure_psi": 88.5}})
    assert typed.json["front"]["standing"] == {  # type: ignore[index]
        "pressure_psi": 88.5,
        "rebound_clicks_out": heavy["front"]["rebound_clicks_out"],
        "compression_clicks_out": None,
        "spring_rate_n_per_mm": None,
        "preload_mm": None,
    }
    same = {one["what"] for one in tool.ride(bike, 95)["changes"]}
    assert same == {"pressure_psi"}


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"front": {"pressure_psi": -3}},
        {"front": {"rebound_clicks_out": 17}},
        {"rear": {"pressure_psi": 90}},
        {"side": {}},
        {"front": {"colour": 1}},
        {"setup": 5},
    ],
)
def test_what_cannot_stand_on_a_bike_is_refused(tool: Tool, body: dict[str, Any]) -> None:
    bike = tool.bike()
    assert tool.send(f"/bikes/{bike}/standing", body).status_code == 422
    assert tool.send(f"/bikes/{bike}").json["stands_since"] is None  # type: ignore[index]


def test_a_setup_of_another_bike_is_not_set_on_this_one(tool: Tool) -> None:
    one, two = tool.bike(), tool.bike(number="18")
    code = tool.ride(two, 70)["code"]
    assert tool.send(f"/bikes/{one}/standing", {"setup": code}).status_code == 422


def test_a_check_teaches_the_bike_and_the_next_rider_starts_from_it(tool: Tool) -> None:
    bike = tool.bike()
    plain = tool.ride(bike, 95)["front"]
    first = tool.ride(bike, 60)
    assert tool.learned(bike) is None
    tool.check(first)
    assert tool.learned(bike)["riders"] == 1
    tool.check(tool.ride(bike, 80))
    learned = tool.learned(bike)
    assert learned["riders"] == 2
    assert learned["pressure_from_typical_percent"] > 5
    after = tool.ride(bike, 95)
    assert after["front"]["pressure_psi"] > 1.05 * plain["pressure_psi"]
    ratio = after["front"]["pressure_high_psi"] / after["front"]["pressure_low_psi"]
    assert ratio < plain["pressure_high_psi"] / plain["pressure_low_psi"]
    assert any("2 earlier riders" in one["message"] for one in after["reasons"])


def test_what_the_shop_lets_its_own_checks_move_reaches_its_bikes_on_off_and_back(app: Flask, tool: Tool) -> None:
    bike = tool.bike()
    plain = tool.ride(bike, 80)
    more = ShopChecks(spring_class="fork_36_air", checks=30, factor=1.15, factor_sigma=0.03)
    with app.app_context():
        use_factors(tool.member, (more,))
    moved = tool.ride(bike, 80)
    assert moved["front"]["pressure_psi"] > 1.05 * plain["front"]["pressure_psi"]
    assert any("30 first sag checks" in one["message"] for one in moved["reasons"])
    with app.app_context():
        use_factors(tool.member, ())
    assert tool.ride(bike, 80)["front"] == plain["front"]
    with app.app_context():
        go_back(tool.member, factor_states(tool.member.shop_id)[1].number)
    assert tool.ride(bike, 80)["front"] == moved["front"]


def test_a_bike_that_was_taught_itself_is_not_moved_by_the_shop_as_well(app: Flask, tool: Tool) -> None:
    bike = tool.bike()
    tool.check(tool.ride(bike, 70))
    plain = tool.ride(bike, 80)["front"]
    with app.app_context():
        use_factors(tool.member, (ShopChecks(spring_class="fork_36_air", checks=30, factor=1.15, factor_sigma=0.03),))
    assert tool.ride(bike, 80)["front"] == plain


def test_a_repeat_after_the_switch_is_the_same_setup_and_another_shops_switch_is_not_ours(
    app: Flask, tool: Tool, other: Tool
) -> None:
    bike = tool.bike()
    first = tool.send(f"/bikes/{bike}/setups", {"rider_mass_kg": 80}, Idempotency_Key="k-1").json
    more = ShopChecks(spring_class="fork_36_air", checks=30, factor=1.15, factor_sigma=0.03)
    with app.app_context():
        use_factors(other.member, (more,))
    assert tool.ride(bike, 80)["front"] == first["front"]  # type: ignore[index]
    with app.app_context():
        use_factors(tool.member, (more,))
    again = tool.send(f"/bikes/{bike}/setups", {"rider_mass_kg": 80}, Idempotency_Key="k-1")
    assert (again.status_code, again.json["code"]) == (201, first["code"])  # type: ignore[index]


def test_the_next_rider_does_not_depend_on_what_the_last_one_weighed_or_wished(tool: Tool) -> None:
    bike = tool.bike()
    alone = tool.ride(bike, 70)["front"]
    tool.send(f"/bikes/{bike}/setups", {"rider_mass_kg": 120, "riding_style": "downhill", "kit_mass_kg": 12})
    assert tool.ride(bike, 70)["front"] == alone


def test_a_check_that_is_sent_twice_teaches_once(app: Flask, tool: Tool) -> None:
    setup = tool.ride(tool.bike(), 70)
    tool.check(setup, **{"Idempotency-Key": "one-check"})
    once = rows(app, "bike_memory")
    tool.check(setup, **{"Idempotency-Key": "one-check"})
    assert rows(app, "bike_memory") == once


def test_a_second_check_of_one_rider_makes_no_second_rider_and_a_struck_one_is_taken_back(
    app: Flask, tool: Tool
) -> None:
    bike = tool.bike()
    tool.check(tool.ride(bike, 85))
    before = memory(app)
    setup = tool.ride(bike, 70)
    setup |= tool.check(setup, 1.5)
    wrong = memory(app)
    assert wrong["riders"] == 2
    tool.check(setup, 1.0)
    assert tool.learned(bike)["riders"] == 2
    with app.app_context():
        strike_check(setup["code"], 0, struck=True)
        assert tool.learned(bike)["riders"] == 2
        strike_check(setup["code"], 1, struck=True)
    back = memory(app)
    assert back["riders"] == 1
    assert back["precision"] == pytest.approx([0.98 * one for one in before["precision"]], rel=0.02, abs=0.05)
    assert back["shift"] == pytest.approx([0.98 * one for one in before["shift"]], rel=0.02, abs=0.05)
    assert len([row for row in rows(app, "bike_lesson") if not re.search(r"riders.: ?0", str(row))]) == 1


def test_a_deleted_setup_leaves_what_it_taught_and_no_row_of_its_own(app: Flask, tool: Tool) -> None:
    bike = tool.bike()
    made = tool.send(f"/bikes/{bike}/setups", {"rider_mass_kg": 70})
    setup = dict(made.json)  # type: ignore[arg-type]
    tool.check(setup)
    learned = rows(app, "bike_memory")
    with app.app_context():
        delete_setup(made.headers["Setup-Owner-Link"].rpartition("/")[2])
    assert rows(app, "bike_memory") == learned
    assert rows(app, "bike_lesson") == rows(app, "bike_setup") == []
    assert tool.learned(bike)["riders"] == 1


def test_nothing_that_a_bike_keeps_or_says_holds_a_weight(app: Flask, tool: Tool) -> None:
    bike = tool.bike()
    setup = tool.ride(bike, 83.5)
    setup |= tool.check(setup)
    tool.send(f"/bikes/{bike}/standing", {"setup": setup["code"]})
    kept = [rows(app, name) for name in ("bike", "bike_memory", "bike_lesson", "bike_setup")]
    said = tool.send(f"/bikes/{bike}").text + json.dumps(setup)
    for text in (repr(kept), said):
        assert "83.5" not in text
        assert "rider_mass" not in text


@pytest.mark.parametrize(
    ("event", "fitted", "riders"),
    [
        ("leak", None, None),
        ("service", None, 1),
        ("travel", {"travel_mm": 150, "longest_travel_mm": 160}, 1),
        ("spacers", {"volume_spacers": 1}, 1),
        ("another_spring", {"travel_mm": 170, "stanchion_mm": 38}, None),
    ],
)
def test_what_happens_to_a_spring_widens_or_ends_what_it_taught(
    app: Flask, tool: Tool, event: str, fitted: Any, riders: int | None
) -> None:
    bike = tool.bike()
    setup = tool.ride(bike, 70)
    tool.check(setup)
    before = memory(app)["precision"][0]
    told = tool.send(f"/bikes/{bike}/events", {"end": "front", "event": event, "fitted": fitted, "version": 1})
    assert told.status_code == 200, told.json
    assert told.json["version"] == 2  # type: ignore[index]
    assert (tool.learned(bike) or {}).get("riders") == riders
    assert memory(app)["precision"][0] < before
    for key, value in (fitted or {}).items():
        assert told.json["front"]["fitted"][key] == value  # type: ignore[index]
    again = tool.send(f"/bikes/{bike}/events", {"end": "front", "event": event, "fitted": fitted, "version": 1})
    assert again.status_code == 409
    if riders is None:
        tool.check(setup, 1.0)  # the setup began before: it teaches the mended spring nothing
        assert tool.learned(bike) is None


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"end": "front", "event": "washed"},
        {"end": "rear", "event": "leak"},
        {"end": "front", "event": "leak", "fitted": {"travel_mm": 150}},
        {"end": "front", "event": "travel", "fitted": {"travel_mm": 9}},
        {"end": "front", "event": "another_spring"},
        {"end": "front", "event": "leak", "fitted": 4},
    ],
)
def test_an_event_that_cannot_be_is_refused(tool: Tool, body: dict[str, Any]) -> None:
    bike = tool.bike()
    assert tool.send(f"/bikes/{bike}/events", body).status_code == 422
    assert tool.send(f"/bikes/{bike}").json["version"] == 1  # type: ignore[index]


def test_a_rider_brings_no_bike_and_no_memory(tool: Tool) -> None:
    bike = tool.bike()
    for body in ({"rider_mass_kg": 70, "bike_mass_kg": 9}, {"rider_mass_kg": 70, "front": FRONT}, {}, []):
        assert tool.send(f"/bikes/{bike}/setups", body).status_code == 422


def test_a_repeated_setup_is_the_same_even_after_the_bike_has_learned(tool: Tool) -> None:
    bike = tool.bike()
    first = tool.send(f"/bikes/{bike}/setups", {"rider_mass_kg": 70}, Idempotency_Key="ride-1")
    tool.check(tool.ride(bike, 90))
    again = tool.send(f"/bikes/{bike}/setups", {"rider_mass_kg": 70}, Idempotency_Key="ride-1")
    assert again.status_code == 201
    assert again.json["code"] == first.json["code"]  # type: ignore[index]
    assert tool.send(f"/bikes/{bike}/setups", {"rider_mass_kg": 71}, Idempotency_Key="ride-1").status_code == 409


@pytest.mark.parametrize(
    "header",
    [{}, {"Authorization": "Bearer " + "0" * 26}, {"Authorization": "Basic bWlyYTp4"}, {"Authorization": "Bearer"}],
)
def test_without_a_token_that_counts_everything_is_refused(tool: Tool, header: dict[str, str]) -> None:
    bike = tool.bike()
    asked = [("GET", f"/bikes/{bike}")] + [
        ("POST", path)
        for path in ("/bikes", f"/bikes/{bike}/setups", f"/bikes/{bike}/standing", f"/bikes/{bike}/events")
    ]
    for method, path in asked:
        answer = tool.client.open(f"/api/v1{path}", method=method, headers=header, json={})
        assert (answer.status_code, answer.headers["WWW-Authenticate"]) == (401, "Bearer")


def test_another_shop_s_token_finds_no_bike(tool: Tool, other: Tool) -> None:
    bike = tool.bike()
    for path, body in (
        (f"/bikes/{bike}", None),
        (f"/bikes/{bike}/setups", {"rider_mass_kg": 70}),
        (f"/bikes/{bike}/standing", {"front": {"pressure_psi": 60}}),
        (f"/bikes/{bike}/events", {"end": "front", "event": "leak"}),
        ("/bikes/999999999999", None),
    ):
        assert other.send(path, body).status_code == 404
    assert tool.learned(bike) is None


def test_a_revoked_token_is_refused_at_once_and_one_of_a_closed_account_forbidden(app: Flask, tool: Tool) -> None:
    bike = tool.bike()
    with app.app_context():
        create_staff(tool.member.shop_id, "tom", PASSWORD)
        tom = log_in("tom", PASSWORD, "")
        toms = Tool(tool.client, tom, create_token(tom, "phone"))
        assert toms.send(f"/bikes/{bike}").status_code == 200
        close_account(tool.member, tom.staff_id, closed=True)
        assert toms.send(f"/bikes/{bike}").status_code == 403
        mine = next(one for one in list_tokens(tool.member.shop_id) if one.name == "demo desk")
        assert mine.last_used_at is not None
        revoke_token(tool.member, mine.token_id)
    assert tool.send(f"/bikes/{bike}").status_code == 401


def test_a_token_is_kept_as_a_hash(app: Flask, tool: Tool) -> None:
    assert tool.token not in repr(rows(app, "api_token"))


def test_a_rider_s_own_file_holds_nothing_that_other_riders_taught(tool: Tool) -> None:
    bike = tool.bike()
    tool.check(tool.ride(bike, 85))
    made = tool.send(f"/bikes/{bike}/setups", {"rider_mass_kg": 70})
    setup = dict(made.json)  # type: ignore[arg-type]
    tool.check(setup)
    key = made.headers["Setup-Owner-Link"].rpartition("/")[2]
    own = tool.client.get(f"/owner/{key}/setup.json")
    assert own.status_code == 200
    assert [one["request"]["rider_mass_kg"] for one in own.json["revisions"]] == [70.0, 70.0]  # type: ignore[index]
    assert '"memory"' not in own.text
    assert "precision" not in own.text
    assert "unit_memory" not in own.text


def test_a_pressure_above_the_maximum_stands_on_no_bike_without_a_word(tool: Tool) -> None:
    bike = tool.bike()
    refused = tool.send(f"/bikes/{bike}/standing", {"front": {"pressure_psi": 300}})
    assert refused.status_code == 422
    (problem,) = refused.json["errors"]  # type: ignore[index]
    assert problem["field"] == "front.pressure_psi"
    assert "Let air out" in problem["message"]


@pytest.mark.parametrize(
    ("event", "fitted", "left"),
    [
        ("leak", None, {"pressure_psi"}),
        ("travel", {"travel_mm": 130}, {"pressure_psi"}),
        ("service", None, {"pressure_psi", "rebound_clicks_out"}),
        ("another_spring", {"travel_mm": 130}, {"pressure_psi", "rebound_clicks_out"}),
    ],
)
def test_after_the_air_was_out_nobody_knows_what_stands_there(tool: Tool, event: str, fitted: Any, left: Any) -> None:
    bike = tool.bike()
    setup = tool.ride(bike, 80)
    tool.send(f"/bikes/{bike}/standing", {"setup": setup["code"]})
    told = tool.send(f"/bikes/{bike}/events", {"end": "front", "event": event, "fitted": fitted})
    assert told.status_code == 200, told.json
    changes = {one["what"]: one["before"] for one in tool.ride(bike, 80)["changes"]}
    assert {what for what, before in changes.items() if before is None} == left


def test_a_setup_made_with_the_spring_before_teaches_the_new_one_nothing(tool: Tool) -> None:
    bike = tool.bike()
    old = tool.ride(bike, 80)
    tool.send(f"/bikes/{bike}/events", {"end": "front", "event": "another_spring", "fitted": {"travel_mm": 130}})
    tool.check(old)
    assert tool.learned(bike) is None


def test_a_check_that_is_struck_after_its_end_was_taken_out_is_taken_back(tool: Tool) -> None:
    bike = tool.bike(rear={"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4})
    setup = tool.ride(bike, 80)
    tool.check(setup)
    assert tool.learned(bike) is not None
    path = f"/api/v1/setups/{setup['code']}"
    assert tool.client.post(f"{path}/what-if", json={"front": None, "save": True}).status_code == 201
    assert tool.learned(bike) is not None
    with tool.client.application.app_context():
        strike_check(setup["code"], 0, struck=True)
    assert tool.learned(bike) is None


def test_a_reading_that_was_kept_against_a_question_teaches_nobody_elses_bike(tool: Tool) -> None:
    bike = tool.bike()
    setup = tool.ride(bike, 80)
    for _ in range(3):
        tool.check(setup, share=3.0)
    assert tool.learned(bike) is None
    assert tool.ride(bike, 80)["front"]["pressure_psi"] == setup["front"]["pressure_psi"]


def test_a_coil_end_stands_and_changes_by_its_rate_and_preload(tool: Tool) -> None:
    rear = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "spring": "coil"}
    bike = tool.bike(rear={**rear, "stocked_rates_n_per_mm": [70, 80, 90]})
    light, heavy = tool.ride(bike, 65), tool.ride(bike, 95)
    tool.send(f"/bikes/{bike}/standing", {"setup": light["code"]})
    stands = tool.send(f"/bikes/{bike}").json["rear"]["standing"]  # type: ignore[index]
    assert (stands["spring_rate_n_per_mm"], stands["pressure_psi"]) == (light["rear"]["spring_rate_n_per_mm"], None)
    changes = {(one["end"], one["what"]): (one["before"], one["after"]) for one in tool.ride(bike, 95)["changes"]}
    rates = (light["rear"]["spring_rate_n_per_mm"], heavy["rear"]["spring_rate_n_per_mm"])
    assert changes["rear", "spring_rate_n_per_mm"] == rates
    assert ("rear", "pressure_psi") not in changes
    refused = tool.send(f"/bikes/{bike}/standing", {"rear": {"pressure_psi": 90}})
    assert refused.status_code == 422


def test_a_coil_stands_on_a_bike_by_rate_and_preload_and_changes_name_both(tool: Tool) -> None:
    coil = {
        "travel_mm": 160,
        "stanchion_mm": 36,
        "spring": "coil",
        "stocked_rates_n_per_mm": [6.5, 7.5, 8.5, 9.5, 10.5],
        "preload_mm_max": 15,
        "preload_pitch_mm": 1.5,
        "rebound_clicks": 16,
    }
    bike = tool.bike(front=coil)
    light = tool.ride(bike, 60)
    named = {one["what"]: one for one in light["changes"]}
    assert {"spring_rate_n_per_mm", "preload_mm"} <= set(named)
    assert "pressure_psi" not in named
    assert named["spring_rate_n_per_mm"]["before"] is None
    assert named["spring_rate_n_per_mm"]["after"] in coil["stocked_rates_n_per_mm"]  # type: ignore[operator]
    assert tool.send(f"/bikes/{bike}/standing", {"setup": light["code"]}).status_code == 200
    stands = tool.send(f"/bikes/{bike}").json["front"]["standing"]  # type: ignore[index]
    assert stands["pressure_psi"] is None
    assert stands["spring_rate_n_per_mm"] == named["spring_rate_n_per_mm"]["after"]
    assert stands["preload_mm"] == named["preload_mm"]["after"]
    assert tool.ride(bike, 60)["changes"] == []
    heavy = {one["what"]: one for one in tool.ride(bike, 95)["changes"]}
    assert heavy["spring_rate_n_per_mm"]["before"] == stands["spring_rate_n_per_mm"]
    assert heavy["spring_rate_n_per_mm"]["after"] > stands["spring_rate_n_per_mm"]


def test_a_rider_s_own_file_holds_nothing_that_other_bikes_taught(app: Flask, tool: Tool) -> None:
    unit = {"kind": "fork", "name": "Fen 36", "travels_mm": [160], "stanchion_mm": 36, "max_pressure_psi": 150}
    with app.app_context():
        save_suspension_unit(tool.member.shop_id, read_suspension_unit(unit))
    one, two = (tool.bike(number=number, front={"unit": "Fen 36"}) for number in ("1", "2"))
    tool.check(tool.ride(one, 85))
    made = tool.send(f"/bikes/{two}/setups", {"rider_mass_kg": 70})
    assert "front_unit" in {note["code"] for note in made.json["reasons"]}  # type: ignore[index]
    key = made.headers["Setup-Owner-Link"].rpartition("/")[2]
    own = tool.client.get(f"/owner/{key}/setup.json").text
    assert "unit_memory" not in own
    assert "precision" not in own
    # The bike's own learning is its own: none of it here yet.
    assert tool.learned(two) is None


def test_a_setup_with_another_maximum_than_the_bike_s_is_not_set_above_it(app: Flask, tool: Tool) -> None:
    """A rider can enter a higher maximum at home; the bike's own is the one that holds."""
    bike = tool.bike(front={**FRONT, "max_pressure_psi": 60})
    code = tool.ride(bike, 90)["code"]
    raised = {"front.max_pressure_psi": "150", "do": "save"}
    assert app.test_client().post(f"/s/{code}/what-if", data=raised).status_code == 303
    refused = tool.send(f"/bikes/{bike}/standing", {"setup": code})
    assert refused.status_code == 422
    assert "above the maximum of 60 psi" in refused.text


def test_a_second_chamber_has_a_maximum_of_its_own(tool: Tool) -> None:
    twin = {"positive_volume_cm3": 230, "bore_mm": 34, "second_volume_cm3": 45, "second_pressure_ratio": 1.8}
    front = {"travel_mm": 160, "max_pressure_psi": 120, "second_max_pressure_psi": 180, **twin}
    bike = tool.bike(front=front)
    stands = {"front": {"pressure_psi": 70, "second_pressure_psi": 200}}
    refused = tool.send(f"/bikes/{bike}/standing", stands)
    assert refused.status_code == 422
    assert "200.0 psi is above the maximum of 180 psi" in refused.text
    assert tool.send(f"/bikes/{bike}/standing", {"front": {"second_pressure_psi": 179}}).status_code == 200
