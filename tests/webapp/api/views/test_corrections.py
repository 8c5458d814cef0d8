"""The JSON interface on a saved setup: what outside tools rely on to come back to it."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator

from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.renew_link import renew_link

SAG = {"end": "front", "pressure_psi": 84.0, "readings_mm": [36, 35, 36]}
BOUNCE = {"end": "front", "clicks_out": 8, "seen": "more"}
RIDE = {"end": "rear", "felt": ["kicks_back"]}
CHANGE = {"kit_mass_kg": 12, "rider_mass_now_kg": 78, "save": True}
BODIES = {"sag-checks": SAG, "bounce-checks": BOUNCE, "rides": RIDE, "what-if": CHANGE}
every_address = pytest.mark.parametrize("where", BODIES)

Post = Callable[..., Any]


@pytest.fixture
def saved(client: FlaskClient, whole_request: dict[str, Any]) -> dict[str, Any]:
    """The answer to a setup just saved, with its owner's key."""
    answer = client.post("/api/v1/setups", json=whole_request)
    assert answer.json is not None
    return {**answer.json, "owner_key": answer.headers["Setup-Owner-Link"].rsplit("/", 1)[1]}


@pytest.fixture
def post(client: FlaskClient, saved: dict[str, Any]) -> Post:
    """Post a body below the saved setup."""

    def send(where: str, body: Any, key: str | None = None, code: str | None = None) -> Any:
        headers = {} if key is None else {"Idempotency-Key": key}
        return client.post(f"/api/v1/setups/{code or saved['code']}/{where}", json=body, headers=headers)

    return send


def fields(answer: Any) -> list[str]:
    assert set(answer.json) == {"errors"}
    assert all(set(e) == {"field", "message"} and e["message"] for e in answer.json["errors"])
    return [e["field"] for e in answer.json["errors"]]


def revisions(client: FlaskClient, saved: dict[str, Any]) -> list[dict[str, Any]]:
    answer = client.get(f"/api/v1/setups/{saved['code']}/revisions")
    assert answer.status_code == 200
    return list((answer.json or {})["revisions"])


def test_a_sag_check_answers_with_a_new_revision_and_whether_it_is_done(saved: dict[str, Any], post: Post) -> None:
    answer = post("sag-checks", SAG)
    assert answer.status_code == 201
    assert set(answer.json) == set(saved) - {"owner_key"} | {"settled", "advice"}
    assert (answer.json["code"], answer.json["revision"], answer.json["settled"]) == (saved["code"], 2, False)
    assert answer.json["front"]["pressure_psi"] > 84
    assert answer.json["rear"] == saved["rear"]
    advice = answer.json["advice"]
    assert all(set(note) == {"code", "end", "message", "source"} for note in advice)
    assert [(note["code"], note["end"]) for note in advice] == [
        ("sag_pump", "front"),
        ("sag_where_set", "front"),
        ("rebound_follows", "front"),
        ("order_of_work", None),
    ]
    assert answer.headers["Location"] == f"https://cards.example/api/v1/setups/{saved['code']}?revision=2"


def test_a_sag_on_target_is_settled_and_keeps_the_pressure(saved: dict[str, Any], post: Post) -> None:
    pressure, target = saved["front"]["pressure_psi"], saved["front"]["sag_target_mm"]
    # The gauge's own rounding apart, the pressure as set is the pressure to keep.
    answer = post("sag-checks", {"end": "front", "pressure_psi": pressure, "readings_mm": [target] * 3})
    assert answer.json["settled"] is True
    assert answer.json["advice"][0]["code"] == "sag_settled"
    assert answer.json["front"]["pressure_psi"] == pytest.approx(pressure, abs=0.1)


def test_readings_from_both_sides_and_another_place_are_taken(post: Post) -> None:
    body = {
        "end": "front",
        "pressure_psi": 84,
        "readings_mm": [],
        "readings_from_above_mm": [30.5],
        "readings_from_below_mm": [34],
        "temperature_c": 3,
        "altitude_m": None,
        "base_revision": 1,
    }
    assert post("sag-checks", body).status_code == 201


