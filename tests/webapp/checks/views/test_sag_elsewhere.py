"""A bike set in a warm shop and ridden in the cold: which sag is meant where, and checks taken at either place."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.checks.pages.history_page import present_history
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.list_revisions import list_revisions

BENCH, RIDE = {"temperature_c": 30, "altitude_m": 300}, {"temperature_c": -5, "altitude_m": 300}
FRONT = {"travel_mm": 140, "stanchion_mm": 34, "negative_spring": "air", "max_pressure_psi": 200}
REAR = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "max_pressure_psi": 350}
BODY = {"rider_mass_kg": 80, "bike_mass_kg": 14, "riding_style": "trail", "front": FRONT, "rear": REAR}


def saved(client: FlaskClient, **more: Any) -> dict[str, Any]:
    """Save a setup and return its answer."""
    answer = client.post("/api/v1/setups", json={**BODY, "bench": BENCH, "ride": RIDE, **more})
    assert answer.status_code == 201, answer.text
    found: dict[str, Any] = answer.json or {}
    return found


def words(page: str) -> str:
    """Return the text of a page."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def shown_mm(value: float) -> str:
    """Return millimetres as a page shows them, to the half."""
    return f"{round(2 * value) / 2:g}"


def checked(client: FlaskClient, code: str, read_mm: float, **more: str) -> str:
    """Enter a reading of the fork at what the setup says, follow to the answer, and return its words."""
    now = client.get(f"/api/v1/setups/{code}").json or {}
    data = {"front.pressure_psi": str(now["front"]["pressure_psi"]), "front.readings_mm-0": str(read_mm), **more}
    answer = client.post(f"/s/{code}/sag-check", data=data, follow_redirects=True)
    assert answer.status_code == 200, words(answer.text)
    return words(answer.text)


def test_every_place_says_one_number_for_where_it_is_set(client: FlaskClient) -> None:
    setup = saved(client)
    code, front = setup["code"], setup["front"]
    here, ride = shown_mm(front["sag_target_bench_mm"]), shown_mm(front["sag_target_mm"])
    assert float(here) < float(ride) - 4
    page = words(client.get(f"/s/{code}").text)
    assert f"On the ride the target is {ride} mm. Measured where it was set, that reads {here} mm" in page
    assert f"Target sag {ride} mm 22.5 % on the ride; {here} mm where it was set" in page
    form = words(client.get(f"/s/{code}/sag-check").text)
    assert f"The target is {ride} mm of 140 on the ride and reads {here} mm where it was set." in form
    card = words(client.get(f"/s/{code}/print").text)
    assert f"{ride} mm 22.5 % where set: {here} mm" in card
    assert "Set at 30 °C, 300 m, for a ride at −5 °C, 300 m" in card
    answered = checked(client, code, float(here), place="bench")
    assert f"Measured where it was set, the fork should read about {here} mm." in answered
    assert f"That is on the ride; where it was set, it reads about {here} mm." in answered


@pytest.mark.parametrize("place", ["bench", "ride"])
def test_the_sag_that_the_page_names_for_a_place_is_done_there(client: FlaskClient, place: str) -> None:
    setup = saved(client)
    named = setup["front"]["sag_target_mm" if place == "ride" else "sag_target_bench_mm"]
    assert "Done, ride it" in checked(client, setup["code"], round(named, 1), place=place)
    after = client.get(f"/api/v1/setups/{setup['code']}").json or {}
    assert after["front"]["pressure_psi"] == setup["front"]["pressure_psi"]


def test_a_reading_of_the_ride_taken_for_the_bench_would_ask_for_more_air(client: FlaskClient) -> None:
    setup = saved(client)
    answered = checked(client, setup["code"], setup["front"]["sag_target_mm"], place="bench")
    assert re.search(r"Pump about \d+ psi more into the fork", answered)


def test_a_form_without_the_question_is_of_the_bench(client: FlaskClient) -> None:
    setup = saved(client)
    assert "Done, ride it" in checked(client, setup["code"], setup["front"]["sag_target_bench_mm"])


def test_the_question_is_asked_only_where_the_two_places_differ(client: FlaskClient) -> None:
    asked, alike = saved(client)["code"], saved(client, ride=BENCH)
    for path, count in (("/sag-check", 3), ("", 4)):
        assert client.get(f"/s/{asked}{path}").text.count('name="place"') == count
        assert client.get(f"/s/{alike['code']}{path}").text.count('name="place"') == 0
    assert alike["front"]["sag_target_bench_mm"] == alike["front"]["sag_target_mm"]
    page = words(client.get(f"/s/{alike['code']}").text)
    assert "The target is 31.5 mm, and 28.5 to 34.5 mm is close; a sag check tells." in page
    assert "here it was set" not in page
    form = words(client.get(f"/s/{alike['code']}/sag-check").text)
    assert "Default: 30 °C, as saved." in form


