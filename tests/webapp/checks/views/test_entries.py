"""Correct my entries: the form as it was entered, a new version under the same link, checks that keep counting."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.webapp.setups.views.test_setup import BOTH, save, text_of, value_of

SAG = {"front.pressure_psi": "84", "front.readings_mm-0": "38"}
CHOICES = {"riding_style": "trail", "stance": "standing", "front.spring": "air", "rear.spring": "air"}


def entries_of(client: FlaskClient, path: str) -> dict[str, str]:
    """Return everything that the form of corrections holds, as a browser would send it."""
    import re
    from html import unescape

    page = client.get(f"{path}/entries").get_data(as_text=True)
    found = {
        unescape(name): unescape(value)
        for name, value in re.findall(r'<input type="(?:text|hidden)"[^>]* name="([^"]+)" value="([^"]*)"', page)
    }
    for name, value in re.findall(r'<input type="radio"[^>]* name="([^"]+)" value="([^"]*)" checked', page):
        found[name] = value
    for name in re.findall(r'<input type="checkbox"[^>]* name="([^"]+)" value="y" checked', page):
        found[name] = "y"
    return found


def saved_json(client: FlaskClient, path: str) -> dict[str, object]:
    """Return the newest version as the JSON interface tells it."""
    answer = client.get(f"/api/v1{path.replace('/s/', '/setups/')}").get_json()
    assert isinstance(answer, dict)
    return answer


def test_one_press_opens_what_was_entered_in_the_units_of_the_device(client: FlaskClient) -> None:
    path = save(client, **{"units.mass": "lb", "units.pressure": "bar", "rear.max_pressure_psi": "19"})
    assert f'href="{path}/entries"' in client.get(path).get_data(as_text=True)
    entries = entries_of(client, path)
    assert float(entries["rider_mass_kg"]) == pytest.approx(180, abs=0.6)  # kept to half a kilogram
    assert entries["units.mass"] == "lb"
    assert float(entries["rear.max_pressure_psi"]) == pytest.approx(19, abs=1e-3)
    assert entries["front.travel_mm"] == "140"
    assert entries["rear.wheel_travel_mm"] == "145"
    assert entries["rear.leverage_start"] == ""
    assert (entries["bike_label"], entries["service_note"]) == ("blue trail bike", "air spring serviced")


def test_a_correction_is_a_version_under_the_same_link_and_the_history_says_what(client: FlaskClient) -> None:
    path = save(client)
    before = saved_json(client, path)
    answer = client.post(f"{path}/entries", data=entries_of(client, path) | {"front.travel_mm": "150"})
    assert answer.headers["Location"] == f"{path}/2/answer"
    assert client.get(answer.headers["Location"]).status_code == 200
    after = saved_json(client, path)
    assert "150 mm travel" in text_of(client.get(path))
    assert after["front"] != before["front"]
    assert after["rear"] == before["rear"]
    assert "Corrected: Fork travel" in text_of(client.get(f"{path}/history"))


def test_nothing_corrected_is_said_and_saves_nothing(client: FlaskClient) -> None:
    path = save(client)
    answer = client.post(f"{path}/entries", data=entries_of(client, path))
    assert answer.status_code == 422
    assert "You have not changed anything" in text_of(answer)


def test_the_texts_of_the_card_alone_can_be_corrected(client: FlaskClient) -> None:
    path = save(client)
    client.post(f"{path}/entries", data=entries_of(client, path) | {"bike_label": "green trail bike"})
    assert "green trail bike" in text_of(client.get(path))
    assert "Corrected: the texts on the card" in text_of(client.get(f"{path}/history"))


def test_a_check_is_read_again_with_what_was_put_right(client: FlaskClient) -> None:
    """A bike that was entered wrongly and measured is the bike that was entered rightly and measured."""
    wrong, right = save(client, rider_mass_kg="70"), save(client, rider_mass_kg="80")
    for path in (wrong, right):
        assert client.post(f"{path}/sag-check", data=SAG | {"confirm": "y"}).status_code == 303
    answer = client.post(f"{wrong}/entries", data=entries_of(client, wrong) | {"rider_mass_kg": "80"})
    assert answer.status_code == 303, text_of(answer)
    put_right, at_once = saved_json(client, wrong), saved_json(client, right)
    assert put_right["front"]["pressure_psi"] == at_once["front"]["pressure_psi"]  # type: ignore[index]
    assert "no longer count" not in text_of(client.get(f"{wrong}/history"))
    assert client.get(f"{wrong}/history").get_data(as_text=True).count(f'action="{wrong}/strike"') == 1


@pytest.mark.parametrize(
    ("slip", "words"),
    [
        ({"front.spring": "coil"}, "1 sag check no longer counts"),
        ({"front.wanted": ""}, "1 sag check no longer counts"),
    ],
)
def test_a_check_that_tells_nothing_any_more_stops_counting_and_that_is_said(
    client: FlaskClient, slip: dict[str, str], words: str
) -> None:
    path = save(client)
    client.post(f"{path}/sag-check", data=SAG)
    changed = {k: v for k, v in (entries_of(client, path) | slip).items() if v or k != "front.wanted"}
    answer = client.post(f"{path}/entries", data=changed)
    assert answer.status_code == 303, text_of(answer)
    assert words in text_of(client.get(f"{path}/history"))


def test_two_who_correct_lose_nothing_of_each_other(client: FlaskClient) -> None:
    path = save(client)
    mine = entries_of(client, path) | {"front.travel_mm": "150"}
    theirs = entries_of(client, path) | {"bench.temperature_c": "8"}
    assert client.post(f"{path}/entries", data=theirs).status_code == 303
    told = client.post(f"{path}/entries", data=mine)
    assert told.status_code == 409
    page = told.get_data(as_text=True)
    assert "Someone saved a change in the meantime" in page
    assert value_of(page, "front.travel_mm") == "150"
    again = mine | {"base_revision": value_of(page, "base_revision"), "seen_revision": value_of(page, "seen_revision")}
    assert client.post(f"{path}/entries", data=again).headers["Location"] == f"{path}/3/answer"
    after = text_of(client.get(path))
    assert "150 mm travel" in after
    assert "8 °C" in after


def test_a_stranger_with_the_card_sees_no_weight_and_needs_the_proof(
    client: FlaskClient, make_app: Callable[..., Flask]
) -> None:
    path = save(client)
    stranger = client.application.test_client()
    entries = entries_of(stranger, path)
    assert (entries["rider_mass_kg"], entries["kit_mass_kg"]) == ("", "")
    assert "81.5" not in stranger.get(f"{path}/entries").get_data(as_text=True)
    assert "front_axle_kg" not in entries
    for weight in ("70", "81.5"):  # the right one too: to let it through would tell it
        refused = stranger.post(f"{path}/entries", data=entries | {"rider_mass_kg": weight})
        assert refused.status_code == 422
        assert "Rider weight now" in text_of(refused)
    good = stranger.post(f"{path}/entries", data=entries | {"rider_mass_kg": "70", "rider_mass_now_kg": "81.5"})
    assert good.status_code == 303, text_of(good)


def test_a_stranger_may_correct_what_is_on_the_card_and_the_weight_stays(client: FlaskClient) -> None:
    path = save(client)
    stranger = client.application.test_client()
    answer = stranger.post(f"{path}/entries", data=entries_of(stranger, path) | {"front.travel_mm": "150"})
    assert answer.status_code == 303, text_of(answer)
    assert float(entries_of(client, path)["rider_mass_kg"]) == 81.5


def test_the_owners_page_leads_there_with_the_weights(client: FlaskClient) -> None:
    path = save(client)
    owner_link = client.get(path).get_data(as_text=True).split('class="address" href="')[1].split('"')[0]
    elsewhere = client.application.test_client()
    assert entries_of(elsewhere, path)["rider_mass_kg"] == ""
    page = elsewhere.get(f"/owner/{owner_link.rpartition('/')[2]}").get_data(as_text=True)
    assert f'href="{path}/entries"' in page
    assert float(entries_of(elsewhere, path)["rider_mass_kg"]) == 81.5


def test_a_scales_share_follows_the_right_weight(client: FlaskClient) -> None:
    """38 kg under the front wheel of 93 kg is another share than of 103 kg."""
    scale = {"front_axle_kg": "38"}
    wrong, right = save(client, rider_mass_kg="75", **scale), save(client, rider_mass_kg="85", **scale)
    answer = client.post(f"{wrong}/entries", data=entries_of(client, wrong) | {"rider_mass_kg": "85"})
    assert answer.status_code == 303, text_of(answer)
    assert saved_json(client, wrong)["front"] == saved_json(client, right)["front"]


def test_an_error_keeps_what_was_typed(client: FlaskClient) -> None:
    path = save(client)
    answer = client.post(f"{path}/entries", data=entries_of(client, path) | {"front.travel_mm": "1400"})
    assert answer.status_code == 422
    assert value_of(answer.get_data(as_text=True), "front.travel_mm") == "1400"


def test_the_base_form_is_as_it_was(client: FlaskClient) -> None:
    assert client.post("/", data=BOTH).status_code == 303


def test_another_unit_on_the_page_changes_nothing_by_itself(client: FlaskClient) -> None:
    path = save(
        client,
        **{
            "units.mass": "lb",
            "units.pressure": "bar",
            "units.length": "in",
            "units.temperature": "f",
            "units.altitude": "ft",
            "rider_mass_kg": "180",
            "front.travel_mm": "140 mm",
            "rear.stroke_mm": "55 mm",
            "rear.wheel_travel_mm": "145 mm",
            "front.max_pressure_psi": "150 psi",
            "bench.altitude_m": "300 m",
            "ride.temperature_c": "7 °C",
        },
    )
    answer = client.post(f"{path}/entries", data=entries_of(client, path))
    assert "You have not changed anything" in text_of(answer)


def test_what_was_left_empty_stays_empty(client: FlaskClient) -> None:
    entries = entries_of(client, save(client))
    for name in ("kit_mass_kg", "bike_mass_kg", "front.head_angle_deg", "front.volume_spacers", "bench.temperature_c"):
        assert entries[name] == "", name


def test_entries_read_as_people_write_them(client: FlaskClient) -> None:
    units = {"units.mass": "st", "units.length": "in", "units.pressure": "bar", "rear.max_pressure_psi": "20"}
    typed = {"rider_mass_kg": "11½ st", "front.travel_mm": "150 mm", "rear.stroke_mm": "210 × 55"}
    path = save(client, **units, **typed, **{"rear.wheel_travel_mm": "5.5"})
    entries = entries_of(client, path)
    assert entries["rider_mass_kg"] == "11 st 7"
    assert (entries["front.travel_mm"], entries["rear.stroke_mm"]) == ("150 mm", "55 mm")
    assert entries["rear.max_pressure_psi"] == "20"
    # Sent as it stands, nothing differs.
    answer = client.post(f"{path}/entries", data=entries)
    assert answer.status_code == 422
    assert "You have not changed anything" in text_of(answer)
