"""The JSON interface answers for coil main springs: rate and preload instead of pressures, and checks with both."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator

REQUEST: dict[str, Any] = {
    "rider_mass_kg": 78,
    "riding_style": "trail",
    "front": {
        "travel_mm": 140,
        "spring": "coil",
        "rebound_clicks": 16,
        "stocked_rates_n_per_mm": [6, 7, 8, 9, 10, 11, 12],
        "preload_mm_max": 8,
        "coil_stroke_mm": 150,
    },
    "rear": {
        "stroke_mm": 55,
        "leverage_start": 2.9,
        "leverage_end": 2.4,
        "spring": "coil",
        "rebound_clicks": 14,
        "stocked_rates_n_per_mm": [61.3, 70.05, 78.81, 87.56, 96.32],
        "preload_mm_max": 4,
        "preload_pitch_mm": 1.25,
        "coil_stroke_mm": 58,
    },
}


def created(client: FlaskClient, request: dict[str, Any] = REQUEST) -> dict[str, Any]:
    answer = client.post("/api/v1/setups", json=request)
    assert answer.status_code == 201, answer.json
    assert isinstance(answer.json, dict)
    return answer.json


def validate(client: FlaskClient, name: str, body: Any) -> None:
    document: Any = client.get("/api/v1/openapi.json").json
    schema = {**copy.deepcopy(document["components"]["schemas"][name]), "components": document["components"]}
    Draft202012Validator(schema).validate(body)


def test_a_coil_end_answers_rate_and_preload_and_no_pressure(client: FlaskClient) -> None:
    answer = created(client)
    validate(client, "SetupRequest", REQUEST)
    validate(client, "Setup", answer)
    for name in ("front", "rear"):
        end = answer[name]
        assert end["pressure_psi"] is None
        assert end["max_pressure_psi"] is None
        assert end["spring"] == "coil"
        assert end["spring_rate_n_per_mm"] in REQUEST[name]["stocked_rates_n_per_mm"]
        assert end["spring_rate_lb_per_in"] == pytest.approx(end["spring_rate_n_per_mm"] / 0.1751268, abs=0.1)
        assert 0 <= end["preload_mm"] <= end["preload_max_mm"]
        assert end["springs"]
    assert answer["rear"]["preload_turns"] == pytest.approx(answer["rear"]["preload_mm"] / 1.25, abs=0.01)
    assert answer["rear"]["preload_max_mm"] == 3.0  # the coils would touch beyond, though the manual allows 4
    assert {"coil_preload", "coil_bind"} <= {note["code"] for note in answer["cautions"]}
    assert "maximum_assumed" not in {note["code"] for note in answer["cautions"]}


def test_an_air_end_beside_it_answers_without_any_coil_key(client: FlaskClient) -> None:
    answer = created(client, {**REQUEST, "front": {"travel_mm": 140}})
    assert answer["front"]["pressure_psi"] > 0
    assert not {"spring", "spring_rate_n_per_mm", "preload_mm"} & set(answer["front"])


@pytest.mark.parametrize("name", ["front", "rear"])
def test_a_sag_check_with_a_spring_finds_what_to_change(client: FlaskClient, name: str) -> None:
    answer = created(client)
    end = answer[name]
    check = {
        "end": name,
        "spring_rate_n_per_mm": end["spring_rate_n_per_mm"],
        "preload_mm": end["preload_mm"],
        "readings_mm": [round(1.2 * end["sag_expected_mm"])] * 2,
    }
    validate(client, "SagCheck", check)
    after: Any = client.post(f"/api/v1/setups/{answer['code']}/sag-checks", json=check)
    assert after.status_code == 201, after.json
    validate(client, "Setup", after.json)
    moved = after.json[name]
    assert after.json["settled"] is False
    firmer = (moved["spring_rate_n_per_mm"], moved["preload_mm"]) > (end["spring_rate_n_per_mm"], end["preload_mm"])
    assert firmer
    history: Any = client.get(f"/api/v1/setups/{answer['code']}/revisions").json
    validate(client, "History", history)
    past = history["revisions"][-1][name]
    assert past["spring_rate_n_per_mm"] == moved["spring_rate_n_per_mm"]
    assert past["measured_with_n_per_mm"] == pytest.approx(end["spring_rate_n_per_mm"], abs=0.01)
    assert past["pressure_psi"] is None


@pytest.mark.parametrize(
    ("end", "body", "field"),
    [
        ({"spring": "coil"}, {"pressure_psi": 80}, "pressure_psi"),
        ({"spring": "coil"}, {"spring_rate_n_per_mm": 450}, "spring_rate_n_per_mm"),
        ({"spring": "coil"}, {"spring_rate_n_per_mm": 0}, "spring_rate_n_per_mm"),
        ({"spring": "coil"}, {}, "pressure_psi"),
        ({}, {"spring_rate_n_per_mm": 9}, "spring_rate_n_per_mm"),
        ({}, {"pressure_psi": 80, "preload_mm": 2}, "preload_mm"),
    ],
)
def test_a_check_of_the_other_kind_of_spring_is_refused(
    client: FlaskClient, end: dict[str, Any], body: dict[str, Any], field: str
) -> None:
    answer = created(client, {**REQUEST, "rear": None, "front": {"travel_mm": 140, **end}})
    check = {"end": "front", "readings_mm": [30], **body}
    refused: Any = client.post(f"/api/v1/setups/{answer['code']}/sag-checks", json=check)
    assert refused.status_code == 422
    assert [error["field"] for error in refused.json["errors"]] == [field]


@pytest.mark.parametrize(
    ("end", "field"),
    [
        ({"spring": "coil", "max_pressure_psi": 120}, "front.max_pressure_psi"),
        ({"spring": "coil", "volume_spacers": 2}, "front.volume_spacers"),
        ({"preload_mm_max": 5}, "front.preload_mm_max"),
        ({"spring": "coil", "stocked_rates_n_per_mm": "7, 8"}, "front.stocked_rates_n_per_mm"),
        ({"spring": "coil", "stocked_rates_n_per_mm": [7] * 41}, "front.stocked_rates_n_per_mm"),
        ({"spring": "coil", "stocked_rates_n_per_mm": [7, 450]}, "front.stocked_rates_n_per_mm"),
        ({"spring": "rubber"}, "front.spring"),
    ],
)
def test_figures_of_the_other_kind_of_spring_are_refused(client: FlaskClient, end: dict[str, Any], field: str) -> None:
    refused: Any = client.post("/api/v1/setups", json={**REQUEST, "rear": None, "front": {"travel_mm": 140, **end}})
    assert refused.status_code == 422
    assert [error["field"] for error in refused.json["errors"]] == [field]
