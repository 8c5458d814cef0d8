"""Specimens of one fork or shock, each on another bike with another rider: what is learned on some serves the next.

How far specimens of one model differ is an outsider's estimate from what machining, grease, oil and seals do, in the
spring's own sizes; the rules' own estimate is in the pressure that follows. The oracle knows these spreads: it draws
models, and of each model a specimen anew for every rider.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from setup_rules import SpringMemory, memory_of_unit

from .asking import Answer, first_answer
from .draw import Case
from .fleet import FleetOracle, Remembering, Turn, draw_fleet, follow, next_rider
from .ranges import Ranges
from .spring import Hidden

#: Specimens of one model, one rider each.
SPECIMENS = 8
#: One standard deviation of a specimen's size as a share of its model's: turned bores, volumes under caps and grease,
#: oil in the lower legs, coils wound, gas filled. Friction differs most, by seals and by age.
SPREAD = {
    "area": 0.004,
    "end_volume": 0.04,
    "negative_volume": 0.04,
    "leg_volume": 0.05,
    "coil_rate": 0.03,
    "gas": 0.05,
    "friction": 0.25,
}


def another_specimen(models: Hidden, seed: int, place: int) -> Hidden:
    """Return a specimen of each model: one spring, or many at once."""
    rng = np.random.default_rng((seed, 13, place))
    size = np.shape(models.area) or np.shape(models.friction)
    scatter = {name: np.exp(sigma * np.clip(rng.standard_normal(size), -3.0, 3.0)) for name, sigma in SPREAD.items()}
    return replace(models, **{name: getattr(models, name) * factor for name, factor in scatter.items()})


def next_specimen(model: Case, place: int) -> Case:
    """Return another specimen of the same model with another rider on it."""
    case = next_rider(model, place)
    spring = another_specimen(case.hidden, model.seed, place)
    return replace(case, hidden=replace(spring, **{name: float(getattr(spring, name)) for name in SPREAD}))


class UnitRemembering(Remembering):
    """What the rules keep of a fork or shock: what each specimen taught, blurred for the next."""

    def __init__(self) -> None:
        super().__init__()
        self._taught: list[SpringMemory] = []

    def ask(self, case: Case) -> Answer:
        """Return the first answer on a specimen of which nothing is known but what others taught."""
        unit = memory_of_unit(self._taught)
        return first_answer(case.told.request(), case.told.end, case.datum, unit=unit)

    def learn(self, lesson: SpringMemory) -> None:
        """Keep what a specimen taught."""
        self._taught.append(lesson)


class UnitOracle(FleetOracle):
    """What somebody who knows the population and how specimens scatter knows of one model."""

    def met(self, springs: Hidden, seed: int) -> Hidden:
        """Return a specimen of every drawn model."""
        return another_specimen(springs, seed, 99)


def follow_unit(model: Case, specimens: int, ranges: Ranges | None) -> Iterator[Turn]:
    """Yield the turn of one rider on each specimen; with `ranges` the oracle believes in these."""
    turns = [next_specimen(model, place) for place in range(specimens)]
    return follow(model, turns, ranges, UnitRemembering(), UnitOracle)


def follow_units(models: int, specimens: int, seed: int, ranges: Ranges, believed: Ranges | None) -> list[Turn]:
    """Return every turn on several models."""
    return [turn for model in draw_fleet(models, seed, ranges) for turn in follow_unit(model, specimens, believed)]


def pressure_scatter(models: int, seed: int, ranges: Ranges) -> float:
    """Return by how much specimens of a model differ in the pressure that one rider needs, root mean square [%]."""
    found = []
    for model in draw_fleet(models, seed, ranges):
        sag = 0.25 * model.told.travel
        springs = [another_specimen(model.hidden, model.seed, place) for place in range(SPECIMENS)]
        needed = [
            replace(model, hidden=replace(model.hidden, **{name: float(getattr(one, name)) for name in SPREAD}))
            for one in springs
        ]
        logs = np.log([max(1.0, one.needed_psi(sag)) for one in needed])
        found.append(float(np.var(logs, ddof=1)))
    return 100.0 * float(np.sqrt(np.mean(found)))
