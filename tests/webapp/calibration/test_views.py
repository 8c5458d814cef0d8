"""How right we are, over HTTP: the page, the switch with its way back, and the file."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import open_shop
from webapp.calibration.actions import judge_shop as judging

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
SETUP = {
    "rider_mass_kg": "78",
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "150",
    "front.stanchion_mm": "36",
}


@pytest.fixture
def owner(app: Flask) -> FlaskClient:
    """A browser of the owner of an invented shop, which has another member of staff; beside it is another shop."""
    with app.app_context():
        shop = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        create_staff(shop.shop_id, "tom", PASSWORD, "staff")
        open_shop("Harbour Wheels", "ines", PASSWORD)
    return logged_in(app, "mira")


def logged_in(app: Flask, login: str) -> FlaskClient:
    """Return a browser in which somebody is logged in."""
    client = app.test_client()
    assert client.post("/shop/log-in", data={"login": login, "password": PASSWORD}).status_code == 303
    return client


def text_of(client: FlaskClient, path: str = "/shop/calibration") -> str:
    """Return a page's words on one line."""
    answer = client.get(path)
    assert answer.status_code == 200
    return " ".join(html.unescape(re.sub("<[^>]+>", " ", answer.text)).split())


def save(client: FlaskClient, **changes: str) -> str:
    """Save a setup and return its address."""
    answer = client.post("/", data=SETUP | changes)
    assert answer.status_code == 303, re.sub("<[^>]+>", " ", answer.text)
    return str(answer.location)


def check(client: FlaskClient, setup: str, sag: int, revision: int = 1, psi: int = 70) -> None:
    """Check the sag of a setup."""
    entered = {"front.pressure_psi": str(psi), "front.readings_mm-0": str(sag), "base_revision": str(revision)}
    answer = client.post(f"{setup}/sag-check", data=entered)
    assert answer.status_code == 303, re.sub("<[^>]+>", " ", answer.text)


def soft_bikes(client: FlaskClient, number: int) -> None:
    """Save and check bikes that sag more than expected."""
    for place in range(number):
        check(client, save(client, rider_mass_kg=str(70 + place)), 42 + place % 5)


def switch(client: FlaskClient, **data: str) -> int:
    """Press a button of the switch and return the status."""
    return client.post("/shop/calibration/switch", data=data).status_code


def pressure(client: FlaskClient, setup: str) -> float:
    """Return the first fork pressure of a setup [psi]."""
    code = setup.rpartition("/")[2]
    return float(client.get(f"/api/v1/setups/{code}?revision=1").json["front"]["pressure_psi"])


def test_a_new_shop_is_told_to_measure(owner: FlaskClient) -> None:
    assert "No sag checks yet" in text_of(owner)
    assert "Off. New setups of your shop start from our estimates." in text_of(owner)


def test_only_the_first_check_of_a_setup_counts(owner: FlaskClient) -> None:
    setup = save(owner)
    check(owner, setup, 34)
    check(owner, setup, 33, revision=2)
    check(owner, save(owner), 58)
    assert "Forks, air negative spring 1 of 2" in text_of(owner)


def test_a_first_check_that_was_struck_out_leaves_the_place_to_the_next(owner: FlaskClient) -> None:
    setup = save(owner)
    check(owner, setup, 58)
    assert "0 of 1" in text_of(owner)
    owner.post(f"{setup}/strike", data={"check": "1", "struck": "1", "base_revision": "2"})
    assert "No sag checks yet" in text_of(owner)
    check(owner, setup, 34, revision=3)
    assert "1 of 1" in text_of(owner)


def test_entered_internals_are_counted_apart_and_say_nothing_of_a_size(owner: FlaskClient) -> None:
    check(owner, save(owner, **{"front.bore_mm": "33"}), 34)
    page = text_of(owner)
    assert "With internals or a chart entered 1 of 1" in page
    assert "Fork, 36 mm" not in page


def test_other_shops_and_strangers_setups_do_not_count(app: Flask, owner: FlaskClient) -> None:
    stranger = app.test_client()
    check(stranger, save(stranger), 34)
    check(logged_in(app, "ines"), save(logged_in(app, "ines")), 34)
    assert "No sag checks yet" in text_of(owner)


