"""A spring rate without its unit, where N/mm and lb/in are both meant by people: asked, and answered with one press."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.webapp.setups.views.coil_form import FORM, made, text_of
from webapp.setups.actions.find_setup import find_setup

BUTTON = re.compile(r'<button class="button quiet" type="submit" name="([^"]*-unit)" value="([^"]*)">([^<]*)</button>')


def pressed(client: FlaskClient, path: str, form: dict[str, Any], page: str, said: str) -> Any:
    """Press the button that says this: the form is sent again with what it sends."""
    ((name, value, _label),) = [one for one in BUTTON.findall(page) if html.unescape(one[2]) == said]
    return client.post(path, data={**form, name: value})


def rates_of(app: Flask, answer: Any) -> Any:
    """Return the shock's rates as they were saved [N/mm]."""
    assert answer.status_code == 303, text_of(answer.text)
    code = answer.headers["Location"].split("?")[0].rsplit("/", 1)[-1]
    with app.app_context():
        request = find_setup(code).setup.request
    assert request.rear is not None
    return request.rear.stocked_rates_n_per_mm


@pytest.mark.parametrize(
    ("field", "typed", "other"),
    [
        ("rear.fitted_rate_n_per_mm", "200", "35"),
        ("rear.fitted_rate_n_per_mm", "100", "17.5"),
        ("rear.fitted_rate_n_per_mm", "250", "43.8"),
        ("rear.stocked_rates_n_per_mm", "90 150 200", "26.3"),
        ("front.fitted_rate_n_per_mm", "45", "7.9"),
        ("front.stocked_rates_n_per_mm", "35 40 45 50", "6.1"),
    ],
)
def test_a_bare_rate_that_both_units_could_have_is_asked_about(
    client: FlaskClient, field: str, typed: str, other: str
) -> None:
    form = {**FORM, field: typed}
    asked = client.post("/", data=form)
    assert asked.status_code == 422
    assert "which unit is printed on the spring?" in text_of(asked.text)
    assert f"would be {other} N/mm" in text_of(asked.text)
    assert "Question:" in text_of(asked.text)
    assert [label for _name, _value, label in BUTTON.findall(asked.text)] == [f"{typed} N/mm", f"{typed} lb/in"]
    assert f'value="{typed}"' in asked.text
    assert 'value="350, 400, 450; 500 lb/in"' in asked.text or field == "rear.stocked_rates_n_per_mm"
    for unit in ("N/mm", "lb/in"):
        answer = pressed(client, "/", form, asked.text, f"{typed} {unit}")
        assert answer.status_code == 303, text_of(answer.text)


def test_the_answer_is_what_is_saved(app: Flask, client: FlaskClient) -> None:
    form = {**FORM, "rear.stocked_rates_n_per_mm": "150 200 250"}
    page = client.post("/", data=form).text
    newtons = rates_of(app, pressed(client, "/", form, page, "150 200 250 N/mm"))
    pounds = rates_of(app, pressed(client, "/", form, page, "150 200 250 lb/in"))
    assert newtons == (150, 200, 250)
    assert pounds == pytest.approx((26.27, 35.03, 43.78), abs=0.01)  # 1 lb/in is 0.17513 N/mm


def test_an_answer_stays_while_something_else_is_wrong(client: FlaskClient) -> None:
    form = {**FORM, "rear.fitted_rate_n_per_mm": "200", "rider_mass_kg": "x"}
    page = client.post("/", data=form).text
    again = pressed(client, "/", form, page, "200 lb/in")
    assert again.status_code == 422
    assert 'value="200 lb/in"' in again.text
    assert not BUTTON.findall(again.text)


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("rear.fitted_rate_n_per_mm", "80"),
        ("rear.fitted_rate_n_per_mm", "99.9"),
        ("rear.fitted_rate_n_per_mm", "200 lb/in"),
        ("rear.fitted_rate_n_per_mm", "120 N/mm"),
        ("rear.stocked_rates_n_per_mm", "100 120 N/mm"),
        ("front.fitted_rate_n_per_mm", "9.5"),
        ("front.stocked_rates_n_per_mm", "7 8 9 10 11"),
        ("front.stocked_rates_n_per_mm", "35 40 lb/in"),
    ],
)
def test_what_is_clear_is_not_asked(client: FlaskClient, field: str, typed: str) -> None:
    assert client.post("/", data={**FORM, field: typed}).status_code == 303


def test_enter_answers_nothing(client: FlaskClient) -> None:
    """The first button of a form is the one that Enter presses."""
    asked = client.post("/", data={**FORM, "rear.fitted_rate_n_per_mm": "200"}).text
    form = asked.partition('<form method="post"')[2]
    first = re.search(r"<button[^>]*>", form)
    assert first is not None
    assert "hidden" in first[0]
    assert "name=" not in first[0]
    assert "<button" not in client.get("/").text.partition('<form method="post"')[2].partition('class="send"')[0]


@pytest.mark.parametrize("unit", ["", "furlong", "lbf_per_in\0", "x" * 5000])
def test_an_answer_that_no_button_sends_counts_for_nothing(client: FlaskClient, unit: str) -> None:
    form = {**FORM, "rear.fitted_rate_n_per_mm": "200", "rear.fitted_rate_n_per_mm-unit": unit}
    assert client.post("/", data=form).status_code == 422


def test_a_what_if_and_a_sag_check_ask_too(client: FlaskClient) -> None:
    code = made(client)
    path = f"/s/{code}/what-if"
    wish = {"rear.fitted_rate_n_per_mm": "200", "base_revision": "1", "do": "show"}
    asked = client.post(path, data=wish)
    assert "which unit is printed" in text_of(asked.text)
    assert pressed(client, path, wish, asked.text, "200 lb/in").status_code == 200
    path = f"/s/{code}/sag-check"
    check = {"rear.spring_rate_n_per_mm": "450", "rear.preload_mm": "0", "rear.readings_mm-0": "17"}
    asked = client.post(path, data=check)
    assert "450 lb/in would be 78.8 N/mm" in text_of(asked.text)
    assert pressed(client, path, check, asked.text, "450 lb/in").status_code == 303


def test_the_interface_for_tools_takes_n_per_mm_and_asks_nothing(client: FlaskClient) -> None:
    rear = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "spring": "coil", "fitted_rate_n_per_mm": 200}
    body = {"rider_mass_kg": 78, "riding_style": "trail", "rear": rear}
    assert client.post("/api/v1/setups", json=body).status_code == 201
