"""Finds the day on which the bike of a saved setup is due at a workshop again."""

from __future__ import annotations

from datetime import date

from webapp.ground.database.engine import database
from webapp.setups.actions.find_setup import living_setup
from webapp.setups.queries.service_days import next_service_day


def find_service_day(code_text: str) -> date | None:
    """Return the first day on which a workshop noted a service, None where none did (raises as `find_setup`)."""
    with database.read() as connection:
        return next_service_day(connection, living_setup(connection, code_text).setup_id)
