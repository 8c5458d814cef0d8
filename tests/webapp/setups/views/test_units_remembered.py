"""Units that were chosen once: on the form, the page, the what-if, the sag check and the card, without a script."""

from __future__ import annotations

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.webapp.setups.views.test_setup import BOTH, save, text_of, value_of
from webapp.ground.device_units import CHOICES, DEFAULT, units_from

METRIC = {"units.pressure": "bar"}
OTHER = {
    "units.mass": "lb",
    "units.pressure": "bar",
    "units.length": "in",
    "units.temperature": "f",
    "units.altitude": "ft",
    "rider_mass_kg": "180",
    "front.travel_mm": "5.5",
    "rear.stroke_mm": "2.165",
    "rear.wheel_travel_mm": "5.7",
}


@pytest.fixture
def path(client: FlaskClient) -> str:
    """A setup whose rider chose other units."""
    return save(client, **OTHER)


def test_one_choice_is_kept_for_the_next_visit_and_holds_nothing_else(client: FlaskClient) -> None:
    answer = client.post("/", data=BOTH | METRIC)
    cookie = next(c for c in answer.headers.getlist("Set-Cookie") if "setup_card_units" in c)
    assert "kg-bar-mm-c-m" in cookie
    for part in ("HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=31622400"):
        assert part in cookie
    assert re.search(r'name="units.pressure" value="bar" checked', client.get("/").get_data(as_text=True))


def test_who_chose_nothing_gets_no_cookie(client: FlaskClient) -> None:
    answer = client.post("/", data=BOTH)
    assert not [c for c in answer.headers.getlist("Set-Cookie") if "setup_card_units" in c]


def test_headlines_and_steps_follow_and_the_other_unit_stays_beside(client: FlaskClient, path: str) -> None:
    page = text_of(client.get(path))
    assert re.search(r"Start pressure \d+\.\d bar \d+ psi", page)
    assert re.search(r"Set \d+\.\d bar \(\d+ psi\)\.", page)
    assert re.search(r"Target sag \d\.\d\d in [\d.]+ mm [\d.]+ %", page)
    assert "68 °F, 0 ft" in page


def test_the_card_follows_on_its_page_and_in_its_pdf_key(client: FlaskClient, path: str) -> None:
    card = text_of(client.get(f"{path}/print"))
    assert re.search(r"Start pressure .*? \d+\.\d bar \d+ psi likely between \d+\.\d and \d+\.\d bar", card)
    assert "68 °F" in card
    plain = client.application.test_client()
    assert re.search(r"\d+ psi \d+\.\d bar likely between", text_of(plain.get(f"{path}/print")))


def test_a_bare_number_in_a_what_if_is_in_the_unit_that_the_page_showed(client: FlaskClient, path: str) -> None:
    page = client.get(f"{path}/what-if").get_data(as_text=True)
    shown = value_of(page, "shown_units")
    assert shown == "lb-bar-in-f-ft"
    hot = client.post(
        f"{path}/what-if", data={"riding_style": "trail", "bench.temperature_c": "95", "shown_units": shown}
    )
    assert "95 °F" in text_of(hot)
    # A page that was drawn before the choice goes on meaning what it said.
    old = client.post(f"{path}/what-if", data={"riding_style": "trail", "bench.temperature_c": "35"})
    assert "95 °F" in text_of(old)


def test_the_sag_check_takes_bar_where_it_shows_bar(client: FlaskClient, path: str) -> None:
    page = client.get(path).get_data(as_text=True)
    assert '<span class="suffix">bar</span>' in page
    assert 'name="shown_units" value="lb-bar-in-f-ft"' in page
    entries = {"front.pressure_psi": "5.8", "front.readings_mm-0": "33", "shown_units": "lb-bar-in-f-ft"}
    assert client.post(f"{path}/sag-check", data=entries).status_code == 303
    checks = client.get(f"/api/v1{path.replace('/s/', '/setups/')}/revisions").get_json()
    assert "33" in str(checks)
    assert "5.8 bar" in text_of(client.get(f"{path}/sag-check")) or "bar" in text_of(client.get(f"{path}/sag-check"))


@pytest.mark.parametrize(
    "text", ["", "lb", "lb-bar-in-f", "lb-bar-in-f-ft-x", "<b>-bar-in-f-ft", "x" * 5000, "lb-bar-in-f-FT"]
)
def test_a_cookie_that_is_none_of_ours_is_the_defaults(client: FlaskClient, text: str) -> None:
    assert units_from(text) == DEFAULT


def test_every_choice_of_the_form_is_one_that_can_be_remembered(app: Flask) -> None:
    from webapp.setups.forms.setup_form import SetupForm

    with app.test_request_context("/"):
        offered = {field.short_name: tuple(key for key, *_rest in field.choices) for field in SetupForm().units.form}
    assert offered == CHOICES


def test_one_visitors_units_are_not_the_next_ones(client: FlaskClient, path: str) -> None:
    assert path
    client.get("/")
    fresh = client.application.test_client().get("/").get_data(as_text=True)
    assert re.search(r'name="units.pressure" value="psi" checked', fresh)
