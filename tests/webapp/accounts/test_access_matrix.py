"""Every route of the shop × signed out, another shop, staff, owner; every route of a link × unknown, gone."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.routing import Rule

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
#: Who may open a route: everybody, staff and owner, the owner alone. Service records have a table of their own.
LEVELS = {
    "log_in.log_in": "all",
    "log_in.open_first": "all",
    "log_in.log_out": "staff",
    "log_in.password": "staff",
    "shop.home": "staff",
    "library.browse": "staff",
    "library.new": "staff",
    "library.edit": "staff",
    "library.retire": "staff",
    "library.take_in": "staff",
    "library.export": "staff",
    "staff.accounts": "owner",
    "staff.change": "owner",
    "staff.password": "owner",
}
#: Routes of one thing of a shop: another shop's is as unknown as one that never was.
OWNED = {"library.edit", "library.retire", "staff.change", "staff.password"}
#: The blueprints of service records; their routes are in `tests/webapp/workshop/views/test_access.py`.
RECORD_BLUEPRINTS = ("records", "record_steps")
GUARDED = sorted(name for name, level in LEVELS.items() if level != "all")


def shop_rules(app: Flask) -> Iterator[Rule]:
    """Yield every route under the shop's address but those of service records."""
    for rule in app.url_map.iter_rules():
        if rule.rule.startswith("/shop") and rule.endpoint.partition(".")[0] not in RECORD_BLUEPRINTS:
            yield rule


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


def address(app: Flask, endpoint: str) -> tuple[str, str]:
    """Return (method, path) of a route, for the first unit or the account of staff."""
    rule = next(rule for rule in shop_rules(app) if rule.endpoint == endpoint)
    path = rule.rule.replace("<int:suspension_unit_id>", "1").replace("<int:staff_id>", "2").replace("<kind>", "csv")
    return ("GET" if "GET" in (rule.methods or ()) else "POST"), path


def test_the_table_names_every_route_of_the_shop(app: Flask) -> None:
    assert {rule.endpoint for rule in shop_rules(app)} == set(LEVELS)


@pytest.mark.parametrize("endpoint", GUARDED)
def test_who_is_signed_out_is_led_to_the_log_in(shop: Flask, endpoint: str) -> None:
    path = address(shop, endpoint)[1]
    methods = {m for rule in shop_rules(shop) if rule.endpoint == endpoint for m in rule.methods or ()}
    for method in methods & {"GET", "POST"}:
        answer = shop.test_client().open(path, method=method)
        assert answer.status_code == 303, method
        assert urlsplit(answer.location).path == "/shop/log-in"


@pytest.mark.parametrize("endpoint", GUARDED)
def test_staff_opens_what_is_staffs_and_is_refused_what_is_the_owners(shop: Flask, endpoint: str) -> None:
    method, path = address(shop, endpoint)
    answer = browser(shop, "tom").open(path, method=method)
    assert answer.status_code == 403 if LEVELS[endpoint] == "owner" else answer.status_code in (200, 303)


@pytest.mark.parametrize("endpoint", GUARDED)
def test_the_owner_opens_everything_of_the_shop(shop: Flask, endpoint: str) -> None:
    method, path = address(shop, endpoint)
    answer = browser(shop, "mira").open(path, method=method)
    assert answer.status_code in (200, 303)
    assert "log-in" not in (answer.location or "") or endpoint == "log_in.log_out"


@pytest.mark.parametrize("endpoint", sorted(OWNED))
def test_another_shops_things_are_unknown(shop: Flask, endpoint: str) -> None:
    method, path = address(shop, endpoint)
    data = {"retired": "1", "what": "close", "password": "another long pass phrase"}
    if method == "GET":
        assert browser(shop, "ines").get(path).status_code == 404
    assert browser(shop, "ines").post(path, data=data).status_code == 404
    browser(shop, "tom")  # still opens: neither closed nor with another password


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
        "what-if": {"kit_mass_kg": 9},
    }
    for method, rule in links_named:
        if gone == "renewed" and "<key>" in rule:
            continue  # a new link for the card leaves its owner's link as it is
        path = rule.replace("<code>", code).replace("<key>", key).replace("<int:revision>", "1")
        body = bodies.get(rule.rpartition("/")[2])
        asked = {"json": body} if body and rule.startswith("/api/") else {}
        answer = client.open(path, method=method, query_string={"end": "front", "a": 1, "b": 1}, **asked)
        assert answer.status_code == wanted, (method, rule, answer.status_code)
