"""Nobody without log-in can narrow a rider's weight from a bike: what they get is the same whoever rides.

The attacker knows everything but the weight and reads every page that needs no log-in, at every moment of a bike's day.
"""

from __future__ import annotations

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.webapp.demo_day.conftest import Crew

MOMENTS = ("being set", "out", "after a sag check", "back", "set up again")


def walked(crew: Crew, stranger: FlaskClient, kg: str, number: str) -> list[str]:
    """Let one rider have a bike, and return what the tag's page says at each moment."""
    bike = crew.add(number)
    seen = []

    def look() -> None:
        page = stranger.get(f"/bike/{bike.tag}")
        assert page.status_code == 200
        told = page.text + str(
            sorted((k, v) for k, v in page.headers if k not in ("Date", "Set-Cookie", "X-Request-ID"))
        )
        seen.append(told.replace(bike.tag, "TAG").replace(f"Bike {number}", "Bike N"))

    crew.set_up(bike.bike_id, kg)
    look()
    crew.press(bike.bike_id, "set")
    look()
    code, stands = crew.bike(bike.bike_id).turn.rider_code, crew.bike(bike.bike_id).standing["front"]
    sag = {"front.pressure_psi": str(stands.pressure_psi), "front.readings_mm-0": "31", "base_revision": "1"}
    assert crew.client.post(f"/s/{code}/sag-check", data=sag).status_code == 303
    look()
    crew.press(bike.bike_id, "back")
    look()
    crew.set_up(bike.bike_id, "72")
    look()
    return seen


def test_a_bikes_page_is_the_same_for_every_rider(crew: Crew, stranger: FlaskClient) -> None:
    light, heavy = (walked(crew, stranger, kg, number) for kg, number in (("52", "1"), ("104", "2")))
    for moment, one, other in zip(MOMENTS, light, heavy, strict=True):
        assert one == other, moment
    assert len(set(light)) == 1, "nor does it tell whether anybody rides"


def test_a_bikes_page_names_no_setting_and_no_link(crew: Crew, stranger: FlaskClient) -> None:
    bike = crew.add("3")
    crew.set_up(bike.bike_id, "81.5")
    crew.press(bike.bike_id, "set")
    now = crew.bike(bike.bike_id)
    page = stranger.get(f"/bike/{bike.tag}").text
    assert now.turn.rider_code not in page
    words = re.sub(r"<[^>]+>", " ", page)
    for stands in now.standing.values():
        assert f"{stands.pressure_psi:.0f} psi" not in words
        assert " out" not in words
    assert "81" not in words


@pytest.mark.parametrize("path", ["set-up", "change", "edit", "tag.pdf", ""])
def test_the_crews_pages_lead_a_stranger_to_the_log_in(crew: Crew, stranger: FlaskClient, path: str) -> None:
    bike = crew.add("3")
    crew.set_up(bike.bike_id, "81.5")
    answer = stranger.get(f"/shop/bikes/{bike.bike_id}/{path}".rstrip("/"))
    assert (answer.status_code, "/shop/log-in" in answer.location) == (303, True)


def test_another_shop_sees_no_more_than_a_stranger(app: Flask, crew: Crew, stranger: FlaskClient) -> None:
    from tests.webapp.demo_day.conftest import PASSWORD, log_in
    from webapp.accounts.actions.open_shop import open_shop

    with app.app_context():
        open_shop("Harbour Wheels", "ines", PASSWORD)
    ines, bike = log_in(app, "ines"), crew.add("3")
    crew.set_up(bike.bike_id, "81.5")
    main = re.compile(r"<main.*?</main>", re.DOTALL)
    theirs, strangers = (main.search(one.get(f"/bike/{bike.tag}").text) for one in (ines, stranger))
    assert theirs is not None
    assert strangers is not None
    assert theirs[0] == strangers[0]
    for path in ("set-up", "change", "do", "read"):
        method = ines.get if path in ("set-up", "change") else ines.post
        answer = method(f"/shop/bikes/{bike.bike_id}/{path}", **({"data": {"do": "back"}} if path == "do" else {}))
        assert answer.status_code == 404, path
    assert ines.get("/shop/bikes", query_string={"q": bike.tag}).status_code == 200


def test_the_log_of_a_bike_holds_no_weight_and_no_link(app: Flask, crew: Crew) -> None:
    import json

    from webapp.demo_day.actions.list_bikes import bike_events

    bike = crew.add("3")
    crew.set_up(bike.bike_id, "81.5")
    code = crew.bike(bike.bike_id).turn.rider_code or ""
    crew.press(bike.bike_id, "set")
    crew.press(bike.bike_id, "back")
    with app.app_context():
        kept = json.dumps([[one.detail, one.before] for one in bike_events(crew.shop_id, bike.bike_id)], default=dict)
    assert "set" in kept
    assert code not in kept
    assert "mass" not in kept
    assert "81.5" not in kept
