"""Two shops, a setup with its links, an open record: everything that a visitor could reach, and who visits."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final
from urllib.parse import urlsplit

from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import Connection
from werkzeug.test import TestResponse

from setup_rules.types.request import ShopChecks
from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.actions.tokens import create_token
from webapp.demo_day.actions.create_bike import create_bike
from webapp.ground.database.engine import database
from webapp.ground.database.tables import metadata
from webapp.library.actions.class_factors import use_factors
from webapp.library.actions.save_suspension_unit import save_suspension_unit
from webapp.library.parsing import read_suspension_unit
from webapp.stacks.make_cards import make_stack

PASSWORD: Final = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
NO_CODE: Final = "0" * 26
VISITORS: Final = ("nobody", "link", "owner_link", "staff", "owner", "elsewhere", "withdrawn", "logged_out")
#: Who holds the link of the setup: staff made it, and who was logged out may have written it down.
KNOW_THE_LINK: Final = ("link", "owner_link", "staff", "owner", "logged_out")
OF_THE_SHOP: Final = ("staff", "owner")

#: What only the holder of the setup's link may read, and what only the shop may.
SETUP_WORDS: Final = ("Heron 4, rust", "Lower legs and seals")
SHOP_WORDS: Final = ("Fen 34", "mira", "T-1042", "Lantern Lane", "creaks at the crown")
WEIGHT: Final = "83.5"

SETUP: Final = {
    "rider_mass_kg": WEIGHT,
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "100",
    "front.longest_travel_mm": "140",
    "front.stanchion_mm": "34",
    "front.rebound_clicks": "16",
    "bike_label": SETUP_WORDS[0],
    "service_note": SETUP_WORDS[1],
}
ARRIVAL: Final = {
    "bike_label": "Otter 9, plum",
    "customer_reference": SHOP_WORDS[2],
    "spring_end": "front",
    "symptoms": SHOP_WORDS[4],
}
STEPS: Final[dict[str, dict[str, str]]] = {
    "parts": {"part1.part": "bushings", "part1.condition": "good"},
    "seals": {"what": "air piston and wipers"},
    "lubricant": {"what": "as in the manual", "amount_cm3": "3"},
    "travel": {
        "before_mm": "100",
        "longest_mm": "140",
        "after_mm": "120",
        "spacer1.size_mm": "20",
        "spacer1.count": "1",
    },
    "torque": {"part": "top cap", "low": "6", "high": "8", "range_unit": "nm", "torque": "7", "unit": "nm"},
    "leak": {"first_psi": "99", "second_psi": "98.5", "hours": "1"},
}
TICKED: Final = ("eyes", "release", "release_again", "clearance", "handover")

Rows = dict[str, list[dict[str, Any]]]


@dataclass
class World:
    """The app with everything in it, and what each visitor carries."""

    app: Flask
    code: str = ""
    key: str = ""
    short: str = ""
    record: str = ""
    tag: str = ""
    gone_code: str = ""
    gone_key: str = ""
    cookies: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    kept: Rows = field(default_factory=dict)
    _watch: sqlite3.Connection | None = None
    _seen: int = -1

    def browser(self, visitor: str) -> FlaskClient:
        """Return a fresh browser with the cookies that the visitor has."""
        client = self.app.test_client()
        for name, value in self.cookies.get(visitor, []):
            client.set_cookie(name, value, domain="localhost")
        return client

    def code_of(self, visitor: str) -> str:
        """Return what the visitor would type as the setup's code."""
        if visitor in KNOW_THE_LINK:
            return self.code
        return {"elsewhere": self.short, "withdrawn": self.gone_code}.get(visitor, NO_CODE)

    def key_of(self, visitor: str) -> str:
        """Return what the visitor would try as the owner's key: for want of it, the code."""
        return {"owner_link": self.key, "withdrawn": self.gone_key}.get(visitor, self.code_of(visitor))

    def rows(self) -> Rows:
        """Return everything that the database holds."""
        with self.app.app_context(), database.read() as connection:
            return dict(_rows(connection))

    def has_changed(self) -> bool:
        """Return whether anything in the database differs from what was built; cheap, since asked often."""
        version = self._commits()
        if version == self._seen:
            return False
        self._seen = -1 if version is None else version
        return self.rows() != self.kept

    def _commits(self) -> int | None:
        """Return SQLite's mark of the last commit by others, None where another database has to be read whole."""
        with self.app.app_context():
            url = database.engine.url
        if url.get_backend_name() != "sqlite":
            return None
        self._watch = self._watch or sqlite3.connect(str(url.database))
        return int(self._watch.execute("PRAGMA data_version").fetchone()[0])

    def close(self) -> None:
        """Let go of the database."""
        if self._watch is not None:
            self._watch.close()
        with self.app.app_context():
            database.engine.dispose()

    def put_back(self) -> None:
        """Make the database what it was when everything was built."""
        with self.app.app_context(), database.write() as connection:
            for table in reversed(metadata.sorted_tables):
                connection.execute(table.delete())
            for table in metadata.sorted_tables:
                if self.kept[table.name]:
                    connection.execute(table.insert(), self.kept[table.name])


