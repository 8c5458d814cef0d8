"""An attacker who has somebody's card and all the time in a day asks what-ifs until the rider's weight is found."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules import read_request
from webapp.accounts.actions import throttle
from webapp.accounts.actions.open_shop import open_shop
from webapp.checks.actions.prove_weight import WRONG_A_DAY, WRONG_EVERYWHERE
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.round_weights import rounded_kg
from webapp.setups.actions.shop_setups import register_setup
from webapp.setups.revision import CreatedSetup

WEIGHT_KG = 83.5
PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
LOW, HIGH = 40.0, 140.0


@pytest.fixture
def made(app: Flask, whole_request: dict[str, Any]) -> CreatedSetup:
    with app.app_context():
        return create_setup(read_request({**whole_request, "rider_mass_kg": WEIGHT_KG}))


def ask(client: FlaskClient, code: str, body: dict[str, Any], **headers: str) -> Any:
    return client.post(f"/api/v1/setups/{code}/what-if", json=body, headers=headers)


def bisect(client: FlaskClient, code: str, **more: Any) -> float:
    """Return the weight at which a what-if gives the pressure of the card; an answer that is no setup says nothing."""
    card = client.get(f"/api/v1/setups/{code}").json["front"]["pressure_psi"]  # type: ignore[index]
    low, high = LOW, HIGH
    for _call in range(12):
        guess = (low + high) / 2
        answer = ask(client, code, {"rider_mass_kg": guess} | more)
        if answer.status_code != 200:
            return float("nan")
        if answer.json["front"]["pressure_psi"] < card:
            low = guess
        else:
            high = guess
    return (low + high) / 2


def test_who_bisects_over_the_interface_finds_nothing(client: FlaskClient, made: CreatedSetup) -> None:
    found = bisect(client, made.saved.code)
    assert not abs(found - WEIGHT_KG) < 20
    told = ask(client, made.saved.code, {"rider_mass_kg": WEIGHT_KG})
    assert told.status_code == 422
    assert [e["field"] for e in told.json["errors"]] == ["rider_mass_now_kg"]


def test_who_bisects_by_saving_finds_nothing_either(client: FlaskClient, made: CreatedSetup) -> None:
    for guess in (60.0, WEIGHT_KG, 110.0):
        assert ask(client, made.saved.code, {"rider_mass_kg": guess, "save": True}).status_code == 422
    assert client.get(f"/s/{made.saved.code}/2").status_code == 404


def test_who_bisects_on_the_page_is_told_the_same_for_the_right_weight_and_a_wrong_one(
    client: FlaskClient, made: CreatedSetup
) -> None:
    def page(weight: float, do: str) -> tuple[int, str]:
        form = {"riding_style": "trail", "rider_mass_kg": str(weight), "do": do}
        answer = client.post(f"/s/{made.saved.code}/what-if", data=form)
        return answer.status_code, answer.text.partition('id="problems"')[2].partition("</ol>")[0]

    for do in ("show", "save"):
        right, wrong = page(WEIGHT_KG, do), page(60.0, do)
        assert right == wrong
        assert right[0] == 422
        assert "Rider weight now" in right[1]


def test_guesses_at_the_weight_are_few_a_day_and_say_neither_more_nor_less(
    client: FlaskClient, made: CreatedSetup
) -> None:
    said = []
    for now in (70.0, 75.0, 80.0, WEIGHT_KG, 90.0):
        answer = ask(client, made.saved.code, {"rider_mass_kg": 95, "rider_mass_now_kg": now})
        said.append((answer.status_code, answer.json["errors"][0]["message"]))
    assert {status for status, _message in said} == {422}
    assert len({message for _status, message in said[:WRONG_A_DAY]}) == 1
    assert len({message for _status, message in said[WRONG_A_DAY:]}) == 1  # the right one is not even looked at now


def test_a_day_of_guessing_leaves_nearly_all_weights_possible(client: FlaskClient, made: CreatedSetup) -> None:
    possible = {LOW + 0.5 * n for n in range(int(2 * (HIGH - LOW)) + 1)}
    before, looked_at = len(possible), ""
    for now in (70.0, 72.0, 76.0, 74.0, 82.0, WEIGHT_KG, 84.0, 78.0):
        answer = ask(client, made.saved.code, {"rider_mass_kg": 95, "rider_mass_now_kg": now})
        assert answer.status_code == 422
        looked_at = looked_at or answer.json["errors"][0]["message"]
        if answer.json["errors"][0]["message"] == looked_at:
            possible.discard(now)
    assert WEIGHT_KG in possible
    assert len(possible) > 0.94 * before


def test_who_knows_the_weight_asks_as_often_as_needed(client: FlaskClient, made: CreatedSetup) -> None:
    light = ask(client, made.saved.code, {"rider_mass_kg": 60, "rider_mass_now_kg": WEIGHT_KG}).json
    for _time in range(WRONG_A_DAY + 2):
        heavy = ask(client, made.saved.code, {"rider_mass_kg": 100, "rider_mass_now_kg": WEIGHT_KG - 0.2})
        assert heavy.status_code == 200
        assert heavy.json["front"]["pressure_psi"] > light["front"]["pressure_psi"]
    body = {"rider_mass_kg": 100, "rider_mass_now_kg": WEIGHT_KG, "save": True}
    assert ask(client, made.saved.code, body).status_code == 201


def test_the_owners_link_may_ask_everything_also_when_others_have_guessed(
    client: FlaskClient, made: CreatedSetup
) -> None:
    for now in range(50, 60):
        ask(client, made.saved.code, {"rider_mass_kg": 95, "rider_mass_now_kg": now})
    link = f"https://cards.example/owner/{made.owner_key}"
    assert ask(client, made.saved.code, {"rider_mass_kg": 95}, **{"Setup-Owner-Link": link}).status_code == 200
    form = {"riding_style": "trail", "rider_mass_kg": "95", "owner_link": link, "do": "show"}
    assert "psi more" in client.post(f"/s/{made.saved.code}/what-if", data=form).text


def test_a_link_that_is_not_the_owners_is_said_to_be_wrong_and_tells_nothing(
    client: FlaskClient, made: CreatedSetup
) -> None:
    for link in ("https://cards.example/owner/" + "0" * 26, "not a link"):
        answer = ask(client, made.saved.code, {"rider_mass_kg": 95}, **{"Setup-Owner-Link": link})
        assert answer.status_code == 422
        assert "not the owner's link" in str(answer.json)
        assert "front" not in answer.json


CHART = {"front": {"chart": [[40, 40], [120, 160]], "chart_weight": "rider"}}


def test_a_chart_of_ones_own_is_no_solver(client: FlaskClient, made: CreatedSetup) -> None:
    """With 120 psi over 80 kg, the chart's pressure told the rider to a kilogram, and the reason said it in words."""
    answer = ask(client, made.saved.code, CHART)
    assert answer.status_code == 422
    assert "front" not in answer.json
    for part in ({"chart_weight": "rider"}, {"chart_sag_percent": 20}):
        assert ask(client, made.saved.code, {"rear": part}).status_code == 422
    shown = ask(client, made.saved.code, {**CHART, "rider_mass_now_kg": WEIGHT_KG, "save": True})
    assert shown.status_code == 201
    assert not re.search(rf"\b{WEIGHT_KG:.0f} kg", str(shown.json["reasons"]))
    assert "The chart counts for the rider's weight" in str(shown.json["reasons"])


