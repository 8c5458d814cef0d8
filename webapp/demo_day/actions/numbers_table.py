"""Works out what a bike is set to for every weight and style, so that the crew has numbers when the network is gone.

Each row is the answer of the rules to a fresh rider of that weight; nothing of a real rider is in it. A table is kept
in this process until its bike is described otherwise or its springs have taught something more.
"""

from __future__ import annotations

import hashlib
import json
import threading
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from setup_rules import EndSetup, SetupRulesError, recommend
from setup_rules.types.result import Note
from webapp.demo_day.actions.set_up_bike import rider_request
from webapp.demo_day.bike import Bike
from webapp.demo_day.queries import bikes as queries
from webapp.ground.database.engine import database
from webapp.library.memory_data import memory_data

#: Weights of riders [kg]: a look-up is off by half a step at most, 3 % of the weight of a rider of 80 kg.
WEIGHTS_KG: Final = tuple(range(35, 131, 5))
STYLES: Final = ("cross_country", "trail", "enduro", "downhill", "park")
#: Bikes whose tables are shown on one page, and tables kept in this process.
MOST_BIKES: Final = 60
_KEPT: Final = 90
#: A table is worked out again after so long: other bikes' checks teach a fork of the library too.
_FRESH: Final = timedelta(hours=2)


@dataclass(frozen=True, slots=True)
class NumbersRow:
    """The answer for one weight [kg] and style; without ends where the rules give none.

    Of a setup no more is held: sixty bikes have six thousand rows.
    """

    style: str
    weight_kg: int
    ends: tuple[EndSetup, ...] = ()
    cautions: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class NumbersTable:
    """All rows of a bike, by style and then by weight, and when they were worked out."""

    made_at: datetime
    rows: tuple[NumbersRow, ...]


_tables: OrderedDict[str, NumbersTable] = OrderedDict()
_lock = threading.Lock()
_working = threading.Lock()


def kept_table(bike: Bike) -> NumbersTable | None:
    """Return the table of a bike as it is now, None where nobody has had it worked out."""
    with _lock:
        return _tables.get(_content_key(bike))


def is_fresh(bike: Bike) -> bool:
    """Return whether the table of a bike is there and needs no work now."""
    kept = kept_table(bike)
    return kept is not None and datetime.now(UTC) - kept.made_at < _FRESH


def make_table(bike: Bike) -> NumbersTable:
    """Work out the table of a bike (about a second) and keep it."""
    made = NumbersTable(datetime.now(UTC), tuple(_rows(bike)))
    with _lock:
        _tables[_content_key(bike)] = made
        while len(_tables) > _KEPT:
            _tables.popitem(last=False)
    return made


def loaded_bikes(shop_id: int) -> tuple[Bike, ...]:
    """Return the bikes of a shop whose numbers are shown, by number."""
    with database.read() as connection:
        return queries.bikes(connection, shop_id, limit=MOST_BIKES)


def make_one_more(bikes: tuple[Bike, ...]) -> None:
    """Work out the next table that is missing; one at a time in this process, so that pages stay quick."""
    if not _working.acquire(blocking=False):
        return
    try:
        missing = next((bike for bike in bikes if not is_fresh(bike)), None)
        if missing is not None:
            make_table(missing)
    finally:
        _working.release()


def _rows(bike: Bike) -> Iterator[NumbersRow]:
    for style in STYLES:
        for weight in WEIGHTS_KG:
            yield _row(bike, style, weight)


def _row(bike: Bike, style: str, weight_kg: int) -> NumbersRow:
    try:
        setup = recommend(rider_request(bike, {"rider_mass_kg": weight_kg, "riding_style": style}))
    except SetupRulesError:
        return NumbersRow(style, weight_kg)
    return NumbersRow(style, weight_kg, setup.ends(), setup.cautions)


def _content_key(bike: Bike) -> str:
    """Return what a table depends on, as one hash: the bike's description and what its springs have taught."""
    taught = {end: memory_data(memory) for end, memory in sorted(bike.memories.items())}
    text = json.dumps([bike.bike_id, bike.document, taught], sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()