def test_a_bounce_check_answers_with_new_clicks_and_the_same_pressure(saved: dict[str, Any], post: Post) -> None:
    answer = post("bounce-checks", BOUNCE)
    assert answer.status_code == 201
    assert answer.json["front"]["rebound_clicks_out"] == 4
    assert answer.json["front"]["pressure_psi"] == saved["front"]["pressure_psi"]
    assert answer.json["advice"][0]["code"] == "rebound_turn"


@pytest.mark.parametrize("how", [{"dip_mm": 80, "beyond_mm": 42}, {"seen": "less"}, {"seen": "one_swing"}])
def test_each_way_to_tell_a_bounce_is_taken(post: Post, how: dict[str, Any]) -> None:
    assert post("bounce-checks", {"end": "rear", "clicks_out": 7, **how}).status_code == 201


def test_a_ride_answers_with_one_change(saved: dict[str, Any], post: Post) -> None:
    answer = post("rides", RIDE)
    assert answer.status_code == 201
    assert answer.json["settled"] is None
    assert [note["code"] for note in answer.json["advice"]] == ["ride_rebound"]
    changed = {k for k, v in answer.json["rear"].items() if v != saved["rear"][k]}
    assert changed == {"rebound_clicks_out"}
    assert answer.json["front"] == saved["front"]


def test_a_what_if_is_shown_and_saved_only_when_asked_to(
    client: FlaskClient, saved: dict[str, Any], post: Post
) -> None:
    shown = post("what-if", {"kit_mass_kg": 12, "rider_mass_now_kg": 78, "front": {"volume_spacers": 1}})
    assert (shown.status_code, shown.json["saved"], shown.json["revision"]) == (200, False, 1)
    assert shown.json["front"]["pressure_psi"] > saved["front"]["pressure_psi"]
    assert len(revisions(client, saved)) == 1
    done = post("what-if", {**CHANGE, "front": {"volume_spacers": 1}})
    assert (done.status_code, done.json["saved"], done.json["revision"]) == (201, True, 2)
    assert done.json["front"] == shown.json["front"]


def test_reading_a_corrected_setup_gives_the_same_answer_as_saving_it(
    client: FlaskClient, saved: dict[str, Any], post: Post
) -> None:
    corrected = post("sag-checks", SAG).json
    assert client.get(f"/api/v1/setups/{saved['code']}").json == corrected
    assert client.get(f"/api/v1/setups/{saved['code']}?revision=2").json == corrected
    first = client.get(f"/api/v1/setups/{saved['code']}?revision=1").json
    assert first == {k: v for k, v in saved.items() if k != "owner_key"}


def test_the_history_holds_every_revision_with_its_reason(
    client: FlaskClient, saved: dict[str, Any], post: Post
) -> None:
    for where, body in BODIES.items():
        assert post(where, body).status_code == 201
    lines = revisions(client, saved)
    assert [line["revision"] for line in lines] == [1, 2, 3, 4, 5]
    assert [line["kind"] for line in lines] == [
        "created",
        "sag_check_front",
        "bounce_check_front",
        "ride_rear",
        "what_if",
    ]
    assert lines[1]["front"]["measured_sag_mm"] == 35.7
    assert lines[1]["front"]["measured_at_psi"] == 84.0
    assert lines[1]["rear"]["measured_sag_mm"] is None
    assert lines[0]["created_at"].endswith("+00:00")
    assert all(line["reason"] for line in lines)


