"""The JSON interface: what outside tools rely on."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules.types.units import PSI_PA
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.renew_link import renew_link

END_KEYS = {
    "pressure_psi",
    "pressure_bar",
    "pressure_low_psi",
    "pressure_high_psi",
    "sag_target_mm",
    "sag_low_mm",
    "sag_high_mm",
    "rebound_clicks_out",
    "rebound_clicks_total",
}


def fields(answer: Any) -> list[str]:
    assert set(answer.json) == {"errors"}
    assert all(set(e) == {"field", "message"} and e["message"] for e in answer.json["errors"])
    return [e["field"] for e in answer.json["errors"]]


def test_a_setup_is_saved_and_answered_with_both_ends(client: FlaskClient, whole_request: dict[str, Any]) -> None:
    answer = client.post("/api/v1/setups", json=whole_request)
    body = answer.json
    assert answer.status_code == 201
    assert body is not None
    assert set(body) == {"code", "url", "card_url", "revision", "front", "rear", "cautions", "reasons"}
    assert re.fullmatch("[0-9A-HJKMNP-TV-Z]{26}", body["code"])
    assert body["url"] == f"https://cards.example/s/{body['code']}"
    assert body["card_url"] == f"https://cards.example/s/{body['code']}/card.pdf"
    assert body["revision"] == 1
    for end in (body["front"], body["rear"]):
        assert set(end) >= END_KEYS
        assert end["pressure_low_psi"] < end["pressure_psi"] < end["pressure_high_psi"]
        assert end["sag_low_mm"] < end["sag_target_mm"] < end["sag_high_mm"]
    assert body["front"]["sag_target_mm"] == 28.0
    assert body["front"]["rebound_clicks_total"] == 16
    assert all({"code", "message"} <= set(c) for c in body["cautions"])
    assert all({"code", "message", "source"} <= set(r) for r in body["reasons"])


def test_the_numbers_are_those_of_the_saved_setup_rounded(
    app: Flask, client: FlaskClient, whole_request: dict[str, Any]
) -> None:
    body = client.post("/api/v1/setups", json=whole_request).json
    assert body is not None
    with app.app_context():
        front = find_setup(body["code"]).setup.front
    assert front is not None
    assert body["front"]["pressure_psi"] == round(front.pressure_pa / PSI_PA, 1)
    assert body["front"]["pressure_bar"] == round(front.pressure_pa / 1e5, 2)
    assert body["front"]["sag_high_mm"] == round(front.sag_high_mm, 1)


def test_no_sentence_is_left_unfilled(client: FlaskClient, whole_request: dict[str, Any]) -> None:
    body = client.post("/api/v1/setups", json=whole_request).json
    assert body is not None
    sentences = [note["message"] for note in (*body["cautions"], *body["reasons"])]
    assert sentences
    assert not [s for s in sentences if "{" in s or "}" in s]


def test_reading_gives_the_same_answer_as_saving(client: FlaskClient, whole_request: dict[str, Any]) -> None:
    saved = client.post("/api/v1/setups", json=whole_request)
    assert saved.json is not None
    read = client.get(f"/api/v1/setups/{saved.json['code'].lower()}?revision=1")
    assert read.status_code == 200
    assert read.json == saved.json
    assert saved.headers["Location"] == f"https://cards.example/api/v1/setups/{saved.json['code']}"


def test_an_end_that_is_not_asked_for_is_null(client: FlaskClient) -> None:
    request = {"rider_mass_kg": 60, "riding_style": "cross_country", "front": {"travel_mm": 100}}
    body = client.post("/api/v1/setups", json=request).json
    assert body is not None
    assert body["rear"] is None
    assert body["front"]["rebound_clicks_out"] is None or body["front"]["rebound_clicks_out"] >= 0


def test_every_problem_is_named_at_once(client: FlaskClient) -> None:
    wrong = {
        "rider_mass_kg": 500,
        "riding_style": "flying",
        "colour": "red",
        "bike_label": "a\nb",
        "service_note": 7,
        "front": {"travel_mm": "140", "sag_target_percent": 90},
    }
    answer = client.post("/api/v1/setups", json=wrong)
    assert answer.status_code == 422
    assert set(fields(answer)) == {
        "rider_mass_kg",
        "riding_style",
        "colour",
        "bike_label",
        "service_note",
        "front.travel_mm",
        "front.sag_target_percent",
    }


def test_an_empty_object_is_told_what_is_needed(client: FlaskClient) -> None:
    answer = client.post("/api/v1/setups", json={})
    assert answer.status_code == 422
    assert {"rider_mass_kg", "riding_style", "front"} <= set(fields(answer))


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'"text"',
        b"\xff\xfe{",
        b'{"rider_mass_kg": 78, "rider_mass_kg": 87}',
        b"[" * 50_000,
        b'{"a":' * 10_000,
        b"1" * 6_000,
    ],
)
def test_what_is_no_json_object_is_refused_in_the_same_shape(client: FlaskClient, body: bytes) -> None:
    answer = client.post("/api/v1/setups", data=body, content_type="application/json")
    assert answer.status_code == 422
    assert fields(answer) == ["body"]


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e400", "1" + "0" * 400, "-1", "true", '"78"'])
def test_a_number_that_is_none_is_refused(client: FlaskClient, number: str) -> None:
    text = f'{{"rider_mass_kg": {number}, "riding_style": "trail", "front": {{"travel_mm": 140}}}}'
    answer = client.post("/api/v1/setups", data=text, content_type="application/json")
    assert answer.status_code == 422
    assert fields(answer) == ["rider_mass_kg"]


def test_strange_keys_come_back_without_harm(client: FlaskClient) -> None:
    text = '{"\\ud800": 1, "<script>": 2, "%s": 3, "": 4}' % ("k" * 5_000)
    answer = client.post("/api/v1/setups", data=text, content_type="application/json")
    assert answer.status_code == 422
    assert json.loads(answer.data)["errors"]
    assert answer.mimetype == "application/json"


def test_a_body_that_is_too_long_is_refused(client: FlaskClient) -> None:
    answer = client.post("/api/v1/setups", data=b" " * 70_000, content_type="application/json")
    assert answer.status_code == 413
    assert fields(answer) == ["body"]


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", None])
def test_a_body_that_is_not_said_to_be_json_is_refused(client: FlaskClient, kind: str | None) -> None:
    answer = client.post("/api/v1/setups", data=b"{}", content_type=kind)
    assert answer.status_code == 415
    assert fields(answer) == ["body"]


def test_label_and_note_are_kept(app: Flask, client: FlaskClient, whole_request: dict[str, Any]) -> None:
    body = client.post(
        "/api/v1/setups", json={**whole_request, "bike_label": " Heron 1 ", "service_note": "Seals renewed"}
    ).json
    assert body is not None
    with app.app_context():
        saved = find_setup(body["code"])
    assert (saved.texts.bike_label, saved.texts.service_note) == ("Heron 1", "Seals renewed")


def test_a_repeat_under_an_idempotency_key_gets_the_same_answer(
    client: FlaskClient, whole_request: dict[str, Any]
) -> None:
    headers = {"Idempotency-Key": "7b0c7d0e-6d50-4a61-9c4e-0a5a6ad1f5a1"}
    first = client.post("/api/v1/setups", json=whole_request, headers=headers)
    again = client.post("/api/v1/setups", json=whole_request, headers=headers)
    assert again.status_code == 201
    assert again.json == first.json
    assert "Setup-Owner-Link" in first.headers
    assert "Setup-Owner-Link" not in again.headers
    other = client.post("/api/v1/setups", json={**whole_request, "rider_mass_kg": 80}, headers=headers)
    assert other.status_code == 409
    assert fields(other) == ["Idempotency-Key"]


@pytest.mark.parametrize("key", ["", "a b", "é", "x" * 201])
def test_an_idempotency_key_that_cannot_be_kept_is_refused(
    client: FlaskClient, whole_request: dict[str, Any], key: str
) -> None:
    answer = client.post("/api/v1/setups", json=whole_request, headers={"Idempotency-Key": key})
    assert answer.status_code == 422
    assert fields(answer) == ["Idempotency-Key"]


def test_no_form_token_is_asked_for(make_app: Callable[..., Flask], whole_request: dict[str, Any]) -> None:
    client = make_app(WTF_CSRF_ENABLED=True).test_client()
    assert client.post("/api/v1/setups", json=whole_request).status_code == 201


@pytest.mark.parametrize("code", ["0" * 26, "short", "U" * 26, "..%2f..", "%00"])
def test_unknown_and_malformed_codes_are_not_found(client: FlaskClient, code: str) -> None:
    answer = client.get(f"/api/v1/setups/{code}")
    assert answer.status_code == 404


def test_a_code_that_was_replaced_is_gone(app: Flask, client: FlaskClient, whole_request: dict[str, Any]) -> None:
    saved = client.post("/api/v1/setups", json=whole_request)
    assert saved.json is not None
    with app.app_context():
        renew_link(saved.headers["Setup-Owner-Link"].rsplit("/", 1)[1])
    answer = client.get(f"/api/v1/setups/{saved.json['code']}")
    assert answer.status_code == 410
    assert fields(answer) == ["code"]


@pytest.mark.parametrize(("revision", "status"), [("2", 404), ("0", 422), ("x", 422), ("1e3", 422), ("9" * 30, 422)])
def test_a_revision_must_exist(client: FlaskClient, whole_request: dict[str, Any], revision: str, status: int) -> None:
    saved = client.post("/api/v1/setups", json=whole_request)
    assert saved.json is not None
    assert client.get(f"/api/v1/setups/{saved.json['code']}?revision={revision}").status_code == status


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [("GET", "/api/v1/setups", 405), ("DELETE", "/api/v1/setups", 405), ("GET", "/api/v1/nowhere", 404)],
)
def test_refusals_of_the_interface_are_json_too(client: FlaskClient, method: str, path: str, status: int) -> None:
    answer = client.open(path, method=method)
    assert answer.status_code == status
    assert answer.mimetype == "application/json"
    assert fields(answer)
    assert ("POST" in answer.headers.get("Allow", "")) is (status == 405)


@pytest.mark.parametrize("row", [[1e300, -4.8e16], [-6e245, 1.7976931348623157e308]])
def test_a_chart_with_numbers_of_any_size_is_refused_in_words(
    client: FlaskClient, whole_request: dict[str, Any], row: list[float]
) -> None:
    whole_request["front"]["chart"] = [row, [70, 90]]
    answer = client.post("/api/v1/setups", json=whole_request)
    assert answer.status_code == 422
    assert "chart" in answer.json["errors"][0]["field"]


@pytest.mark.parametrize("name", ["rider_mass_kg", "x" * 500, "\N{BELL}\N{RIGHT-TO-LEFT OVERRIDE}"])
def test_an_object_with_a_name_twice_is_told_which(client: FlaskClient, name: str) -> None:
    key = json.dumps(name)
    answer = client.post("/api/v1/setups", data=f"{{{key}: 78, {key}: 87}}", content_type="application/json")
    assert answer.status_code == 422
    (problem,) = answer.get_json()["errors"]
    assert problem["field"] == "body"
    assert problem["message"] == f"An object has the name {name[:40]!a} twice. Send each name once."
