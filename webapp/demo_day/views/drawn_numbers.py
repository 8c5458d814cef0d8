"""Draws a bike's table of numbers once and keeps it drawn: the crew's screen carries it at every visit."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from typing import Final

from flask import render_template
from markupsafe import Markup

from webapp.demo_day.actions.numbers_table import kept_table
from webapp.demo_day.bike import Bike
from webapp.demo_day.pages.numbers_page import present_numbers
from webapp.ground.text import i18n
from webapp.ground.text.phrases import moment


@dataclass(frozen=True, slots=True)
class DrawnNumbers:
    """A bike's tables as HTML, and when they were worked out."""

    made: str
    tables: Markup


_MOST: Final = 240
_drawn: OrderedDict[tuple[object, ...], DrawnNumbers] = OrderedDict()
_lock = threading.Lock()


def drawn_numbers(bike: Bike) -> DrawnNumbers | None:
    """Return the tables of a bike as it is now, None where nobody has had them worked out."""
    table = kept_table(bike)
    if table is None:
        return None
    key = (bike.bike_id, table.made_at, i18n.locale())
    with _lock:
        if (found := _drawn.get(key)) is not None:
            return found
    page = render_template("demo_day/bike_numbers.html", bike=present_numbers(table.rows))
    drawn = DrawnNumbers(moment(table.made_at), Markup(page))  # noqa: S704 drawn by a template that escapes
    with _lock:
        _drawn[key] = drawn
        while len(_drawn) > _MOST:
            _drawn.popitem(last=False)
    return drawn
