"""Every route of the bench × signed out, another shop, staff, owner; every rider's route × a link that is gone."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules import read_request
from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import open_shop
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.renew_link import renew_link

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
SHOP_WIDE = ["/shop/bench", "/shop/bench/new", "/shop/bench/checklist"]
OF_A_RECORD = ["", "/found", "/left", "/steps/eyes", "/setup", "/card"]
CHANGES = ["/found", "/left", "/steps/eyes", "/steps/eyes/state", "/setup", "/card", "/close"]


def browser(app: Flask, login: str) -> FlaskClient:
    """Return a browser in which somebody is logged in."""
    client = app.test_client()
    assert client.post("/shop/log-in", data={"login": login, "password": PASSWORD}).status_code == 303
    return client


def without_tokens(page: str) -> str:
    """Return a page without the tokens of its forms, which are new every time."""
    return re.sub(r'name="csrf_token" value="[^"]*"', "", page)


@pytest.fixture
def record(app: Flask) -> str:
    """The path of a record of the first of two shops."""
    with app.app_context():
        owner = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        create_staff(owner.shop_id, "tom", PASSWORD, "staff")
        open_shop("Harbour Wheels", "ines", PASSWORD)
    answer = browser(app, "mira").post("/shop/bench/new", data={"bike_label": "Heron 4", "spring_end": "front"})
    return urlsplit(answer.location).path


def test_the_table_below_names_every_route_of_the_bench(app: Flask) -> None:
    rules = {
        (rule.rule, method)
        for rule in app.url_map.iter_rules()
        if rule.endpoint.partition(".")[0] in ("records", "record_steps")
        for method in (rule.methods or set()) & {"GET", "POST"}
    }
    named = {(path, "GET") for path in SHOP_WIDE} | {(path, "POST") for path in SHOP_WIDE[1:]}
    for path, method in [(p, "GET") for p in OF_A_RECORD] + [(p, "POST") for p in CHANGES]:
        named.add((f"/shop/bench/<code>{path.replace('eyes', '<key>')}", method))
    assert rules == named


@pytest.mark.parametrize("path", SHOP_WIDE + OF_A_RECORD)
def test_reading_is_for_the_own_shop(app: Flask, record: str, path: str) -> None:
    of_record = path in OF_A_RECORD
    address = record + path if of_record else path
    out = app.test_client().get(address)
    assert out.status_code == 303
    assert urlsplit(out.location).path == "/shop/log-in"
    for login in ("mira", "tom"):
        assert browser(app, login).get(address).status_code == 200
    assert browser(app, "ines").get(address).status_code == (404 if of_record else 200)


@pytest.mark.parametrize("path", CHANGES)
def test_changing_is_for_the_own_shop(app: Flask, record: str, path: str) -> None:
    data = {"state": "done", "pressure_psi": "60", "setup_code": "0" * 26}
    before = without_tokens(browser(app, "mira").get(record).text)
    out = app.test_client().post(record + path, data=data)
    assert urlsplit(out.location).path == "/shop/log-in"
    assert browser(app, "ines").post(record + path, data=data).status_code == 404
    assert without_tokens(browser(app, "mira").get(record).text) == before
    for login in ("mira", "tom"):
        assert browser(app, login).post(record + path, data=data).status_code in (303, 422)


def test_another_shops_records_are_not_in_the_list(app: Flask, record: str) -> None:
    assert "Heron 4" in browser(app, "tom").get("/shop/bench").text
    assert "Heron 4" not in browser(app, "ines").get("/shop/bench").text
    assert "Heron 4" not in browser(app, "ines").get("/shop/bench", query_string={"q": "heron"}).text


def test_another_shops_checklist_is_its_own(app: Flask, record: str) -> None:
    client = browser(app, "mira")
    titles = {f"row{n}.title": f"Own step {n}" for n in range(12)}
    assert client.post("/shop/bench/checklist", data=titles).status_code == 303
    assert "Own step 4" in client.get("/shop/bench/checklist").text
    assert "Own step 4" not in browser(app, "ines").get("/shop/bench/checklist").text


@pytest.mark.parametrize("path", ["/travel", "/card.pdf?side=back", "/card.pdf?side=both"])
@pytest.mark.parametrize("gone", ["deleted", "renewed", "expired"])
def test_a_riders_page_is_gone_with_its_link(app: Flask, client: FlaskClient, path: str, gone: str) -> None:
    front = {"travel_mm": 100, "longest_travel_mm": 140}
    if gone == "expired":
        app.config["RETENTION_DAYS"] = -1
    with app.app_context():
        made = create_setup(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
        assert made.owner_key is not None
        if gone == "deleted":
            delete_setup(made.owner_key)
        elif gone == "renewed":
            renew_link(made.owner_key)
    assert client.get(f"/s/{made.saved.code}{path}").status_code == 410
