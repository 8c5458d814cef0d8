"""The way from a rider's setup and its checks back to the bike that the rider is on, for the crew alone."""

from __future__ import annotations

from flask import Flask

from webapp.accounts.access import shown_staff
from webapp.demo_day.queries.bikes import bike_of_rider
from webapp.ground.database.engine import database


def install(app: Flask) -> None:
    """Let templates ask for the bike of a setup."""
    app.jinja_env.globals["bike_on"] = bike_on


def bike_on(code: str) -> tuple[int, str] | None:
    """Return (row, number) of the bike that the rider with this setup is on, None for everybody but its crew."""
    member = shown_staff()
    if member is None:
        return None
    with database.read() as connection:
        return bike_of_rider(connection, member.shop_id, code)