def test_a_choice_stays_and_another_word_is_refused(client: FlaskClient) -> None:
    code = saved(client)["code"]
    answer = client.post(f"/s/{code}/sag-check", data={"front.readings_mm-0": "31", "place": "ride"})
    assert answer.status_code == 422
    assert re.search(r'name="place" value="ride" checked', answer.text)
    wrong = {"front.readings_mm-0": "31", "front.pressure_psi": "90", "place": "moon"}
    answer = client.post(f"/s/{code}/sag-check", data=wrong)
    assert answer.status_code == 422
    assert 'value="31"' in answer.text


def test_the_history_compares_each_reading_with_the_target_of_its_place(client: FlaskClient) -> None:
    setup = saved(client)
    code, psi = setup["code"], f"{setup['front']['pressure_psi']:.0f}"
    here, ride = setup["front"]["sag_target_bench_mm"], setup["front"]["sag_target_mm"]
    checked(client, code, here, place="bench")
    checked(client, code, ride, place="ride")
    past = words(client.get(f"/s/{code}/history").text)
    assert re.search(rf"measured {shown_mm(here)} mm at {psi} psi, on the ride 31(\.5)? mm; target 31\.5 mm", past)
    assert f"measured {shown_mm(ride)} mm at {psi} psi, target {shown_mm(ride)} mm" in past
    assert re.search(rf"{re.escape(shown_mm(here))}, on the ride 3[12](\.5)?\b", past)


def test_the_interface_takes_the_place_and_names_its_words(client: FlaskClient) -> None:
    setup = saved(client)
    path, front = f"/api/v1/setups/{setup['code']}/sag-checks", setup["front"]
    body = {"end": "front", "pressure_psi": front["pressure_psi"], "readings_mm": [front["sag_target_mm"]]}
    done = client.post(path, json={**body, "place": "ride"})
    assert (done.status_code, (done.json or {})["settled"]) == (201, True)
    assert "sag_where_set" in [note["code"] for note in (done.json or {})["advice"]]
    refused = client.post(path, json={**body, "place": "moon"})
    assert refused.status_code == 422
    (error,) = (refused.json or {})["errors"]
    assert error["field"] == "place"
    assert "bench, ride" in error["message"]


def test_a_gauge_on_the_ride_is_of_its_own_temperature(client: FlaskClient) -> None:
    """Who took the gauge along types the temperature there: both were read at that place."""
    setup = saved(client)
    page = words(client.get(f"/s/{setup['code']}").text)
    there = re.search(r"A gauge would show (\d+) psi", page)
    assert there is not None
    body = {"end": "front", "pressure_psi": int(there[1]), "readings_mm": [setup["front"]["sag_target_mm"]]}
    path = f"/api/v1/setups/{setup['code']}/sag-checks"
    assert (client.post(path, json={**body, "temperature_c": -5}).json or {})["settled"] is True


def test_a_pump_in_a_third_air_is_told_its_own_numbers_until_it_is_done(client: FlaskClient) -> None:
    """Who pumps and measures at 5 °C reads the pressure and the sag that hold there, not those of the bench."""
    code = saved(client)["code"]
    path, body = f"/api/v1/setups/{code}/sag-checks", {"end": "front", "temperature_c": 5}
    psi, read_mm = 80.0, 34.0
    for _turn in range(4):
        answer = client.post(path, json={**body, "pressure_psi": psi, "readings_mm": [read_mm]}).json or {}
        (told,) = (note["message"] for note in answer["advice"] if note["code"] == "sag_in_this_air")
        found = re.search(r"In the air of this check, 5 °C and 300 m, the fork has to be at (\d+) psi", told)
        about = re.search(r"should read about ([\d.]+) mm", told)
        assert found is not None
        assert about is not None
        if answer["settled"]:
            break
        # Set as told, and read as told: the next check has nothing left to ask for.
        psi, read_mm = float(found[1]), float(about[1])
    assert answer["settled"] is True
    assert psi < answer["front"]["pressure_psi"] - 4


