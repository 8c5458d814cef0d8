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


def test_cautions_and_reasons_follow_the_pump(client: FlaskClient, path: str) -> None:
    page = text_of(client.get(path))
    assert "8.2 bar (120 psi) is our cautious estimate" in page
    assert re.search(r"\d\.\d bar \(\d+ psi\) \(gauge, fully extended", page)
    assert not re.search(r"[^(\d.]\d+ psi is our", page)


def test_steps_and_card_have_both_rulers(client: FlaskClient, path: str) -> None:
    page = text_of(client.get(path))
    good = r"target is (\d\.\d\d) in \(([\d.]+) mm\), and \d\.\d\d to \d\.\d\d in \([\d.]+ to [\d.]+ mm\) is close"
    inches, millimetres = re.search(good, page).groups()  # type: ignore[union-attr]
    assert float(inches) * 25.4 == pytest.approx(float(millimetres), abs=0.4)
    card = text_of(client.get(f"{path}/print"))
    assert re.search(rf"{inches} in [\d.]+ % {millimetres} mm", card)


def test_answer_and_history_follow(client: FlaskClient, path: str) -> None:
    entries = {"front.pressure_psi": "5.8", "front.readings_mm-0": "20", "shown_units": "lb-bar-in-f-ft"}
    answer = text_of(client.post(f"{path}/sag-check", data=entries, follow_redirects=True))
    assert re.search(r"Let about \d\.\d bar \(\d+ psi\) out of the fork, to \d\.\d bar \(\d+ psi\)", answer)
    assert re.search(r"Expected sag \d\.\d\d in [\d.]+ mm [\d.]+ %", answer)
    history = text_of(client.get(f"{path}/history"))
    assert "measured 0.79 in (20 mm) at 5.8 bar, target" in history
    assert "Pressure, bar" in history
    assert " psi" not in history


def test_a_maximum_reads_as_it_was_typed(client: FlaskClient) -> None:
    path = save(client, **{"units.pressure": "bar", "rear.max_pressure_psi": "20"})
    assert "20.0 bar (290 psi)" in text_of(client.get(path))
    assert "Now 20.0 bar." in text_of(client.get(f"{path}/what-if"))


def test_luggage_differs_in_the_unit_that_it_is_told_in(client: FlaskClient) -> None:
    path = save(client, **{"units.mass": "st", "rider_mass_kg": "12 st 7"})
    entries = {"riding_style": "trail", "luggage_front_kg": "3 kg", "shown_units": "st-psi-mm-c-m"}
    told = text_of(client.post(f"{path}/what-if", data=entries))
    assert "0 lb" in told
    assert "7 lb more" in told
    assert "kg more" not in told


def test_one_click_is_one(client: FlaskClient) -> None:
    path = save(client, rider_mass_kg="140 kg", **{"front.rebound_clicks": "5"})
    page = text_of(client.get(path))
    assert re.search(r"\b1 click out of 5", page), page[:600]
    assert "1 clicks" not in page


def test_a_maximum_between_two_psi_is_rounded_down_in_psi_alone(client: FlaskClient) -> None:
    path = save(client, **{"units.pressure": "bar", "rear.max_pressure_psi": "19.5"})
    assert "Maximum pressure 19.5 bar (282 psi)" in text_of(client.get(path))  # 19.5 bar are 282.8 psi
    assert "19.5 bar 282 psi" in text_of(client.get(f"{path}/print"))


def test_what_is_set_at_the_maximum_reads_alike_in_the_large_number_and_in_the_advice(client: FlaskClient) -> None:
    path = save(client, rider_mass_kg="95 kg", **{"units.pressure": "bar", "rear.max_pressure_psi": "13.8"})
    entries = {"rear.pressure_psi": "13.0", "rear.readings_mm-0": "19", "shown_units": "kg-bar-mm-c-m"}
    said = text_of(client.post(f"{path}/sag-check", data=entries, follow_redirects=True))
    large = re.search(r"Pressure of the shock (\d+\.\d) bar 200 psi", said)
    advice = re.search(r"more into the shock, to (\d+\.\d) bar \(200 psi\)", said)
    assert large is not None, said[:900]
    assert advice is not None, said[:900]
    assert large[1] == advice[1] == "13.7"  # 200 psi are 13.79 bar, and 13.8 would be above them
    assert "its maximum of 13.8 bar (200 psi)" in said
