"""A fleet: bikes that several riders share one after another, each with a weight, a stance and a habit of their own.

The spring, the bike's weights, the pump and the place stay; each rider is drawn anew, pumps what the adviser says,
reads the gap once and hands the bike on. The first miss of each rider is what counts, by how many came before.
Advisers: the rules with a memory, the rules without, an oracle that weighs drawn bikes with riders integrated out, and
a crew that sets pressure per kilogram of what the last riders had.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from setup_rules import Setup, SpringMemory, add_lesson, keep_after, lesson_of

from .asking import Answer, Readings, Refusal, first_answer, next_answer
from .draw import KINDS, Case, Told, draw_cases, draw_hidden, draw_told
from .goals import Goal
from .measuring import Rider
from .oracle import NUMBER, Oracle
from .ranges import Ranges
from .spring import Hidden

#: Riders of one bike, one after another.
RIDERS = 8
#: From the third rider on: miss over the oracle's, bands, and the miss of a shifted population [% of travel].
MOST_RATIO, BAND, MOST_SHIFTED = 1.15, (85.0, 95.0), 2.8
FROM_THIRD = "from the third rider on"
#: A rider brings these; all else stays with the bike.
_OF_RIDER = ("mass", "share", "habit")
#: The crew takes the middle of what so many last riders had.
_LAST = 3
#: Drawn bikes of the oracle, and riders drawn for each of them.
_RIDERS_A_BIKE = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One rider on one bike: misses in per cent of travel, None where the oracle was not asked; a side is -1, 0, 1."""

    place: int
    kind: str
    miss: float
    plain: float
    by_hand: float
    oracle: float | None
    sag_side: int
    plain_side: int
    pressure_side: int
    at_limit: bool


