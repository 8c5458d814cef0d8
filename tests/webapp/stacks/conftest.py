"""A shop's browser, a table of riders, and a worker in the test's own process."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.webapp.cards.rendering.conftest import rasterise
from webapp.accounts.actions.open_shop import open_shop
from webapp.stacks.make_cards import make_stack, waiting_stacks

__all__ = ["rasterise"]

PASSWORD = "three grey herons asleep"  # noqa: S105 it opens an invented shop
Table = Callable[[int], str]


def log_in(app: Flask, shop: str = "Lantern Lane", login: str = "mira") -> FlaskClient:
    """Open a shop and return its owner's browser."""
    with app.app_context():
        open_shop(shop, login, PASSWORD)
    client = app.test_client()
    client.post("/shop/log-in", data={"login": login, "password": PASSWORD})
    return client


@pytest.fixture
def staff(app: Flask) -> FlaskClient:
    """The browser of a shop's owner."""
    return log_in(app)


@pytest.fixture
def table() -> Table:
    """A table of so many riders, no two alike in weight and travel at once."""

    def rows(number: int) -> str:
        lines = (f"{50 + n % 60} kg;trail;{120 + 10 * (n % 5)};Heron {n + 1}" for n in range(number))
        return "\n".join(("Rider weight;Riding style;Fork travel;Bike", *lines))

    return rows


@pytest.fixture
def work(app: Flask) -> Callable[[], None]:
    """Do what a worker does with every stack that waits."""

    def run() -> None:
        with app.app_context():
            for stack_id in waiting_stacks():
                make_stack(stack_id, "test")

    return run
