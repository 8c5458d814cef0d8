"""A sag check of both ends over HTTP: one revision, a question that can be kept, a check that can be struck out."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

REQUEST = {
    "rider_mass_kg": 78,
    "riding_style": "trail",
    "front": {"travel_mm": 140, "stanchion_mm": 34},
    "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4},
}
BOTH = {"front.readings_mm-0": "31", "rear.pressure_psi": "180", "rear.readings_mm-0": "16", "confirm": "y"}


@pytest.fixture
def saved(client: FlaskClient) -> dict[str, Any]:
    """The answer of a saved setup for both ends."""
    return dict(client.post("/api/v1/setups", json=REQUEST).json or {})


def test_a_slip_is_questioned_with_the_entry_kept_and_taken_when_confirmed(
    client: FlaskClient, saved: dict[str, Any]
) -> None:
    path, psi = f"/s/{saved['code']}", saved["front"]["pressure_psi"]
    slip = {"front.pressure_psi": f"{psi}", "front.readings_mm-0": "3.1"}
    asked = client.post(f"{path}/sag-check", data=slip)
    assert asked.status_code == 422
    assert "Keep this reading" in asked.text
    assert 'value="3.1"' in asked.text
    body = {"end": "front", "pressure_psi": psi, "readings_mm": [3.1]}
    refused = client.post(f"/api/v1{path.replace('/s/', '/setups/')}/sag-checks", json=body)
    assert refused.status_code == 422
    assert [error["question"] for error in refused.json["errors"]] == [True]  # type: ignore[index]
    assert client.post(f"{path}/sag-check", data=slip | {"confirm": "y"}).status_code == 303


def test_both_ends_make_one_revision_and_a_struck_check_comes_back(client: FlaskClient, saved: dict[str, Any]) -> None:
    code, psi = saved["code"], saved["front"]["pressure_psi"]
    sent = client.post(f"/s/{code}/sag-check", data=BOTH | {"front.pressure_psi": f"{psi}"})
    assert sent.headers["Location"] == f"/s/{code}/2/answer"
    answer = client.get(f"/s/{code}/2/answer").text
    assert answer.count('aria-labelledby="answer-') == 2
    after = client.get(f"/api/v1/setups/{code}").json or {}
    struck = client.post(f"/s/{code}/strike", data={"check": "1", "struck": "1", "base_revision": "2"})
    assert struck.status_code == 303
    without = client.get(f"/api/v1/setups/{code}").json or {}
    assert without["front"]["pressure_psi"] == psi
    assert without["rear"] == after["rear"]
    assert "Count the fork check again" in client.get(f"/s/{code}/history").text
    again = client.post(f"/s/{code}/strike", data={"check": "1", "struck": "1", "base_revision": "3"})
    assert again.status_code == 422
    assert client.post(f"/s/{code}/strike", data={"check": "1", "struck": "0"}).status_code == 303