def draw_fleet(bikes: int, seed: int, ranges: Ranges) -> list[Case]:
    """Draw bikes of all kinds, one coil fork to four air forks and four shocks."""
    each = -(-bikes // 9)
    air, coil, shock = (draw_cases(4 * each, seed, ranges)[i * 4 * each :][: 4 * each] for i in range(3))
    return [*air, *coil[:each], *shock][:bikes] if bikes < 9 else _mixed(air, coil, shock)[:bikes]


def _mixed(air: list[Case], coil: list[Case], shock: list[Case]) -> list[Case]:
    rows = zip(*(air[i::4] for i in range(4)), coil, *(shock[i::4] for i in range(4)), strict=False)
    return [case for row in rows for case in row]


def next_rider(bike: Case, place: int) -> Case:
    """Return the same bike with another rider on it."""
    rng = np.random.default_rng((bike.seed, 7, place))
    other = draw_told(bike.told.kind, rng, bike.ranges)
    told = replace(bike.told, rider=other.rider, seated=other.seated, kit=other.kit, kit_zero=other.kit_zero)
    drawn = draw_hidden(told, 1, rng, bike.ranges).row(0)
    hidden = replace(bike.hidden, **{name: getattr(drawn, name) for name in _OF_RIDER})
    return replace(bike, told=told, hidden=hidden, seed=bike.seed + 31 * (place + 1))


class FleetOracle:
    """What somebody who knows the population knows of one bike: drawn bikes, weighed by every rider's readings."""

    def __init__(self, bike: Case, target_mm: float, ranges: Ranges) -> None:
        self._bike, self._target, self._ranges = bike, target_mm, ranges
        self._bikes = NUMBER // _RIDERS_A_BIKE
        self._hidden = draw_hidden(bike.told, self._bikes, np.random.default_rng((bike.seed, 98)), ranges)
        self._log_weight = np.zeros(self._bikes)

    def meet(self, told: Told, seed: int) -> Oracle:
        """Return an oracle for the next rider: each drawn bike under several drawn riders."""
        oracle = Oracle(told, self._bike.datum, self._target, self._ranges, seed)
        riders = {name: getattr(oracle.hidden, name) for name in _OF_RIDER}
        oracle.hidden = replace(self.met(_repeated(self._hidden), seed), **riders)
        oracle.believe(np.repeat(self._log_weight, _RIDERS_A_BIKE))
        return oracle

    def met(self, springs: Hidden, seed: int) -> Hidden:
        """Return the springs that the next rider may be on: a bike's own."""
        del seed
        return springs

    def learn(self, oracle: Oracle) -> None:
        """Take what the last rider's readings said of the bikes, the riders integrated out; spread out what is left."""
        by_bike = oracle.weight.reshape(self._bikes, _RIDERS_A_BIKE).sum(axis=1)
        self._log_weight = np.log(np.maximum(by_bike, 1e-300))

    @property
    def effective(self) -> float:
        """How many drawn bikes carry the weight."""
        weight = np.exp(self._log_weight - self._log_weight.max())
        return float(weight.sum() ** 2 / (weight**2).sum())


def _repeated(hidden: Hidden) -> Hidden:
    values = {name: getattr(hidden, name) for name in hidden.__slots__}
    return replace(hidden, **{n: np.repeat(v, _RIDERS_A_BIKE) for n, v in values.items() if np.ndim(v)})


@dataclass(slots=True)
class _Crew:
    """Pressure per kilogram of rider, from what the last riders had after a change in proportion to the sag."""

    kept: list[float]

    def pressure(self, told: Told, usual: float) -> float:
        """Return what the crew pumps: the class's usual pressure for the first rider, then by weight."""
        return usual if not self.kept else told.rider * float(np.median(self.kept[-_LAST:]))

    def learn(self, told: Told, shown_psi: float, read_mm: float, target_mm: float) -> None:
        """Keep what would have been right for this rider, in proportion to the sag read, at most half more or less."""
        self.kept.append(shown_psi * float(np.clip(read_mm / target_mm, 0.5, 1.5)) / told.rider)


class Remembering:
    """What the rules keep from rider to rider: here, the memory of the bike that they share."""

    def __init__(self) -> None:
        self._memory = SpringMemory.nothing()

    def ask(self, case: Case) -> Answer:
        """Return the first answer to the next rider."""
        return first_answer(case.told.request(), case.told.end, case.datum, self._memory)

    def learn(self, lesson: SpringMemory) -> None:
        """Take in what a rider's check taught."""
        self._memory = add_lesson(keep_after(self._memory, "another_rider"), lesson)


def follow_bike(bike: Case, riders: int, ranges: Ranges | None) -> Iterator[Turn]:
    """Yield the turn of each rider of one bike; with `ranges` the oracle believes in these, without it is not asked."""
    return follow(bike, [next_rider(bike, place) for place in range(riders)], ranges, Remembering(), FleetOracle)


def follow(
    bike: Case,
    turns: Sequence[Case],
    ranges: Ranges | None,
    remembering: Remembering,
    knowing_all: type[FleetOracle],
    checks: Callable[[int], bool] = lambda _place: True,
) -> Iterator[Turn]:
    """Yield the turn of each rider, of whom every one is met by the rules that remember, by an oracle and by a crew.

    Sag is checked, and all of them learn, at those places only that `checks` says yes to.
    """
    crew = _Crew([])
    oracle: FleetOracle | None = None
    for place, case in enumerate(turns):
        answer = remembering.ask(case)
        plain = first_answer(case.told.request(), case.told.end, case.datum)
        if ranges is not None and oracle is None:
            oracle = knowing_all(bike, answer.target, ranges)
        knowing = oracle.meet(case.told, case.seed) if oracle is not None else None
        hand = crew.pressure(case.told, plain.pressure)
        yield _turn(place, case, answer, plain, hand, knowing)
        if not checks(place):
            continue
        readings = _check(case, answer.pressure, 1)
        if (lesson := _lesson_after(answer, readings)) is not None:
            remembering.learn(lesson)
        by_hand = _check(case, hand, 2)
        crew.learn(case.told, by_hand.shown_psi, by_hand.either[0], answer.target)
        if oracle is not None and knowing is not None:
            knowing.learn(_check(case, knowing.pressure(), 3))
            oracle.learn(knowing)


def _check(case: Case, wanted_psi: float, stream: int) -> Readings:
    rider = Rider(case, stream)
    pumped = rider.pump(wanted_psi)
    read = rider.write_down(rider.measure(pumped, ("any",)))
    return Readings(shown_psi=pumped.shown_psi, either=tuple(read), above=(), below=(), datum=case.datum)


def _lesson_after(answer: Answer, readings: Readings) -> SpringMemory | None:
    told = next_answer(answer, readings)
    if isinstance(told, Refusal) and told.question:
        told = next_answer(answer, replace(readings, confirm=True))
    return None if isinstance(told, Refusal) else _lesson(told.setup, told.end)


def _lesson(setup: Setup, end: str) -> SpringMemory | None:
    return lesson_of(setup, end)  # type: ignore[arg-type]


def _turn(place: int, case: Case, answer: Answer, plain: Answer, hand: float, knowing: Oracle | None) -> Turn:
    gap, plain_gap = (case.shown_gap_mm(one.pressure) for one in (answer, plain))
    needed = case.needed_psi(answer.target)

    def miss(psi: float) -> float:
        return case.percent(case.shown_gap_mm(psi) - answer.target)

    return Turn(
        place=place,
        kind=case.told.kind,
        miss=miss(answer.pressure),
        plain=miss(plain.pressure),
        by_hand=miss(max(1.0, hand)),
        oracle=miss(knowing.pressure()) if knowing is not None else None,
        sag_side=_side(gap, answer.sag_low, answer.sag_high),
        plain_side=_side(plain_gap, plain.sag_low, plain.sag_high),
        pressure_side=_side(needed, answer.pressure_low, answer.pressure_high),
        at_limit=answer.at_limit or plain.at_limit,
    )


def _side(value: float, low: float, high: float) -> int:
    return -1 if value < low else 1 if value > high else 0


def follow_fleet(bikes: int, riders: int, seed: int, ranges: Ranges, believed: Ranges | None) -> list[Turn]:
    """Return every turn of a fleet."""
    fleet = draw_fleet(bikes, seed, ranges)
    return [turn for bike in fleet for turn in follow_bike(bike, riders, believed)]


def fleet_figures(turns: Sequence[Turn]) -> dict[str, float]:
    """Sum up turns: misses in per cent of travel, bands in per cent of the turns."""
    figures: dict[str, float] = {"turns": float(len(turns))}
    for name, attribute in (("", "miss"), ("oracle ", "oracle"), ("no memory ", "plain"), ("by hand ", "by_hand")):
        values = [abs(found) for one in turns if (found := getattr(one, attribute)) is not None]
        for label, part in (("median", 50), ("p90", 90)):
            figures[f"{name}{label}"] = float(np.percentile(values, part)) if values else math.nan
    figures["ratio"] = figures["median"] / figures["oracle median"]
    figures["p90 ratio"] = figures["p90"] / figures["oracle p90"]
    figures["sag in band %"] = 100.0 * float(np.mean([one.sag_side == 0 for one in turns]))
    figures["psi in band %"] = 100.0 * float(np.mean([one.pressure_side == 0 for one in turns]))
    return figures


def by_place(turns: Sequence[Turn]) -> dict[str, dict[str, float]]:
    """Return the figures by how many riders came before, off the pressure limits, then from the third rider on."""
    free = [one for one in turns if not one.at_limit]
    places = sorted({one.place for one in free})
    rows = {f"{place} before": [one for one in free if one.place == place] for place in places}
    rows[FROM_THIRD] = [one for one in free if one.place >= 2]
    rows |= {f"  {kind}": [one for one in free if one.place >= 2 and one.kind == kind] for kind in KINDS}
    return {name: fleet_figures(part) for name, part in rows.items() if part}


def fleet_goals(usual: dict[str, dict[str, float]], shifted: dict[str, dict[str, float]]) -> Iterator[Goal]:
    """Yield every goal with its figure: by place where a place decides, else from the third rider on."""
    for what in ("ratio", "p90 ratio"):
        yield Goal(f"{FROM_THIRD}: {what} to the oracle's miss", usual[FROM_THIRD][what], high=MOST_RATIO)
    for row in (one for one in usual if "before" in one):
        for what in ("sag in band %", "psi in band %"):
            yield Goal(f"{row}: {what}", usual[row][what], *BAND)
    yield Goal(f"shifted, {FROM_THIRD}: median miss", shifted[FROM_THIRD]["median"], high=MOST_SHIFTED)