def test_somewhere_else_is_the_pressure_of_the_bench_in_an_air_that_is_typed(client: FlaskClient) -> None:
    setup = saved(client)
    code = setup["code"]
    data = {"front.pressure_psi": "90", "front.readings_mm-0": "29", "place": "elsewhere"}
    asked = client.post(f"/s/{code}/sag-check", data=data)
    assert asked.status_code == 422
    assert "Enter the air temperature where you measured." in words(asked.text)
    assert re.search(r'name="place" value="elsewhere" checked', asked.text)
    assert client.post(f"/s/{code}/sag-check", data={**data, "temperature_c": "10"}).status_code == 303
    by_form = client.get(f"/api/v1/setups/{code}").json or {}
    other = saved(client)["code"]
    body = {"end": "front", "pressure_psi": 90, "readings_mm": [29], "place": "ride", "temperature_c": 10}
    by_interface = client.post(f"/api/v1/setups/{other}/sag-checks", json={**body, "altitude_m": 300}).json or {}
    assert by_form["front"] == by_interface["front"]
    past = words(client.get(f"/s/{code}/history").text)
    assert re.search(r"measured 29 mm at 90 psi, on the ride 3[12](\.5)? mm; target 31\.5 mm", past)


def test_what_is_out_of_reach_is_named_nowhere_else(client: FlaskClient) -> None:
    setup = saved(client, front={**FRONT, "max_pressure_psi": 60}, rear=None)
    code = setup["code"]
    assert setup["front"]["sag_target_bench_mm"] is None
    page, card = words(client.get(f"/s/{code}").text), words(client.get(f"/s/{code}/print").text)
    found = re.search(r"out of reach\. Measured where it was set, expect about ([\d.]+) mm", page)
    assert found is not None
    assert "where set" not in card
    assert "mm where it was set" not in page.replace("Measured where it was set", "")
    form = words(client.get(f"/s/{code}/sag-check").text)
    assert f"is out of reach: expect about {found[1]} mm where it was set" in form