def guess(client: FlaskClient, code: str, now: float, address: str) -> Any:
    body = {"rider_mass_kg": 95, "rider_mass_now_kg": now}
    return client.post(f"/api/v1/setups/{code}/what-if", json=body, environ_base={"REMOTE_ADDR": address})


def test_a_strangers_guesses_leave_the_rider_their_own(client: FlaskClient, made: CreatedSetup) -> None:
    for n in range(WRONG_A_DAY + 3):
        guess(client, made.saved.code, 50 + n, f"2001:db8:1:2::{n + 1}")  # one line of IPv6, many addresses
    assert guess(client, made.saved.code, WEIGHT_KG, "2001:db8:1:2::99").status_code == 422
    assert guess(client, made.saved.code, WEIGHT_KG, "198.51.100.7").status_code == 200


def test_guesses_from_many_networks_are_few_all_together(client: FlaskClient, made: CreatedSetup) -> None:
    said = [
        guess(client, made.saved.code, 50 + n, f"198.51.100.{n}").json["errors"][0]["message"]
        for n in range(WRONG_EVERYWHERE + 3)
    ]
    assert len(set(said[:WRONG_EVERYWHERE])) == len(set(said[WRONG_EVERYWHERE:])) == 1
    assert guess(client, made.saved.code, WEIGHT_KG, "203.0.113.1").status_code == 422
    link = f"https://cards.example/owner/{made.owner_key}"  # its owner is kept out by nobody
    assert ask(client, made.saved.code, {"rider_mass_kg": 95}, **{"Setup-Owner-Link": link}).status_code == 200