@every_address
def test_the_same_again_under_a_key_gets_the_same_answer_and_no_second_revision(
    client: FlaskClient, saved: dict[str, Any], post: Post, where: str
) -> None:
    first, again = (post(where, BODIES[where], key="tap-1") for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.json == first.json
    assert len(revisions(client, saved)) == 2
    other = post(where, {**BODIES[where], "base_revision": 1}, key="tap-1")
    assert other.status_code == 409
    assert fields(other) == ["Idempotency-Key"]


@every_address
def test_a_save_on_an_older_revision_is_refused_and_changes_nothing(
    client: FlaskClient, saved: dict[str, Any], post: Post, where: str
) -> None:
    assert post("sag-checks", {**SAG, "base_revision": 1}).status_code == 201
    late = post(where, {**BODIES[where], "base_revision": 1})
    assert late.status_code == 409
    assert fields(late) == ["base_revision"]
    assert "version 2" in late.json["errors"][0]["message"]
    assert len(revisions(client, saved)) == 2
    assert post(where, {**BODIES[where], "base_revision": 2}).status_code == 201


@every_address
def test_without_a_base_it_is_saved_on_the_newest(post: Post, where: str) -> None:
    assert [post(where, BODIES[where]).json["revision"] for _ in range(2)] == [2, 3]


@every_address
def test_unknown_codes_are_404_and_replaced_ones_410(app: Flask, saved: dict[str, Any], post: Post, where: str) -> None:
    missing = post(where, BODIES[where], code="0" * 26)
    assert (missing.status_code, fields(missing)) == (404, ["code"])
    with app.app_context():
        renew_link(saved["owner_key"])
    gone = post(where, BODIES[where])
    assert (gone.status_code, fields(gone)) == (410, ["code"])


def test_the_history_of_unknown_and_replaced_codes_is_404_and_410(
    app: Flask, client: FlaskClient, saved: dict[str, Any]
) -> None:
    assert client.get(f"/api/v1/setups/{'0' * 26}/revisions").status_code == 404
    with app.app_context():
        renew_link(saved["owner_key"])
    assert client.get(f"/api/v1/setups/{saved['code']}/revisions").status_code == 410


@pytest.mark.parametrize(
    ("where", "wrong", "named"),
    [
        ("sag-checks", {}, {"end", "pressure_psi"}),
        (
            "sag-checks",
            {"end": "middle", "pressure_psi": "84", "readings_mm": 31},
            {"end", "pressure_psi", "readings_mm"},
        ),
        ("sag-checks", {**SAG, "readings_mm": []}, {"readings_mm"}),
        ("sag-checks", {**SAG, "readings_mm": [31, "x"]}, {"readings_mm"}),
        ("sag-checks", {**SAG, "readings_mm": [0]}, {"readings_mm"}),
        ("sag-checks", {**SAG, "readings_mm": [-3]}, {"readings_mm"}),
        ("sag-checks", {**SAG, "readings_mm": [140]}, {"readings_mm"}),
        ("sag-checks", {**SAG, "readings_mm": [20, 60]}, {"readings_mm"}),
        ("sag-checks", {**SAG, "readings_mm": [31] * 7}, {"readings_mm"}),
        ("sag-checks", {**SAG, "readings_mm": [31] * 4, "readings_from_above_mm": [30] * 3}, {"readings_mm"}),
        (
            "sag-checks",
            {**SAG, "readings_from_above_mm": [38], "readings_from_below_mm": [30]},
            {"readings_from_above_mm"},
        ),
        ("sag-checks", {**SAG, "pressure_psi": 5.8}, {"pressure_psi"}),
        ("sag-checks", {**SAG, "pressure_psi": 0}, {"pressure_psi"}),
        ("sag-checks", {**SAG, "pressure_psi": 1e400}, {"pressure_psi"}),
        ("sag-checks", {**SAG, "pressure_psi": True}, {"pressure_psi"}),
        ("sag-checks", {**SAG, "temperature_c": 99}, {"temperature_c"}),
        ("sag-checks", {**SAG, "colour": "red"}, {"colour"}),
        ("sag-checks", {**SAG, "base_revision": 0}, {"base_revision"}),
        ("sag-checks", {**SAG, "base_revision": 7}, {"base_revision"}),
        ("sag-checks", {**SAG, "base_revision": "1", "pressure_psi": None}, {"base_revision", "pressure_psi"}),
        ("bounce-checks", {}, {"end", "clicks_out"}),
        ("bounce-checks", {"end": "front", "clicks_out": 3}, {"seen"}),
        ("bounce-checks", {**BOUNCE, "clicks_out": 17}, {"clicks_out"}),
        ("bounce-checks", {**BOUNCE, "clicks_out": 3.5}, {"clicks_out"}),
        ("bounce-checks", {**BOUNCE, "seen": "floats"}, {"seen"}),
        ("bounce-checks", {"end": "front", "clicks_out": 3, "dip_mm": 40, "beyond_mm": 50}, {"beyond_mm"}),
        ("bounce-checks", {"end": "front", "clicks_out": 3, "frames": 10**400}, {"frames"}),
        ("rides", {"end": "front"}, {"felt"}),
        ("rides", {"end": "front", "felt": "dives"}, {"felt"}),
        ("rides", {"end": "front", "felt": ["dives", 7, None]}, {"felt"}),
        ("rides", {"end": "front", "felt": ["kicks_back", "packs_down"]}, {"felt"}),
        ("rides", {"end": "front", "travel_used_mm": 200}, {"travel_used_mm"}),
        ("rides", {"end": "front", "hard_hits": 2, "travel_used_mm": 60}, {"travel_used_mm"}),
        ("what-if", {"rider_mass_kg": 500}, {"rider_mass_kg"}),
        ("what-if", {"front": {"travel_mm": 1, "colour": 2}, "save": True}, {"front.travel_mm", "front.colour"}),
        ("what-if", {"save": 1}, {"save"}),
        ("what-if", {"save": "yes", "base_revision": -1}, {"save", "base_revision"}),
    ],
)
def test_every_problem_is_named_and_nothing_is_saved(
    client: FlaskClient, saved: dict[str, Any], post: Post, where: str, wrong: dict[str, Any], named: set[str]
) -> None:
    answer = post(where, wrong)
    assert answer.status_code == 422
    assert set(fields(answer)) == named
    assert len(revisions(client, saved)) == 1


def test_bar_typed_as_psi_is_told_what_it_would_be(post: Post) -> None:
    (error,) = post("sag-checks", {**SAG, "pressure_psi": 5.8}).json["errors"]
    assert "84 psi" in error["message"]


def test_an_end_that_the_setup_lacks_is_named(client: FlaskClient) -> None:
    request = {"rider_mass_kg": 60, "riding_style": "trail", "front": {"travel_mm": 120}}
    code = (client.post("/api/v1/setups", json=request).json or {})["code"]
    for where, body in (("sag-checks", SAG), ("bounce-checks", BOUNCE), ("rides", RIDE)):
        answer = client.post(f"/api/v1/setups/{code}/{where}", json={**body, "end": "rear"})
        assert (answer.status_code, fields(answer)) == (422, ["end"])


@every_address
@pytest.mark.parametrize("body", [b"", b"[]", b"{", b'{"end":' * 9_000, b'{"end": "front", "end": "rear"}'])
def test_what_is_no_json_object_is_refused(client: FlaskClient, saved: dict[str, Any], where: str, body: bytes) -> None:
    address = f"/api/v1/setups/{saved['code']}/{where}"
    answer = client.post(address, data=body, content_type="application/json")
    assert (answer.status_code, fields(answer)) == (422, ["body"])
    assert client.post(address, data=b"{}", content_type="text/plain").status_code == 415
    assert client.post(address, data=b" " * 70_000, content_type="application/json").status_code == 413


@every_address
def test_looking_is_not_saving(client: FlaskClient, saved: dict[str, Any], where: str) -> None:
    answer = client.get(f"/api/v1/setups/{saved['code']}/{where}")
    assert answer.status_code == 405
    assert "POST" in answer.headers["Allow"]
    assert len(revisions(client, saved)) == 1


@every_address
def test_no_form_token_is_asked_for(make_app: Callable[..., Flask], whole_request: dict[str, Any], where: str) -> None:
    client = make_app(WTF_CSRF_ENABLED=True).test_client()
    code = (client.post("/api/v1/setups", json=whole_request).json or {})["code"]
    assert client.post(f"/api/v1/setups/{code}/{where}", json=BODIES[where]).status_code == 201


def validator(client: FlaskClient, name: str) -> Draft202012Validator:
    document = client.get("/api/v1/openapi.json").json
    assert document is not None
    schema = {**copy.deepcopy(document["components"]["schemas"][name]), "components": document["components"]}
    return Draft202012Validator(schema)


def test_every_answer_is_as_described(client: FlaskClient, saved: dict[str, Any], post: Post) -> None:
    for where, body in BODIES.items():
        validator(client, "Setup").validate(post(where, body).json)
    validator(client, "Setup").validate(post("what-if", {"kit_mass_kg": 3, "rider_mass_now_kg": 78}).json)
    validator(client, "History").validate(client.get(f"/api/v1/setups/{saved['code']}/revisions").json)
    validator(client, "Errors").validate(post("rides", {}).json)


@pytest.mark.parametrize(
    ("name", "where"),
    [("SagCheck", "sag-checks"), ("BounceCheck", "bounce-checks"), ("Ride", "rides"), ("Changes", "what-if")],
)
def test_the_description_takes_what_is_taken_and_refuses_unknown_keys(
    client: FlaskClient, name: str, where: str
) -> None:
    check = validator(client, name)
    check.validate(BODIES[where])
    check.validate({**BODIES[where], "base_revision": 1})
    check.validate({**BODIES[where], "base_revision": None})
    assert not check.is_valid({**BODIES[where], "colour": "red"})
    assert not check.is_valid({**BODIES[where], "base_revision": 0})


def test_the_description_names_every_address(client: FlaskClient) -> None:
    paths = (client.get("/api/v1/openapi.json").json or {})["paths"]
    assert {f"/api/v1/setups/{{code}}/{where}" for where in (*BODIES, "revisions")} <= set(paths)


def test_a_bike_can_be_followed_from_first_guess_to_settled(app: Flask, saved: dict[str, Any], post: Post) -> None:
    sags = iter([37, 29, 28, 28])
    pressure, settled, checks = saved["front"]["pressure_psi"], False, 0
    while not settled:
        readings = [next(sags)] * 3
        answer = post("sag-checks", {"end": "front", "pressure_psi": pressure, "readings_mm": readings}).json
        pressure, settled, checks = answer["front"]["pressure_psi"], answer["settled"], checks + 1
    assert checks == 2
    with app.app_context():
        assert len(find_setup(saved["code"]).setup.checks) == 2


def test_the_history_comes_in_pages_that_lead_on(client: FlaskClient, saved: dict[str, Any], post: Post) -> None:
    for kg in range(5, 9):
        assert post("what-if", {**CHANGE, "kit_mass_kg": kg}).status_code == 201
    address, seen, pages = f"/api/v1/setups/{saved['code']}/revisions?limit=2", [], 0
    while address:
        page = client.get(address).json or {}
        seen += [line["revision"] for line in page["revisions"]]
        address, pages = (page["next"] or "").removeprefix("https://cards.example"), pages + 1
        validator(client, "History").validate(page)
    assert (seen, pages) == ([1, 2, 3, 4, 5], 3)
    assert (client.get(f"/api/v1/setups/{saved['code']}/revisions").json or {})["next"] is None
    assert (client.get(f"/api/v1/setups/{saved['code']}/revisions?after=9").json or {})["revisions"] == []


@pytest.mark.parametrize("query", ["limit=0", "limit=201", "limit=x", "after=-1", "after=1.5", "limit=" + "9" * 5000])
def test_a_page_of_history_that_is_none_is_refused(client: FlaskClient, saved: dict[str, Any], query: str) -> None:
    answer = client.get(f"/api/v1/setups/{saved['code']}/revisions?{query}")
    assert answer.status_code == 422
    assert fields(answer) == [query.partition("=")[0]]
