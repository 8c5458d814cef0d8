"""A scale and pushes on the front page, on the page of the setup and over the JSON interface."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules import request_data
from webapp.setups.actions.find_setup import find_setup

PUSHES: dict[str, Any] = {
    "pressure_psi": 80,
    "compression_mm": [20, 42, 70, 98],
    "force_down_n": [195, 345, 570, 890],
    "force_up_n": [150, 305, 530, 840],
}
PAGE = {
    "rider_mass_kg": "78",
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "140",
    "front.stanchion_mm": "34",
    "front_axle_kg": "40",
    "rear_axle_kg": "57",
    "front.spring_test.pressure_psi": "80",
    **{
        f"front.spring_test.{name}{n + 1}": f"{value} {unit}"
        for name, key, unit in (("x", "compression_mm", "mm"), ("down", "force_down_n", "N"), ("up", "force_up_n", "N"))
        for n, value in enumerate(PUSHES[key])
    },
}


def words(page: str) -> str:
    """Return a page without tags."""
    return html.unescape(re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", page)))


def faults(page: str) -> list[str]:
    """Return every sentence beside a field."""
    return [html.unescape(one) for one in re.findall(r'class="fault"[^>]*><strong>Error:</strong> ([^<]*)', page)]


def test_page_and_interface_ask_the_rules_for_the_same(app: Flask, client: FlaskClient) -> None:
    front = {"travel_mm": 140, "stanchion_mm": 34, "negative_spring": "air", "spring_test": PUSHES}
    body = {"rider_mass_kg": 78, "riding_style": "trail", "front_axle_kg": 40, "rear_axle_kg": 57, "front": front}
    page = client.post("/", data=PAGE)
    assert page.status_code == 303, faults(page.text)
    answer = client.post("/api/v1/setups", json=body)
    assert answer.status_code == 201, answer.json
    with app.app_context():
        asked = [
            find_setup(code).setup.request for code in (str(page.location).rpartition("/")[2], answer.json["code"])
        ]
    assert request_data(asked[0]) == request_data(asked[1])


def test_the_interface_answers_with_what_the_pushes_showed(client: FlaskClient) -> None:
    body = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140, "spring_test": PUSHES}}
    made = client.post("/api/v1/setups", json=body).json
    shown = made["front"]["spring_test"]
    assert (shown["pressure_psi"], shown["compression_mm"]) == (80.0, [20.0, 42.0, 70.0, 98.0])
    assert shown["force_n"] == [172.5, 325.0, 550.0, 865.0]
    assert len(shown["residual_n"]) == 4
    assert 15 < shown["friction_n"] < 25
    assert client.get(f"/api/v1/setups/{made['code']}").json["front"]["spring_test"] == shown
    plain = {**body, "front": {"travel_mm": 140}}
    assert client.post("/api/v1/setups", json=plain).json["front"]["spring_test"] is None


@pytest.mark.parametrize(("mass", "one"), [("kg", 9.80665), ("lb", 4.4482216152605), ("st", 4.4482216152605)])
def test_a_bare_force_is_what_the_chosen_scale_shows(app: Flask, client: FlaskClient, mass: str, one: float) -> None:
    typed = {
        key: f"{float(value.split()[0]) / one:.3f}" if ".down" in key or ".up" in key else value
        for key, value in PAGE.items()
    }
    rider = {"kg": "78", "lb": "172", "st": "12.3"}[mass]
    page = client.post("/", data={**typed, "units.mass": mass, "rider_mass_kg": rider, "front_axle_kg": "40 kg",
                                  "rear_axle_kg": "57 kg"})  # fmt: skip
    assert page.status_code == 303, faults(page.text)
    with app.app_context():
        request = find_setup(str(page.location).rpartition("/")[2]).setup.request
    assert request.front is not None
    assert request.front.spring_test is not None
    assert request.front.spring_test.force_down_n == pytest.approx(PUSHES["force_down_n"], rel=1e-3)


def test_the_setups_page_shows_share_pushes_residuals_and_friction(client: FlaskClient) -> None:
    page = client.get(str(client.post("/", data=PAGE).location)).text
    said = words(page)
    assert "41 % of rider, kit and bike" in said
    assert "By your pushes, this fork needs" in said
    assert "Friction is about 21 N either way" in said
    assert page.count('<rect class="plot-pushed"') == 4
    assert "Off the curve, N" in said
    assert "40 kg" not in said  # the share is shown, no weight is


def test_what_was_typed_stays_when_a_push_is_refused(client: FlaskClient) -> None:
    page = client.post("/", data={**PAGE, "front.spring_test.down3": "30 kg"})
    assert page.status_code == 422
    assert any("falls from 345 N at 42 mm to 294 N" in one for one in faults(page.text))
    for value in ("30 kg", "305 N", 'value="57"'):
        assert value in page.text
    fold = page.text.partition('id="measured"')[2].partition("</section>")[0]
    assert "<details open>" in fold


def test_half_a_push_is_said_at_the_number_that_is_missing(client: FlaskClient) -> None:
    page = client.post("/", data={**PAGE, "front.spring_test.up2": ""})
    assert faults(page.text) == ["Push 2: coming up (fork) is missing. Enter all three numbers."]


def test_a_test_without_a_pressure_asks_for_it(client: FlaskClient) -> None:
    page = client.post("/", data={**PAGE, "front.spring_test.pressure_psi": " "})
    assert faults(page.text) == ["Pressure for the pushes: this is needed. Enter it."]


def test_wheels_that_do_not_add_up_are_said_at_the_scale(client: FlaskClient) -> None:
    page = client.post("/", data={**PAGE, "rear_axle_kg": "80"})
    assert page.status_code == 422
    assert "together 120 kg" in faults(page.text)[0]


def test_a_shock_is_pushed_at_the_wheel_unless_it_is_said_to_be_alone(app: Flask, client: FlaskClient) -> None:
    shock = {
        "rider_mass_kg": "78", "riding_style": "trail", "rear.wanted": "y", "rear.stroke_mm": "55",
        "rear.leverage_start": "2.5", "rear.leverage_end": "2.5", "rear.spring_test.pressure_psi": "100",
    }  # fmt: skip
    for n, (x, down, up) in enumerate(((25, 188, 176), (62.5, 388, 370), (100, 600, 580)), 1):
        shock |= {f"rear.spring_test.x{n}": str(x), f"rear.spring_test.down{n}": f"{down} N"}
        shock |= {f"rear.spring_test.up{n}": f"{up} N"}
    page = client.post("/", data=shock)
    assert page.status_code == 303, faults(page.text)
    with app.app_context():
        end = find_setup(str(page.location).rpartition("/")[2]).setup.rear
    assert end is not None
    assert end.pushed is not None
    assert end.pushed.compression_mm == pytest.approx((10.0, 25.0, 40.0), abs=0.01)
    assert client.post("/", data={**shock, "rear.spring_test.at": "spring"}).status_code == 422


def test_the_front_page_needs_no_script_for_it(client: FlaskClient) -> None:
    fold = client.get("/").text.partition('id="measured"')[2].partition("</section>")[0]
    assert "<script" not in fold
    assert fold.count("<details>") == 1
    assert "Put one wheel on a bathroom scale" in fold


@pytest.mark.parametrize("told", [{"weighed_kg": 30}, {"weighed_kg": 96}, {"weighed_stance": "seated"}])
def test_nobody_outside_says_what_the_masses_were_on_the_day_of_the_scale(
    client: FlaskClient, told: dict[str, Any]
) -> None:
    body = {"rider_mass_kg": 78, "riding_style": "trail", "front_axle_kg": 29, "front": {"travel_mm": 140}}
    answer = client.post("/api/v1/setups", json={**body, **told})
    assert answer.status_code == 422
    assert [error["field"] for error in answer.json["errors"]] == list(told)
    made = client.post("/api/v1/setups", json=body).json
    proof = {"rider_mass_now_kg": 78}
    for known in ({}, proof):
        answer = client.post(f"/api/v1/setups/{made['code']}/what-if", json={**told, **known})
        assert answer.status_code == 422
    assert not {"weighed_kg", "weighed_stance"} & set(
        client.get("/api/v1/openapi.json").json["components"]["schemas"]["SetupRequest"]["properties"]
    )


@pytest.mark.parametrize(
    ("mass", "one", "said"), [("kg", 9.80665, "30 kg (294 N)"), ("lb", 4.4482216, "66.1 lb (294 N)")]
)
def test_a_refused_force_is_said_as_it_was_typed(client: FlaskClient, mass: str, one: float, said: str) -> None:
    typed = {
        key: f"{float(value.split()[0]) / one:.1f}" if ".down" in key or ".up" in key else value
        for key, value in PAGE.items()
    }
    typed |= {"units.mass": mass, "rider_mass_kg": "78 kg", "front_axle_kg": "40 kg", "rear_axle_kg": "57 kg"}
    page = client.post("/", data={**typed, "front.spring_test.down3": f"{294.2 / one:.1f}"})
    assert page.status_code == 422
    assert said in faults(page.text)[0]
    plain = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140, "spring_test": PUSHES}}
    plain["front"]["spring_test"] = {**PUSHES, "force_down_n": [195, 345, 294, 890]}  # type: ignore[index]
    message = client.post("/api/v1/setups", json=plain).json["errors"][0]["message"]
    assert "to 294 N at 70 mm" in message


@pytest.mark.parametrize("factor", [2.2046, 1 / 2.2046])
def test_forces_in_the_wrong_unit_are_asked_about_by_name(client: FlaskClient, factor: float) -> None:
    wrong = {key: [factor * n for n in PUSHES[key]] for key in ("force_down_n", "force_up_n")}
    front = {"travel_mm": 140, "stanchion_mm": 34, "spring_test": {**PUSHES, **wrong}}
    body = {"rider_mass_kg": 78, "riding_style": "trail", "front": front}
    message = client.post("/api/v1/setups", json=body).json["errors"][0]["message"]
    for words in ("fork", "kg", "lb", "2.2 times"):
        assert words in message


def test_the_pushes_can_be_done_from_the_text(client: FlaskClient) -> None:
    page = client.get("/").text
    fold = page.partition('id="measured"')[2].partition("</section>")[0]
    said = words(fold)
    for part in ("Set the scale to zero",
                 "second person steadies", "from seal to crown", "about 30 seconds", "wheel off",
                 "Never pump above the maximum printed"):  # fmt: skip
        assert part in said
    assert "As much as you can push against" not in page
    assert "draw-pushing" in fold
    assert fold.count('class="pushes-table"') == 2
    assert fold.count("aria-label=") == 24