def test_the_owner_switches_on_and_off_and_goes_back(app: Flask, owner: FlaskClient) -> None:
    before = pressure(owner, save(owner))
    soft_bikes(owner, 12)
    assert "Fork, 36 mm, air negative spring 12 +" in text_of(owner)
    assert switch(owner, what="use") == 303
    assert "On. New setups of your shop start from your own checks." in text_of(owner)
    moved = save(owner)
    assert pressure(owner, moved) > 1.03 * before
    assert "The shop's 12 first sag checks: forks of this size need" in text_of(app.test_client(), moved)
    assert switch(owner, what="off") == 303
    assert pressure(owner, save(owner)) == before
    assert pressure(owner, moved) > 1.03 * before  # what was saved stays
    assert switch(owner, what="back", number="1") == 303
    assert pressure(owner, save(owner)) == pressure(owner, moved)
    states = text_of(owner).partition("Earlier states")[2]
    assert states.count("mira") >= 3
    assert "Off: our estimates" in states


def test_five_checks_move_nothing(owner: FlaskClient) -> None:
    soft_bikes(owner, 5)
    assert "too few checks" in text_of(owner)
    assert "Use our checks" not in text_of(owner)
    assert switch(owner, what="use") == 303
    assert "Off. New setups" in text_of(owner)


def test_others_get_the_page_or_nothing_of_it(app: Flask, owner: FlaskClient) -> None:
    soft_bikes(owner, 8)
    switch(owner, what="use")
    tom, ines = logged_in(app, "tom"), logged_in(app, "ines")
    assert "Only the shop's owner can change this." in text_of(tom)
    assert switch(tom, what="off") == 403
    assert "No sag checks yet" in text_of(ines)
    assert switch(ines, what="back", number="1") == 404
    assert "On. New setups" in text_of(owner)
    outside = app.test_client()
    assert "first sag checks" not in text_of(outside, save(outside))
    assert "The shop's 8 first sag checks" in text_of(tom, save(tom))


@pytest.mark.parametrize(
    "data", [{}, {"what": "x"}, {"what": "back"}, {"what": "back", "number": "x"}, {"what": "back", "number": "9" * 40}]
)
def test_nonsense_switches_nothing(owner: FlaskClient, data: dict[str, str]) -> None:
    assert switch(owner, **data) == 303
    assert "Earlier states" not in text_of(owner)


def test_a_check_keeps_what_the_shop_said_when_the_setup_was_made(owner: FlaskClient) -> None:
    soft_bikes(owner, 12)
    switch(owner, what="use")
    setup = save(owner)
    switch(owner, what="off")
    check(owner, setup, 34, psi=76)
    assert "The shop's 12 first sag checks" in text_of(owner, setup)


def test_a_page_counts_for_so_long_and_says_what_is_left(owner: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    soft_bikes(owner, 3)
    clock = iter(range(100))
    monkeypatch.setattr(judging.time, "monotonic", lambda: float(next(clock)))
    assert "checks are counted so far" in text_of(owner)


def test_the_file_holds_what_it_says_and_nothing_else(owner: FlaskClient) -> None:
    soft_bikes(owner, 6)
    answer = owner.get("/shop/calibration/checks.csv")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="calibration.csv"'
    lines = [line for line in answer.text.splitlines() if not line.startswith("#")]
    assert lines[0] == "spring_class,held,factor"
    assert len(lines) == 7
    assert all(re.fullmatch(r"fork_36_air,(yes|no),\d\.\d[05]", line) for line in lines[1:])
    assert lines[1:] == sorted(lines[1:], key=lambda line: line.split(",")[2])


@pytest.mark.parametrize("end", ["front", "rear"])
def test_outside_tools_cannot_send_a_shops_checks(app: Flask, end: str) -> None:
    told = {"spring_class": "fork_36_air", "checks": 43, "factor": 1.3, "factor_sigma": 0.03}
    own: dict[str, Any] = {
        "front": {"travel_mm": 150, "stanchion_mm": 36},
        "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.5},
    }
    body = {"rider_mass_kg": 78, "riding_style": "trail", **own}
    client = app.test_client()
    refused = client.post("/api/v1/setups", json={**body, end: {**own[end], "shop_checks": told}})
    assert refused.status_code == 422
    assert [one["field"] for one in refused.json["errors"]] == [f"{end}.shop_checks"]
    made = client.post("/api/v1/setups", json=body)
    path = f"/api/v1/setups/{made.json['code']}/what-if"
    for sent in (told, None):
        assert client.post(path, json={end: {"shop_checks": sent}}).status_code == 422
