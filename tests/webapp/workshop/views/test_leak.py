"""The leak check's page: readings in, verdict out, nothing guessed."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient

READINGS = {"first_psi": "84", "first_c": "20", "second_psi": "80.5", "second_c": "10", "hours": "72"}


def test_the_empty_form_is_open_to_everybody(client: FlaskClient) -> None:
    page = client.get("/leak")
    assert page.status_code == 200
    assert "First pressure" in page.text


@pytest.mark.parametrize(
    ("changes", "heading"),
    [
        ({}, "No leak"),
        ({"second_psi": "70"}, "Slow loss"),
        ({"second_psi": "40"}, "Losing air"),
        ({"second_psi": "70", "hose_cm3": "2", "chamber_cm3": "160"}, "Losing air"),
        ({"hours": "1"}, "Too early to tell"),
        ({"second_psi": "5,55 bar", "first_psi": "5.79 bar", "first_c": "68 °F"}, "No leak"),
        ({"hours": "3 d"}, "No leak"),
    ],
)
def test_the_readings_get_their_verdict(client: FlaskClient, changes: dict[str, str], heading: str) -> None:
    page = client.post("/leak", data=READINGS | changes)
    assert page.status_code == 200
    assert f'<h2 id="verdict">{heading}</h2>' in page.text
    assert f"<title>{heading} – Leak check" in page.text


def test_an_answer_says_when_to_read_again(client: FlaskClient) -> None:
    page = client.post("/leak", data=READINGS | {"hours": "1"})
    assert "Measure again 7 days after the first reading" in page.text


def test_an_estimated_hose_is_named_and_what_it_may_explain_proves_no_leak(client: FlaskClient) -> None:
    guessed, entered = (
        client.post("/leak", data=READINGS | {"second_psi": "70"} | hose).text
        for hose in ({}, {"hose_cm3": "2", "chamber_cm3": "160"})
    )
    assert "The pump hose is only estimated" in guessed
    assert "Air that went into the pump hose" in guessed
    assert "hose is only estimated" not in entered


def test_altitude_changes_what_is_expected(client: FlaskClient) -> None:
    low, high = (client.post("/leak", data=READINGS | {"altitude_m": h}).text for h in ("0", "4000"))
    assert "80.6 psi (5.56 bar)" in low
    assert "80.8 psi (5.57 bar)" in high


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"first_psi": ""}, "first_psi", "First pressure is required"),
        ({"first_psi": "1e400"}, "first_psi", "not a plain number"),
        ({"second_psi": "90000"}, "second_psi", "is outside"),
        ({"second_psi": "900"}, "second_psi", "did you mean 900 kPa?"),
        ({"hours": "5 min"}, "hours", "is outside"),
        ({"second_c": "200"}, "second_c", "is outside"),
        ({"hose_cm3": "4"}, "chamber_cm3", "Enter the air volume of the spring as well"),
        ({"hose_cm3": "30", "chamber_cm3": "20"}, "hose_cm3", "must hold less air than the chamber"),
    ],
)
def test_what_cannot_be_read_is_said_beside_its_field(
    client: FlaskClient, changes: dict[str, str], field: str, words: str
) -> None:
    page = client.post("/leak", data=READINGS | changes)
    assert page.status_code == 422
    assert f'href="#{field}"' in page.text
    assert words in page.text
    assert "<title>Error: Leak check" in page.text
    assert "verdict" not in page.text.split("</style>")[-1].split("<form")[0]
