"""Days as people type them, and their bounds where the clocks change."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from flask import Flask

from webapp.ground.text.days import day_meant, read_day
from webapp.ground.text.local_time import clock_words, day_bounds, is_zone, local

TODAY = date(2026, 5, 20)  # a Wednesday


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("3 May", date(2026, 5, 3)),
        ("may 3", date(2026, 5, 3)),
        ("3rd of may", None),
        ("03/05", date(2026, 5, 3)),
        ("3.5.", date(2026, 5, 3)),
        ("3.5.26", date(2026, 5, 3)),
        ("2026-05-03", date(2026, 5, 3)),
        ("today", TODAY),
        ("Yesterday", date(2026, 5, 19)),
        ("Monday", date(2026, 5, 18)),
        ("wednesday", TODAY),
        ("Thu", date(2026, 5, 14)),
        ("Sunday 3 May 2026", date(2026, 5, 3)),
        ("3 June", date(2025, 6, 3)),
        ("29 February", date(2024, 2, 29)),
        ("31/02", None),
        ("34 mm", None),
        ("2026-13-45", None),
        ("may", None),
        ("5", None),
        ("", None),
        ("today yesterday", None),
        ("٣ May", None),
    ],
)
def test_a_day_means_what_people_write(app: Flask, text: str, day: date | None) -> None:
    with app.test_request_context():
        assert read_day(text.split(), TODAY) == day


@pytest.mark.parametrize(("day", "hours"), [("2026-03-29", 23), ("2026-10-25", 25), ("2026-05-03", 24)])
def test_a_day_is_as_long_as_its_clocks_say(day: str, hours: int) -> None:
    # British summer time begins on the last Sunday of March and ends on that of October (Summer Time Order 2002).
    bounds = day_bounds(date.fromisoformat(day), "Europe/London")
    assert bounds is not None
    assert round((bounds[1] - bounds[0]).total_seconds() / 3600) == hours


def test_the_same_clock_time_twice_is_told_apart() -> None:
    first, second = (datetime(2026, 10, 25, hour, 30, tzinfo=UTC) for hour in (0, 1))
    assert [clock_words(one, "Europe/London") for one in (first, second)] == ["01:30 BST", "01:30 GMT"]


def test_a_zone_that_is_not_known_is_utc_and_never_a_file() -> None:
    moment = datetime(2026, 7, 1, 9, tzinfo=UTC)
    assert local(moment, "Mars/Base") == moment
    assert not is_zone("../../etc/passwd")
    assert not is_zone("")
    assert day_bounds(date.max, "Europe/London") is None


def test_a_whole_text_is_a_day_or_none(app: Flask) -> None:
    with app.test_request_context():
        assert day_meant("2026-05-03", "Asia/Tokyo") == (
            datetime(2026, 5, 2, 15, tzinfo=UTC),
            datetime(2026, 5, 3, 14, 59, 59, 999999, tzinfo=UTC),
        )
        assert day_meant("a green bike") is None
