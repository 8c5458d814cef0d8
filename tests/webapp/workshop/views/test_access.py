"""What another shop sees of the bench, and a rider's pages whose link is gone; every route: `tests/webapp/access`."""

from __future__ import annotations

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


def browser(app: Flask, login: str) -> FlaskClient:
    """Return a browser in which somebody is logged in."""
    client = app.test_client()
    assert client.post("/shop/log-in", data={"login": login, "password": PASSWORD}).status_code == 303
    return client


@pytest.fixture
def record(app: Flask) -> str:
    """The path of a record of the first of two shops."""
    with app.app_context():
        owner = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        create_staff(owner.shop_id, "tom", PASSWORD, "staff")
        open_shop("Harbour Wheels", "ines", PASSWORD)
    answer = browser(app, "mira").post("/shop/bench/new", data={"bike_label": "Heron 4", "spring_end": "front"})
    return urlsplit(answer.location).path


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