def _rows(connection: Connection) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    for table in metadata.sorted_tables:
        found = connection.execute(table.select().order_by(*table.primary_key.columns))
        yield table.name, [dict(row._mapping) for row in found]


def build(app: Flask) -> World:
    """Fill the database of `app`, over HTTP wherever people would."""
    world = World(app)
    with app.app_context():
        owner = open_shop(SHOP_WORDS[3] + " Cycles", SHOP_WORDS[1], PASSWORD)
        for login in ("tom", "pia"):
            create_staff(owner.shop_id, login, PASSWORD, "staff")
        ines = open_shop("Harbour Wheels", "ines", PASSWORD)
        fork = {"kind": "fork", "name": SHOP_WORDS[0], "travels_mm": [120, 140]}
        save_suspension_unit(owner.shop_id, read_suspension_unit(fork))
        create_token(owner, "demo desk")
        bike = {"number": "17", "label": SETUP_WORDS[0], "front": {"travel_mm": 100}}
        world.tag = create_bike(owner.shop_id, bike).tag
    mira = _logged_in(world, "owner", SHOP_WORDS[1])
    _log_out_with_a_copy(world, "tom")
    _logged_in(world, "staff", "tom")
    _logged_in(world, "elsewhere", "ines")
    _ride_the_bike(mira)
    _make_setup(world, mira)
    _make_withdrawn_links(world)
    _make_record(world, mira)
    _make_stacks(world, mira)
    with app.app_context():
        for one in (owner, ines):
            use_factors(one, (ShopChecks(spring_class="fork_34_air", checks=30, factor=1.1, factor_sigma=0.03),))
    world.kept = world.rows()
    return world


def sent(client: FlaskClient, path: str, data: dict[str, Any]) -> TestResponse:
    """Send a form that has to succeed and return the answer."""
    answer = client.post(path, data=data)
    assert answer.status_code == 303, (path, re.sub("<[^>]+>", " ", answer.text))
    return answer


def _logged_in(world: World, visitor: str, login: str) -> FlaskClient:
    client = world.app.test_client()
    sent(client, "/shop/log-in", {"login": login, "password": PASSWORD})
    world.cookies[visitor] = [(one.key, one.value) for one in client._cookies.values()]
    return client


def _log_out_with_a_copy(world: World, login: str) -> None:
    client = _logged_in(world, "logged_out", login)
    sent(client, "/shop/log-out", {})


def _ride_the_bike(client: FlaskClient) -> None:
    """Let a rider have the shop's bike and bring it back, so that every button of it has something to do."""
    rider = {"rider_mass_kg": "64", "riding_style": "park", "version": "1"}
    sent(client, "/shop/bikes/1/set-up", rider)
    sent(client, "/shop/bikes/1/do", {"do": "back", "version": "2"})


def _make_setup(world: World, client: FlaskClient) -> None:
    page = client.get(sent(client, "/", SETUP).location).text
    world.code, world.key = (re.search(rf"/{what}/([0-9A-Z]{{26}})", page)[1] for what in ("s", "owner"))  # type: ignore[index]
    sag = {"front.pressure_psi": "60", "front.readings_mm-0": "20", "base_revision": "1"}
    sent(client, f"/s/{world.code}/sag-check", sag)
    home = client.get("/shop").text
    world.short = re.search(r"<td>([0-9A-Z]{6})</td>", home)[1]  # type: ignore[index]


def _make_stacks(world: World, client: FlaskClient) -> None:
    """Order two stacks of cards and print the first."""
    for size in ("62x100", "a6"):
        sent(client, "/shop/stacks/setups", {"codes": world.short, "size": size})
    with world.app.app_context():
        make_stack(1, "worker")


def _make_withdrawn_links(world: World) -> None:
    client = world.app.test_client()
    body = {"rider_mass_kg": 70, "riding_style": "trail", "front": {"travel_mm": 120}}
    made = client.post("/api/v1/setups", json=body)
    world.gone_code = made.json["code"]
    world.gone_key = urlsplit(made.headers["Setup-Owner-Link"]).path.rpartition("/")[2]
    sent(client, f"/owner/{world.gone_key}/renew", {})
    sent(client, f"/owner/{world.gone_key}/renew-key", {"page_key": "k" * 32})


def _make_record(world: World, client: FlaskClient) -> None:
    """Bring a bike in and take every step, so that the record can be closed."""
    path = urlsplit(sent(client, "/shop/bench/new", ARRIVAL).location).path
    sent(client, f"{path}/setup", {name: SETUP[name] for name in SETUP if name != "bike_label"})
    for key in TICKED:
        sent(client, f"{path}/steps/{key}/state", {"state": "done"})
    for key, data in STEPS.items():
        sent(client, f"{path}/steps/{key}", data)
    sent(client, f"{path}/left", {"pressure_psi": "60"})
    world.record = path.rpartition("/")[2]
