"""Dates for a calendar, read back by a library that is not ours (RFC 5545)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.webapp.setups.views.test_setup import save

icalendar = pytest.importorskip("icalendar")
LABEL = "Heron 4; blue, size M – für Ausflüge 🚲 mit langem Namen"


def event_of(client: FlaskClient, path: str, name: str) -> Any:
    """Return the one event of a file, as the library reads it."""
    answer = client.get(f"{path}/{name}.ics")
    assert answer.status_code == 200
    assert answer.mimetype == "text/calendar"
    lines = answer.get_data().split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 and b"\n" not in line for line in lines)
    calendar = icalendar.Calendar.from_ical(answer.get_data())
    assert calendar["VERSION"] == "2.0"
    (event,) = calendar.walk("VEVENT")
    assert not event.errors
    return event


@pytest.mark.parametrize(("name", "days", "words"), [("recheck", 30, "Check sag"), ("service", 365, "service due")])
def test_the_day_the_bike_and_the_link_are_read_back(client: FlaskClient, name: str, days: int, words: str) -> None:
    path = save(client, bike_label=LABEL)
    event = event_of(client, path, name)
    today = datetime.now(UTC).date()
    assert event["DTSTART"].dt in (today + timedelta(days=days), today + timedelta(days=days - 1))
    assert event["DTEND"].dt - event["DTSTART"].dt == timedelta(days=1)
    assert words in event["SUMMARY"]
    assert LABEL in event["SUMMARY"]
    assert str(event["URL"]).endswith(path)
    assert event["DTSTAMP"].dt.tzinfo is not None


def test_a_second_download_is_the_same_event_and_the_two_days_are_two(client: FlaskClient) -> None:
    path = save(client)
    first, again, service = (event_of(client, path, name) for name in ("recheck", "recheck", "service"))
    assert first["UID"] == again["UID"] != service["UID"]
    assert path.rpartition("/")[2] not in first["UID"]


def test_the_page_leads_to_both(client: FlaskClient) -> None:
    path = save(client)
    page = client.get(path).get_data(as_text=True)
    assert f'href="{path}/recheck.ics"' in page
    assert f'href="{path}/service.ics"' in page
