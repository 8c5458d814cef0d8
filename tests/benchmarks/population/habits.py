"""Ways to come from a first pressure to the right one, each followed until it says that it is done."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from .advising import Adviser, Outcome
from .asking import Answer, Readings
from .draw import Case
from .measuring import Pumped, Rider, Side

_MOST_SIMPLE = 30
_MOST_ADVISED = 8
_TRIES = 3
_MOVED_MM = 0.5

SIDES: dict[str, tuple[Side, ...]] = {
    "one reading": ("any",),
    "three readings": ("any", "any", "any"),
    "one above, one below": ("above", "below"),
    "two above, two below": ("above", "above", "below", "below"),
}
#: After how many checks the band of a person who keeps checking is held against the truth.
CHECKS = (1, 2, 3, 5, 10, 30)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One case corrected by one habit. Misses are of the settled gap without friction, in per cent of travel."""

    group: str
    repumps: int
    finished: bool
    done_after_one: bool
    miss_after_one: float
    final_miss: float
    within_after_one: bool
    in_band: bool | None
    below_band: bool
    refusals: int
    at_limit: bool
    target_moved: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A person who keeps checking: whether the band held the truth after so many checks, None where refused."""

    group: str
    in_band: dict[int, bool]
    at_limit: bool


def group_of(case: Case) -> str:
    """Return the row of the table that a case belongs to."""
    return f"{case.told.kind}, {case.datum.replace('_', ' ')}"


def tolerance_mm(case: Case) -> float:
    """Return the miss [mm] that is good enough by hand: the larger of 2 mm and 2 % of travel."""
    return max(2.0, 20.0 * float(case.hidden.travel))


def _sum_up(
    rider: Rider,
    target: float,
    stops: list[Pumped],
    finished: bool,
    held: int | None = None,
    refusals: int = 0,
    at_limit: bool = False,
) -> Run:
    case = rider.case
    after_one, last = (rider.true_gap_mm(stop) for stop in (stops[min(1, len(stops) - 1)], stops[-1]))
    return Run(
        group=group_of(case),
        repumps=len(stops) - 1,
        finished=finished,
        done_after_one=finished and len(stops) <= 2,
        miss_after_one=case.percent(after_one - target),
        final_miss=case.percent(last - target),
        within_after_one=abs(after_one - target) <= tolerance_mm(case),
        in_band=None if held is None else held == 0,
        below_band=held == -1,
        refusals=refusals,
        at_limit=at_limit,
    )


def _follow_by_hand(case: Case, first: Answer, stream: int, change: Callable[[float, float, float], float]) -> Run:
    rider, wanted, stops = Rider(case, stream), first.pressure, list[Pumped]()
    while True:
        pumped = rider.pump(wanted)
        seen = rider.measure(pumped, ("any",))[0]
        stops.append(pumped)
        finished = abs(seen - first.target) <= tolerance_mm(case)
        if finished or len(stops) > _MOST_SIMPLE:
            return _sum_up(rider, first.target, stops, finished, at_limit=first.at_limit)
        wanted = change(pumped.shown_psi, seen, first.target)


def steps_of_five(case: Case, first: Answer) -> Run:
    """Add or let out 5 psi until a single reading is within the tolerance."""
    return _follow_by_hand(case, first, 1, lambda shown, seen, target: shown + (5.0 if seen > target else -5.0))


def proportional_rule(case: Case, first: Answer) -> Run:
    """Multiply the pressure by measured over target sag until a single reading is within the tolerance."""
    return _follow_by_hand(case, first, 2, lambda shown, seen, target: shown * max(seen, 1.0) / target)


BY_HAND: dict[str, Callable[[Case, Answer], Run]] = {
    "steps of 5 psi": steps_of_five,
    "proportional rule": proportional_rule,
}


def follow(case: Case, adviser: Adviser, sides: tuple[Side, ...], stream: int) -> Run:
    """Measure, pump what the adviser says, until it says settled or the patience ends.

    Misses are from the target that the adviser names last, since naming the datum may restate it; a target that moved
    is counted.
    """
    first_target, refusals = adviser.target, 0
    rider, stops, held = Rider(case, stream), list[Pumped](), None
    pumped = rider.pump(adviser.pressure())
    while True:
        stops.append(pumped)
        refused = _tell(rider, adviser, pumped, sides)
        refusals += refused
        settled = refused < _TRIES and adviser.settled
        # Refused every time: let out a tenth and begin again.
        pumped = rider.pump(0.9 * pumped.shown_psi if refused == _TRIES else adviser.pressure())
        if held is None and refused < _TRIES:
            # The first check's band speaks of its own pressure, pumped or not.
            held = _place(rider.true_gap_mm(pumped), adviser.band_mm())
        if settled or len(stops) > _MOST_ADVISED:
            run = _sum_up(rider, adviser.target, stops, settled, held, refusals, adviser.at_limit)
            return replace(run, target_moved=abs(adviser.target - first_target) > _MOVED_MM)


def _place(value: float, band: tuple[float, float]) -> int:
    return -1 if value < band[0] else 1 if value > band[1] else 0


def keep_checking(case: Case, adviser: Adviser, stream: int, most: int = CHECKS[-1]) -> Kept:
    """Pump what the adviser says and read once, over and over, whether it calls that settled or not."""
    rider, held = Rider(case, stream), dict[int, bool]()
    for check in range(1, most + 1):
        refused = _tell(rider, adviser, rider.pump(adviser.pressure()), ("any",))
        if check in CHECKS and refused < _TRIES:
            low, high = adviser.band_mm()
            held[check] = low <= case.shown_gap_mm(adviser.pressure()) <= high
    return Kept(group=group_of(case), in_band=held, at_limit=adviser.at_limit)


def _tell(rider: Rider, adviser: Adviser, pumped: Pumped, sides: tuple[Side, ...]) -> int:
    """Measure and tell until the readings are taken; return how often they were refused."""
    for attempt in range(_TRIES):
        meant = rider.measure(pumped, sides)
        if _enter(rider, adviser, pumped, sides, meant) == "taken":
            return attempt
    return _TRIES


def _enter(rider: Rider, adviser: Adviser, pumped: Pumped, sides: tuple[Side, ...], meant: list[float]) -> Outcome:
    """Type the readings in; where they are questioned look again, which puts a slip right, and then stand by them."""
    outcome = adviser.tell(_shape(rider, pumped, sides, rider.write_down(meant)))
    right = _shape(rider, pumped, sides, meant)
    if outcome == "questioned":
        outcome = adviser.tell(right)
    return adviser.insist(right) if outcome == "questioned" else outcome


def _shape(rider: Rider, pumped: Pumped, sides: tuple[Side, ...], readings: list[float]) -> Readings:
    by = {
        side: tuple(mm for mm, s in zip(readings, sides, strict=True) if s == side)
        for side in ("any", "above", "below")
    }
    return Readings(
        shown_psi=pumped.shown_psi, either=by["any"], above=by["above"], below=by["below"], datum=rider.case.datum
    )
