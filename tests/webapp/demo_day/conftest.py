"""A shop with two people at its bikes, and what each of them does with a browser."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import open_shop
from webapp.demo_day.actions.create_bike import create_bike
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.bike import Bike

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
FULL_BIKE: dict[str, Any] = {
    "label": "Heron, rust",
    "riding_style": "enduro",
    "front": {"travel_mm": 150, "rebound_clicks": 16, "compression_clicks": 12, "max_pressure_psi": 140},
    "rear": {"stroke_mm": 60, "leverage_start": 2.8, "leverage_end": 2.4, "rebound_clicks": 14},
}


@dataclass
class Crew:
    """One person of the crew with a browser."""

    app: Flask
    client: FlaskClient
    shop_id: int

    def bike(self, bike_id: int) -> Bike:
        """Return a bike as it is stored."""
        with self.app.app_context():
            return find_bike(self.shop_id, bike_id)

    def add(self, number: str, **more: Any) -> Bike:
        """Add a bike."""
        with self.app.app_context():
            return create_bike(self.shop_id, {**FULL_BIKE, **more, "number": number})

    def page(self, path: str) -> str:
        """Return a page that has to be there."""
        answer = self.client.get(path)
        assert answer.status_code == 200, (path, answer.status)
        return answer.text

    def send(self, page: str, path: str, **fields: str) -> TestResponse:
        """Send a form of a page, with what the page carries for it."""
        hidden = {name: found(page, name) for name in ("version", "idempotency_key", "revision") if found(page, name)}
        return self.client.post(path, data={**hidden, **fields})

    def press(self, bike_id: int, button: str, page: str | None = None, **fields: str) -> TestResponse:
        """Press a button of the screen that says what to change, or of the one before it."""
        shown = page or self.client.get(f"/shop/bikes/{bike_id}/change").text
        return self.send(shown, f"/shop/bikes/{bike_id}/do", do=button, **fields)

    def set_up(self, bike_id: int, kg: str, style: str = "trail", page: str | None = None) -> TestResponse:
        """Type a rider's weight and choose a style."""
        shown = page or self.page(f"/shop/bikes/{bike_id}/set-up")
        fields = {"rider_mass_kg": kg, "riding_style": style}
        return self.send(form_of(shown, "/set-up"), f"/shop/bikes/{bike_id}/set-up", **fields)

    def follow(self, answer: TestResponse) -> str:
        """Return the page that an answer leads to."""
        assert answer.status_code == 303, plain(answer.text)
        return self.page(urlsplit(answer.location).path + ("?" + q if (q := urlsplit(answer.location).query) else ""))


def found(page: str, name: str) -> str:
    """Return the value of the last hidden field of a name, "" without one."""
    values = re.findall(rf'name="{name}" value="([^"]*)"', page)
    return values[-1] if values else ""


def form_of(page: str, path: str) -> str:
    """Return the form of a page that is sent to a path ending so."""
    forms = re.findall(r"<form.*?</form>", page, re.DOTALL)
    return next(one for one in forms if re.search(rf'action="[^"]*{re.escape(path)}"', one))


def plain(page: str) -> str:
    """Return what a page says, without its head."""
    body = page.partition("<main")[2]
    return " ".join(re.sub(r"<[^>]+>", " ", body).split())


def log_in(app: Flask, login: str) -> FlaskClient:
    client = app.test_client()
    assert client.post("/shop/log-in", data={"login": login, "password": PASSWORD}).status_code == 303
    return client


@pytest.fixture
def crews(app: Flask) -> tuple[Crew, Crew]:
    """Two people of one shop."""
    with app.app_context():
        owner = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        create_staff(owner.shop_id, "tom", PASSWORD, "staff")
    return tuple(Crew(app, log_in(app, login), owner.shop_id) for login in ("mira", "tom"))  # type: ignore[return-value]


@pytest.fixture
def crew(crews: tuple[Crew, Crew]) -> Crew:
    """One person of the shop."""
    return crews[0]


@pytest.fixture
def stranger(app: Flask) -> FlaskClient:
    """A browser of nobody."""
    return app.test_client()


Adds = Callable[..., Bike]