def test_a_month_of_guessing_from_everywhere_tries_few_of_the_weights_that_the_card_leaves(
    client: FlaskClient, made: CreatedSetup, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who knows bike and rules has ± 3.2 kg left: thirteen half kilograms, tried outwards from a centre that is off."""
    tried, begun = set(), datetime.now(UTC)
    around = [WEIGHT_KG + 1.5 + 0.5 * step * side for step in range(1, 8) for side in (1, -1)]
    for day in range(29):
        monkeypatch.setattr(throttle, "datetime", _Clock(begun + timedelta(days=day)))
        for network in range(4):
            now = next((one for one in around if one not in tried and one != WEIGHT_KG), None)
            if now is None:
                return
            answer = guess(client, made.saved.code, now, f"198.51.{day}.{network}")
            if "is not the weight that was saved" in answer.json["errors"][0]["message"]:
                tried.add(now)
    assert len(tried) == WRONG_EVERYWHERE
    assert len(tried) < 13 / 2
    monkeypatch.setattr(throttle, "datetime", _Clock(begun + timedelta(days=31)))
    assert guess(client, made.saved.code, WEIGHT_KG, "203.0.113.1").status_code == 200  # its rider may, after a month


def test_the_riders_own_visits_give_strangers_no_new_guesses(client: FlaskClient, made: CreatedSetup) -> None:
    tried = 0
    for n in range(2 * WRONG_EVERYWHERE):
        answer = guess(client, made.saved.code, 50 + n, f"198.51.100.{n}")
        tried += "is not the weight that was saved" in answer.json["errors"][0]["message"]
        if n < WRONG_EVERYWHERE - 1:
            assert guess(client, made.saved.code, WEIGHT_KG, "203.0.113.1").status_code == 200
    assert tried == WRONG_EVERYWHERE


@pytest.mark.parametrize("pounds", range(80, 330, 7))
def test_who_says_the_weight_in_pounds_is_believed(pounds: int) -> None:
    """A kilogram that is typed in whole pounds later is at most 0.23 kg off, so that it is rounded to the same half."""
    kept = rounded_kg(pounds * 0.45359237)
    assert rounded_kg(round(kept / 0.45359237) * 0.45359237) == kept


class _Clock:
    """Tells one moment."""

    def __init__(self, moment: datetime) -> None:
        self.moment = moment

    def now(self, _zone: Any) -> datetime:
        return self.moment


def test_the_shop_that_made_it_needs_no_proof_and_another_does(app: Flask, whole_request: dict[str, Any]) -> None:
    with app.app_context():
        members = [open_shop(name, login, PASSWORD) for name, login in (("Lantern", "mira"), ("Harbour", "ines"))]
        made = create_setup(read_request({**whole_request, "rider_mass_kg": WEIGHT_KG}))
        register_setup(members[0], made.saved.code)
    form = {"riding_style": "trail", "rider_mass_kg": "95", "do": "show"}
    statuses = []
    for login in ("mira", "ines"):
        client = app.test_client()
        client.post("/shop/log-in", data={"login": login, "password": PASSWORD})
        for now in range(50, 55):
            ask(client, made.saved.code, {"rider_mass_kg": 95, "rider_mass_now_kg": now})
        statuses.append(client.post(f"/s/{made.saved.code}/what-if", data=form).status_code)
    assert statuses == [200, 422]


@pytest.mark.parametrize("link", ["", "x", "0" * 26, "https://cards.example/owner/" + "0" * 26])
def test_another_owners_link_opens_nothing_here(
    app: Flask, client: FlaskClient, made: CreatedSetup, whole_request: dict[str, Any], link: str
) -> None:
    with app.app_context():
        mine = create_setup(read_request(whole_request)).owner_key
    for held in (link, str(mine)):
        answer = ask(client, made.saved.code, {"rider_mass_kg": 95}, **{"Setup-Owner-Link": held})
        assert answer.status_code == 422


@pytest.mark.parametrize("kit", [0, 4, 9, None])
def test_another_kit_asks_for_the_riders_weight_too(client: FlaskClient, made: CreatedSetup, kit: float | None) -> None:
    """The kit at which the pressure is the card's is the saved one; with it the rider follows from the pressure."""
    for body in ({"kit_mass_kg": kit}, {"kit_mass_kg": kit, "save": True}):
        told = ask(client, made.saved.code, body)
        assert told.status_code == 422
        assert [e["field"] for e in told.json["errors"]] == ["rider_mass_now_kg"]
    form = {"riding_style": "trail", "kit_mass_kg": "" if kit is None else str(kit), "do": "show"}
    assert client.post(f"/s/{made.saved.code}/what-if", data=form).status_code == 422
    assert ask(client, made.saved.code, {"kit_mass_kg": kit, "rider_mass_now_kg": WEIGHT_KG}).status_code == 200


def test_what_changes_no_weight_asks_for_none(client: FlaskClient, made: CreatedSetup) -> None:
    for body in ({"bike_mass_kg": 16}, {"ride": {"temperature_c": -5}}, {"front": {"volume_spacers": 1}}):
        assert ask(client, made.saved.code, body).status_code == 200


@pytest.mark.parametrize("save", [False, True])
def test_a_scale_reading_is_not_held_against_the_saved_weights_for_a_stranger(
    client: FlaskClient, made: CreatedSetup, save: bool
) -> None:
    # Two wheels that do not add up would be told the sum of rider, kit and bike.
    for body in (
        {"front_axle_kg": 40, "rear_axle_kg": 140},
        {"front_axle_kg": 149},
        {"front_axle_kg": 40},
        {"weighed_kg": 100},
        {"weighed_stance": "seated"},
        {"rear_axle_kg": 60, "rider_front_share_percent": 40},
    ):
        answer = ask(client, made.saved.code, body | ({"save": True} if save else {}))
        assert answer.status_code == 422
        assert [e["field"] for e in answer.json["errors"]] == ["rider_mass_now_kg"]


def test_a_spring_of_ones_own_is_a_solver_and_needs_the_proof(client: FlaskClient, made: CreatedSetup) -> None:
    pushes = {
        "pressure_psi": 80,
        "compression_mm": [20, 42, 70, 98],
        "force_down_n": [195, 345, 570, 890],
        "force_up_n": [150, 305, 530, 840],
    }
    told = ask(client, made.saved.code, {"front": {"spring_test": pushes}})
    assert told.status_code == 422
    assert [e["field"] for e in told.json["errors"]] == ["rider_mass_now_kg"]
    known = ask(client, made.saved.code, {"front": {"spring_test": pushes}, "rider_mass_now_kg": WEIGHT_KG})
    assert known.status_code == 200


def test_what_a_scale_showed_is_kept_to_half_a_kilogram_and_told_as_a_share_alone(
    app: Flask, client: FlaskClient, whole_request: dict[str, Any]
) -> None:
    body = {**whole_request, "rider_mass_kg": 83.74, "front_axle_kg": 41.26}
    with app.app_context():
        made = create_setup(read_request(body))
    request = made.saved.setup.request
    assert (request.rider_mass_kg, request.front_axle_kg) == (83.5, 41.5)
    assert request.weighed_kg is not None
    assert request.weighed_kg % 0.5 == 0.0
    for path in (f"/s/{made.saved.code}", f"/api/v1/setups/{made.saved.code}", f"/s/{made.saved.code}/history"):
        text = client.get(path).text
        assert "41.5" not in text
        assert "41.26" not in text
