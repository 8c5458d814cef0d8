"""A demo day on drawn bikes: each goes out once an hour, and every third rider has the sag checked.

What counts is the first miss by the hour: of the rules that remember what the checks taught, of the rules without a
memory, and of a crew that sets pressure per kilogram of what its last checked riders on the bike had.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .draw import Case
from .fleet import FleetOracle, Remembering, Turn, draw_fleet, follow, next_rider
from .ranges import Ranges

HOURS = 8
#: One rider in so many has the sag checked.
CHECKED = 3


def follow_day(bikes: int, seed: int, ranges: Ranges) -> list[Turn]:
    """Return every turn of a day: a rider an hour on each bike; which third is checked differs from bike to bike."""
    fleet = draw_fleet(bikes, seed, ranges)
    return [turn for number, bike in enumerate(fleet) for turn in _bike_day(bike, number)]


def _bike_day(bike: Case, number: int) -> list[Turn]:
    riders = [next_rider(bike, hour) for hour in range(HOURS)]
    is_checked = {hour for hour in range(HOURS) if (hour + number) % CHECKED == 0}
    return list(follow(bike, riders, None, Remembering(), FleetOracle, is_checked.__contains__))


def by_hour(turns: Sequence[Turn]) -> dict[str, dict[str, float]]:
    """Return the first misses by hour, off the pressure limits, in per cent of travel; then of the second half."""
    free = [turn for turn in turns if not turn.at_limit]
    rows = {f"hour {hour + 1}": [turn for turn in free if turn.place == hour] for hour in range(HOURS)}
    rows["from hour 5 on"] = [turn for turn in free if turn.place >= HOURS // 2]
    return {name: _figures(part) for name, part in rows.items() if part}


def _figures(turns: Sequence[Turn]) -> dict[str, float]:
    figures = {"riders": float(len(turns))}
    for name, attribute in (("", "miss"), ("no memory ", "plain"), ("by hand ", "by_hand")):
        misses = [abs(getattr(turn, attribute)) for turn in turns]
        for label, part in (("median", 50), ("p90", 90)):
            figures[f"{name}{label}"] = float(np.percentile(misses, part))
    figures["sag in band %"] = 100.0 * float(np.mean([turn.sag_side == 0 for turn in turns]))
    return figures
