"""Ways to come from a first pressure to the right one, each followed until it says that it is done."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from .asking import Answer, next_answer
from .draw import Case
from .measuring import Pumped, Rider, Side

_MOST_SIMPLE = 30
_MOST_OURS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One case corrected by one habit. Misses are of the settled sag without friction, in per cent of travel."""

    group: str
    repumps: int
    finished: bool
    done_after_one: bool
    miss_after_one: float
    within_after_one: bool
    seen_after_one: bool
    in_band: bool | None
    below_band: bool
    refusals: int
    at_limit: bool


def tolerance_mm(case: Case) -> float:
    """Return the miss [mm] that is good enough: the larger of 2 mm and 2 % of travel."""
    return max(2.0, 0.02 * 1e3 * case.spring.travel)


def _run(
    rider: Rider,
    target: float,
    stops: list[tuple[Pumped, float]],
    finished: bool,
    band: tuple[float, float] | None = None,
    refusals: int = 0,
    at_limit: bool = False,
) -> Run:
    """Sum up the stops, each a pumped spring with the mean of what was read on it."""
    case = rider.case
    after_one, seen = stops[min(1, len(stops) - 1)]
    true = rider.true_sag_mm(after_one)
    miss = true - target
    return Run(
        group=case.group,
        repumps=len(stops) - 1,
        finished=finished,
        done_after_one=finished and len(stops) <= 2,
        miss_after_one=0.1 * miss / case.spring.travel,
        within_after_one=abs(miss) <= tolerance_mm(case),
        seen_after_one=abs(seen - target) <= tolerance_mm(case),
        in_band=band[0] <= true <= band[1] if band else None,
        below_band=true < band[0] if band else False,
        refusals=refusals,
        at_limit=at_limit,
    )


def _simple(case: Case, first: Answer, stream: int, change: Callable[[float, float, float], float]) -> Run:
    rider = Rider(case, stream)
    wanted = first.pressure
    stops: list[tuple[Pumped, float]] = []
    while True:
        pumped = rider.pump(wanted)
        seen = rider.measure(pumped, ("any",))[0]
        stops.append((pumped, seen))
        finished = abs(seen - first.target) <= tolerance_mm(case)
        if finished or len(stops) > _MOST_SIMPLE:
            return _run(rider, first.target, stops, finished, at_limit=first.at_limit)
        wanted = change(pumped.shown_psi, seen, first.target)


def steps_of_five(case: Case, first: Answer) -> Run:
    """Add or let out 5 psi until a single reading is within the tolerance."""
    return _simple(case, first, 1, lambda shown, seen, target: shown + (5.0 if seen > target else -5.0))


def proportional_rule(case: Case, first: Answer) -> Run:
    """Multiply the pressure by measured over target sag until a single reading is within the tolerance."""
    return _simple(case, first, 2, lambda shown, seen, target: shown * max(seen, 1.0) / target)


def ours(case: Case, first: Answer, stream: int, sides: tuple[Side, ...]) -> Run:
    """Follow the rules: measure, pump what they say, until they say settled or the patience ends."""
    rider = Rider(case, stream)
    answer, wanted, refusals = first, first.pressure, 0
    stops: list[tuple[Pumped, float]] = []
    band: tuple[float, float] | None = None
    while True:
        pumped = rider.pump(wanted)
        told, seen, refused = _tell(rider, answer, pumped, sides)
        refusals += refused
        stops.append((pumped, seen))
        if told is None:  # Refused three times over: let out a tenth and begin again.
            wanted = 0.9 * pumped.shown_psi
        else:
            answer, wanted = told, told.pressure
            # The band that holds after the first check; a pressure kept is one checked without a re-pump.
            band = band or (told.sag_low, told.sag_high)
        settled = told is not None and told.settled
        if settled or len(stops) > _MOST_OURS:
            return _run(rider, first.target, stops, settled, band, refusals, first.at_limit or answer.at_limit)


def _tell(rider: Rider, answer: Answer, pumped: Pumped, sides: tuple[Side, ...]) -> tuple[Answer | None, float, int]:
    for attempt in range(3):
        read = rider.measure(pumped, sides)
        by = {side: [mm for mm, s in zip(read, sides, strict=True) if s == side] for side in sides}
        told = next_answer(answer, pumped.shown_psi, by.get("any", []), by.get("above", []), by.get("below", []))
        if told is not None:
            return told, sum(read) / len(read), attempt
    return None, sum(read) / len(read), 3


HABITS: dict[str, Callable[[Case, Answer], Run]] = {
    "steps of 5 psi": steps_of_five,
    "proportional rule": proportional_rule,
    "one reading": lambda case, first: ours(case, first, 3, ("any",)),
    "three readings": lambda case, first: ours(case, first, 4, ("any", "any", "any")),
    "one above, one below": lambda case, first: ours(case, first, 5, ("above", "below")),
    "two above, two below": lambda case, first: ours(case, first, 6, ("above", "above", "below", "below")),
}
