"""The JSON interface takes and answers a second positive chamber as its document says, and refuses half of one."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.webapp.api.views.test_coils import created, validate

END: dict[str, Any] = {"travel_mm": 160, "bore_mm": 34, "positive_volume_cm3": 230, "rebound_clicks": 14}
SECOND: dict[str, Any] = {"second_volume_cm3": 45, "second_pressure_ratio": 1.8, "second_max_pressure_psi": 200}


def body(**changes: Any) -> dict[str, Any]:
    """Return the request of a fork with a second chamber."""
    return {"rider_mass_kg": 78, "riding_style": "enduro", "front": {**END, **SECOND, **changes}}


def test_it_is_answered_as_the_document_says(client: FlaskClient) -> None:
    validate(client, "SetupRequest", body())
    answer = created(client, body())
    validate(client, "Setup", answer)
    second, end = answer["front"]["second_chamber"], answer["front"]
    assert second["pressure_psi"] == pytest.approx(1.8 * end["pressure_psi"], abs=0.15)
    assert second["pressure_bar"] == pytest.approx(0.0689476 * second["pressure_psi"], abs=0.01)
    assert second["max_pressure_psi"] == 200
    assert not second["max_pressure_assumed"]
    assert end["sag_target_mm"] < second["joins_at_mm"] < 160
    assert "second_chamber" in {note["code"] for note in answer["cautions"]}
    past = client.get(f"/api/v1/setups/{answer['code']}/revisions").json
    validate(client, "History", past)
    never = created(client, body(second_pressure_ratio=5, second_max_pressure_psi=400))
    validate(client, "Setup", never)
    assert never["front"]["second_chamber"]["joins_at_mm"] is None


def test_an_end_without_one_has_no_key_of_it(client: FlaskClient) -> None:
    answer = created(client, {**body(), "front": END})
    assert "second_chamber" not in answer["front"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"second_pressure_ratio": None}, "front.second_pressure_ratio"),
        ({"positive_volume_cm3": None}, "front.second_volume_cm3"),
        ({"second_pressure_ratio": 9}, "front.second_pressure_ratio"),
    ],
)
def test_half_of_one_is_refused_with_its_field(client: FlaskClient, changes: dict[str, Any], field: str) -> None:
    answer: Any = client.post("/api/v1/setups", json=body(**changes))
    assert answer.status_code == 422
    assert field in {error["field"] for error in answer.json["errors"]}
