"""What another shop lists, and every route of a link that is gone; who else gets what: `tests/webapp/access`."""

from __future__ import annotations

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules import read_request
from webapp import create_app
from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import open_shop
from webapp.library.actions.save_suspension_unit import save_suspension_unit
from webapp.library.parsing import read_suspension_unit
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.renew_link import renew_link

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop


@pytest.fixture
def shop(app: Flask) -> Flask:
    """Two shops: one with an owner, staff and a unit, the other with an owner."""
    with app.app_context():
        owner = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        create_staff(owner.shop_id, "tom", PASSWORD, "staff")
        open_shop("Harbour Wheels", "ines", PASSWORD)
        save_suspension_unit(
            owner.shop_id, read_suspension_unit({"kind": "fork", "name": "Fen 34", "travels_mm": [120, 140]})
        )
    return app


def browser(app: Flask, login: str) -> FlaskClient:
    """Return a browser in which somebody is logged in."""
    client = app.test_client()
    assert client.post("/shop/log-in", data={"login": login, "password": PASSWORD}).status_code == 303
    return client


def test_another_shops_library_and_setups_are_not_listed(shop: Flask) -> None:
    mira, ines = browser(shop, "mira"), browser(shop, "ines")
    form = {"rider_mass_kg": "78", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "140"}
    assert mira.post("/", data=form | {"bike_label": "Heron 4"}).status_code == 303
    assert "Heron 4" in mira.get("/shop").text
    assert "Heron 4" not in ines.get("/shop", query_string={"q": "heron"}).text
    assert "Fen 34" in mira.get("/shop/units").text
    assert "Fen 34" not in ines.get("/shop/units").text
    assert "Fen 34" not in ines.get("/shop/units/units.csv").text
    assert "Fen 34" not in ines.get("/").text


@pytest.fixture(scope="module")
def links_named(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, str]]:
    """The routes, from an app on a folder of its own."""
    folder = str(tmp_path_factory.mktemp("routes"))
    app = create_app({"DATA": folder, "PUBLIC_BASE_URL": "https://cards.example", "TESTING": True})
    return [
        (method, rule.rule)
        for rule in app.url_map.iter_rules()
        if not rule.rule.startswith("/shop") and {"code", "key"} & rule.arguments
        for method in sorted((rule.methods or set()) & {"GET", "POST"})
    ]


@pytest.mark.parametrize("gone", ["unknown", "malformed", "deleted", "renewed", "expired"])
def test_no_route_of_a_link_opens_without_it(app: Flask, links_named: list[tuple[str, str]], gone: str) -> None:
    if gone == "expired":
        app.config["RETENTION_DAYS"] = -1
    with app.app_context():
        front = {"travel_mm": 100, "longest_travel_mm": 140}
        made = create_setup(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
        assert made.owner_key is not None
        if gone == "deleted":
            delete_setup(made.owner_key)
        elif gone == "renewed":
            renew_link(made.owner_key)
    code = {"unknown": "0" * 26, "malformed": "short"}.get(gone, made.saved.code)
    key = {"unknown": "0" * 26, "malformed": "short"}.get(gone, made.owner_key)
    wanted = 410 if gone in ("deleted", "renewed", "expired") else 404
    assert len(links_named) > 15
    assert ("POST", "/s/<code>/strike") in links_named
    client = app.test_client()
    bodies = {
        "sag-checks": {"end": "front", "pressure_psi": 80.0, "readings_mm": [20]},
        "bounce-checks": {"end": "front", "seen": "more", "clicks_out": 8},
        "rides": {"end": "front", "felt": ["dives"]},
        "what-if": {"bike_mass_kg": 15},
    }
    for method, rule in links_named:
        if gone == "renewed" and "<key>" in rule:
            continue  # a new link for the card leaves its owner's link as it is
        path = rule.replace("<code>", code).replace("<key>", key).replace("<int:revision>", "1")
        body = bodies.get(rule.rpartition("/")[2])
        asked = {"json": body} if body and rule.startswith("/api/") else {}
        answer = client.open(path, method=method, query_string={"end": "front", "a": 1, "b": 1}, **asked)
        assert answer.status_code == wanted, (method, rule, answer.status_code)