def test_a_coil_that_reads_the_same_is_not_asked_about(client: FlaskClient) -> None:
    coil = {"spring": "coil", "stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}
    code = saved(client, front=None, rear=coil)["code"]
    assert 'name="place"' not in client.get(f"/s/{code}").text
    assert 'name="place"' not in client.get(f"/s/{code}/sag-check").text


@pytest.mark.parametrize("size", ["a6", "4x6", "62x100"])
def test_a_full_card_gives_up_what_it_reads_elsewhere_before_it_fails(client: FlaskClient, size: str) -> None:
    clicks = {"rebound_clicks": 16, "compression_clicks": 12}
    second = {"second_volume_cm3": 40, "second_pressure_ratio": 1.8, "second_max_pressure_psi": 320}
    inside = {"positive_volume_cm3": 170, "bore_mm": 31}
    full = saved(client, front={**FRONT, **clicks, **second, **inside}, rear={**REAR, **clicks})
    assert client.get(f"/s/{full['code']}/card.pdf?size={size}").status_code == 200


def test_another_ride_moves_what_the_target_reads_where_it_is_set(client: FlaskClient) -> None:
    code = saved(client)["code"]
    shown = words(client.post(f"/s/{code}/what-if", data={"ride.temperature_c": "15"}).text)
    assert re.search(r"Target sag where set 25\.5 mm 2[89](\.5)? mm", shown)


def moved_on(client: FlaskClient, code: str, place: str, celsius: int) -> None:
    """Let somebody else save another air meanwhile."""
    changes = {place: {"temperature_c": celsius, "altitude_m": 300}, "rider_mass_now_kg": 80, "save": True}
    answer = client.post(f"/api/v1/setups/{code}/what-if", json=changes)
    assert answer.status_code == 201, answer.text


@pytest.mark.parametrize("ride_c", [30, 15])
def test_on_the_ride_stays_the_ride_of_the_page_that_was_seen(client: FlaskClient, ride_c: int) -> None:
    code = saved(client)["code"]
    data = {"front.pressure_psi": "90", "front.readings_mm-0": "31.5", "place": "ride", "base_revision": "1"}
    moved_on(client, code, "ride", ride_c)
    told = client.post(f"/s/{code}/sag-check", data=data)
    assert told.status_code == 409
    assert re.search(r'name="place" value="elsewhere" checked', told.text)
    typed = re.search(r'name="temperature_c" value="([^"]*)"', told.text)
    height = re.search(r'name="altitude_m" value="([^"]*)"', told.text)
    assert typed is not None
    assert height is not None
    assert (typed[1], height[1]) == ("-5 °C", "300 m")
    again = {**data, "place": "elsewhere", "temperature_c": typed[1], "altitude_m": height[1], "base_revision": "2"}
    answer = client.post(f"/s/{code}/sag-check", data=again)
    assert answer.status_code == 303
    # At −5 °C it read 31.5 mm: at the ride of today the fork is firmer, and asks for less air.
    assert "psi out of the fork" in words(client.get(answer.headers["Location"]).text)


def test_where_it_was_set_stays_the_air_of_the_page_that_was_seen(client: FlaskClient) -> None:
    code = saved(client)["code"]
    moved_on(client, code, "bench", 10)
    data = {"front.pressure_psi": "90", "front.readings_mm-0": "25.5", "place": "bench", "base_revision": "1"}
    told = client.post(f"/s/{code}/sag-check", data=data)
    assert told.status_code == 409
    assert 'name="temperature_c" value="30 °C"' in told.text
    assert re.search(r'name="place" value="bench" checked', told.text)


def test_each_choice_names_its_own_air(client: FlaskClient) -> None:
    page = client.get(f"/s/{saved(client)['code']}/sag-check").text
    for value, air in (("bench", "30 °C, 300 m"), ("ride", "-5 °C, 300 m"), ("elsewhere", "Enter the air there")):
        found = re.search(rf'id="place-{value}".*?<span class="option-line">([^<]*)', page)
        assert found is not None, value
        assert found[1].startswith(air), value


def test_the_plot_of_the_history_compares_on_the_ride(client: FlaskClient, app: Flask) -> None:
    setup = saved(client)
    code = setup["code"]
    checked(client, code, setup["front"]["sag_target_bench_mm"], place="bench")
    with app.test_request_context():
        plots = present_history(find_setup(code), list_revisions(code)).plots
    (measured,) = (plot.measured_mm[-1] for plot in plots if plot.name == "front")
    assert measured == pytest.approx(setup["front"]["sag_target_mm"], abs=0.6)


def test_the_other_half_of_an_air_stays_as_it_was_on_the_page_that_was_seen(client: FlaskClient) -> None:
    code = saved(client)["code"]
    moved_on(client, code, "ride", 20)
    data = {"front.pressure_psi": "90", "front.readings_mm-0": "31.5", "place": "ride", "base_revision": "1"}
    told = client.post(f"/s/{code}/sag-check", data={**data, "altitude_m": "310"})
    assert 'name="temperature_c" value="-5 °C"' in told.text
    assert 'name="altitude_m" value="310"' in told.text


@pytest.mark.parametrize("place", ["ride", "elsewhere"])
def test_a_pressure_of_another_bench_is_asked_for_again(client: FlaskClient, place: str) -> None:
    code = saved(client)["code"]
    moved_on(client, code, "bench", 0)
    data = {"front.pressure_psi": "90", "front.readings_mm-0": "31.5", "place": place, "temperature_c": "-5"}
    told = client.post(f"/s/{code}/sag-check", data={**data, "base_revision": "1"})
    assert told.status_code == 409
    assert "It was set at 30 °C, 300 m, now changed to 0 °C, 300 m. Enter what a gauge shows there." in words(told.text)
    assert 'name="front.pressure_psi" value="90"' in told.text


def test_nobody_is_told_to_pump_above_the_maximum_in_warm_air(client: FlaskClient) -> None:
    code = saved(client, rear={**REAR, "max_pressure_psi": 300}, front=None)["code"]
    body = {"end": "rear", "pressure_psi": 228, "readings_mm": [18.5], "temperature_c": 45}
    answer = client.post(f"/api/v1/setups/{code}/sag-checks", json=body).json or {}
    told = {note["code"]: note["message"] for note in answer["advice"]}
    assert (
        "45 °C and 300 m, the shock would need more than its maximum of 300 psi: stop there" in told["sag_air_maximum"]
    )
    assert "sag_in_this_air" not in told


def test_an_air_that_was_typed_in_other_units_is_told_in_whole_numbers(client: FlaskClient) -> None:
    code = saved(client)["code"]
    data = {"front.pressure_psi": "80", "front.readings_mm-0": "34", "temperature_c": "46 °F", "altitude_m": "2500 ft"}
    answer = client.post(f"/s/{code}/sag-check", data=data, follow_redirects=True)
    assert "In the air of this check, 7.8 °C and 762 m, the fork has to be at" in words(answer.text)


def test_the_revisions_say_what_a_reading_is_on_the_ride(client: FlaskClient) -> None:
    setup = saved(client)
    checked(client, setup["code"], setup["front"]["sag_target_bench_mm"], place="bench")
    last = (client.get(f"/api/v1/setups/{setup['code']}/revisions").json or {})["revisions"][-1]["front"]
    assert last["measured_place"] == "bench"
    assert last["measured_on_ride_mm"] == pytest.approx(setup["front"]["sag_target_mm"], abs=0.6)
    assert last["measured_sag_mm"] < last["measured_on_ride_mm"] - 4
