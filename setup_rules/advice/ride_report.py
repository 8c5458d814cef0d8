"""After the ride: from what a rider felt to exactly one change, and the end of the road.

Every rule is common practice without a source, except where physics answers: what a volume spacer does to the work
stored, and the pressure that keeps the sag. Order of changes: sag and pressure, rebound, compression, volume
spacers; an end-of-travel complaint starts with the spacer, which acts there and nowhere else.

No answer loops: where a rider asked for more of something, no later answer takes it back to there or below, and the
other way round, by a ride or by a bounce check, so what is still open shrinks with every answer, and every adjuster
has ends. A volume spacer that was fitted is therefore not taken out again. When nothing is left to turn, the answer is
a workshop.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from setup_rules.advice.coil_reasons import no_spring_said
from setup_rules.advice.coil_ride import find_next
from setup_rules.advice.wording import no_end
from setup_rules.inference.volume_spacer import spacers_fit
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed
from setup_rules.types.constants import SAG_RANGE
from setup_rules.types.errors import Problem
from setup_rules.types.feedback import FELT
from setup_rules.types.limits import USUAL_SAG_PERCENT
from setup_rules.types.request import FrontEnd, RearEnd
from setup_rules.types.result import Change, ChangeKind, EndSetup, RideReport, Setup, TakenBounce, TakenRide

#: Pairs that cannot both be so, since they ask for opposite turns of the same adjuster.
CONTRADICTIONS: Final = (
    ("kicks_back", "packs_down"),
    ("hits_the_end", "travel_left_over"),
    ("dives", "travel_left_over"),
    ("wallows", "harsh_small_hits"),
)
#: For each feeling the changes that help, first to last: kind and direction (clicks out, points of sag, spacers).
_REMEDIES: Final[dict[str, tuple[tuple[ChangeKind, int], ...]]] = {
    "hits_the_end": (("volume_spacers", 1), ("compression", -1), ("sag_target", -1)),
    "kicks_back": (("rebound", -1),),
    "packs_down": (("rebound", 1), ("sag_target", -1)),
    "dives": (("sag_target", -1), ("compression", -1), ("volume_spacers", 1)),
    "wallows": (("sag_target", -1), ("compression", -1)),
    "harsh_small_hits": (("sag_target", 1), ("compression", 1), ("rebound", 1)),
    "travel_left_over": (("volume_spacers", -1), ("compression", 1), ("sag_target", 1)),
}
#: What a coil needs otherwise: it takes no volume spacers, so the next spring stands for one.
_COIL_REMEDIES: Final[dict[str, tuple[tuple[ChangeKind, int], ...]]] = {
    "hits_the_end": (("spring_rate", 1), ("compression", -1), ("sag_target", -1)),
    "dives": (("sag_target", -1), ("compression", -1), ("spring_rate", 1)),
    "travel_left_over": (("spring_rate", -1), ("compression", 1), ("sag_target", 1)),
}
#: Half of a step is tried where a whole one would lead back; less than one is not worth a ride.
_FIRST_STEP: Final[dict[str, float]] = {
    "sag_target": 2.0,
    "rebound": 2.0,
    "compression": 2.0,
    "volume_spacers": 1.0,
    "spring_rate": 1.0,
}
#: How far beyond the style's usual sag range feelings may move the target [points].
_BEYOND_RANGE: Final = 3.0
#: Used travel below this share of what there is, on a hard ride, counts as travel left over.
LEFT_OVER: Final = 0.80
#: From this many hard hits on, the end of the travel is met too often.
MANY_HITS: Final = 2
#: At a limit of the unit within this share, no pressure is left to change.
_AT_LIMIT: Final = 0.01
_PRESSURE_KINDS: Final = ("sag_target", "volume_spacers", "spring_rate")


@dataclass(frozen=True, slots=True)
class _Situation:
    end: FrontEnd | RearEnd
    result: EndSetup
    style: str
    rides: tuple[TakenRide, ...]
    bounces: tuple[TakenBounce, ...]


def report_problems(setup: Setup, report: RideReport) -> tuple[Problem, ...]:
    """Return what is wrong with a ride report on a setup, each with what to do; empty when it can be used."""
    result = setup.front if report.end == "front" else setup.rear
    if result is None:
        return (no_end(report.end),)
    if result.coil is not None and not result.coil.fits:
        return (Problem("end", no_spring_said(result.coil)),)
    problems = [
        Problem("felt", Message.of("problem.unknown_choice", found=repr(felt[:40]), choices=", ".join(FELT)))
        for felt in report.felt
        if felt not in FELT
    ]
    used, hits = report.travel_used_mm, report.hard_hits
    if used is not None and not 0.0 < used <= result.travel_mm + 1.0:
        said = Message.of("ride.travel_used", used=as_typed(used), travel=as_typed(result.travel_mm))
        problems.append(Problem("travel_used_mm", said))
    if hits is not None and not 0 <= hits <= 1000:
        problems.append(Problem("hard_hits", Message.of("ride.hard_hits", hits=hits)))
    if not report.felt and used is None and hits is None:
        problems.append(Problem("felt", Message.of("ride.nothing")))
    problems += _contradictions(report, result)
    return tuple(problems)


def _contradictions(report: RideReport, result: EndSetup) -> list[Problem]:
    problems = [
        Problem("felt", Message.of(f"ride.opposite.{one}.{other}"))
        for one, other in CONTRADICTIONS
        if one in report.felt and other in report.felt
    ]
    if "feels_right" in report.felt and len(set(report.felt)) > 1:
        problems.append(Problem("felt", Message.of("ride.right_and_wrong")))
    return problems + _hit_contradictions(report) + _travel_contradictions(report, result)


def _hit_contradictions(report: RideReport) -> list[Problem]:
    """Return what does not go with the number of hard hits that was entered."""
    hits = report.hard_hits
    if hits == 0 and "hits_the_end" in report.felt:
        return [Problem("hard_hits", Message.of("ride.end_without_hits"))]
    for felt in ("travel_left_over", "feels_right"):
        if felt in report.felt and hits is not None and hits >= MANY_HITS:
            return [Problem("hard_hits", Message.of(f"ride.hits.{felt}", hits=hits))]
    return []


def _travel_contradictions(report: RideReport, result: EndSetup) -> list[Problem]:
    """Return what does not go with the travel used that was entered."""
    used, hits = report.travel_used_mm, report.hard_hits or 0
    if used is None:
        return []
    values = {"used": as_typed(used), "travel": as_typed(result.travel_mm)}
    if used < 0.9 * result.travel_mm and (hits > 0 or "hits_the_end" in report.felt):
        return [Problem("travel_used_mm", Message.of("ride.hits_with_travel_left", **values))]
    if used > 0.95 * result.travel_mm and "travel_left_over" in report.felt:
        return [Problem("travel_used_mm", Message.of("ride.left_over_with_travel_used", **values))]
    return []


def next_change(setup: Setup, report: RideReport) -> Change:
    """Return the one change that a usable ride report asks for.

    Kind "none" means that all is well, "sag_check" that the sag has to be known first (asked for once), "workshop"
    that nothing which helps is left to turn.
    """
    result = setup.front if report.end == "front" else setup.rear
    end = setup.request.front if report.end == "front" else setup.request.rear
    if result is None or end is None:
        raise KeyError(report.end)
    rides = tuple(ride for ride in setup.rides if ride.change.end == report.end)
    bounces = tuple(bounce for bounce in setup.bounces if bounce.end == report.end)
    situation = _Situation(end, result, setup.request.riding_style, rides, bounces)
    complaints = _complaints(report, result)
    if not complaints:
        return Change(end=report.end, kind="none")
    remedies = _REMEDIES if result.coil is None else _REMEDIES | _COIL_REMEDIES
    for felt in complaints:
        for kind, direction in remedies[felt]:
            amount = _amount(situation, kind, direction)
            if not amount:
                continue
            if kind in _PRESSURE_KINDS and not result.checks_used and not _was_asked(rides):
                return Change(end=report.end, kind="sag_check")
            return Change(end=report.end, kind=kind, amount=amount, before=_stands_at(situation, kind))
    return Change(end=report.end, kind="workshop")


def _complaints(report: RideReport, result: EndSetup) -> list[str]:
    """Return what is to be answered, first to last. One touch of the end on the hardest hit is what travel is for."""
    felt: list[str] = [one for one in FELT if one in report.felt and one != "feels_right"]
    if (report.hard_hits or 0) >= MANY_HITS and "hits_the_end" not in felt:
        felt.insert(0, "hits_the_end")
    used = report.travel_used_mm
    if not report.felt and used is not None and used < LEFT_OVER * result.travel_mm and not report.hard_hits:
        felt.append("travel_left_over")
    return felt


def _was_asked(rides: tuple[TakenRide, ...]) -> bool:
    return any(ride.change.kind == "sag_check" for ride in rides)


def _amount(situation: _Situation, kind: ChangeKind, direction: int) -> float:
    """Return the signed amount of a change, 0 where that adjuster is missing, at its end or used up.

    A change never leads to or past a value that the rider has already left for the other direction.
    """
    now = _stands_at(situation, kind)
    if now is None:
        return 0.0
    left = [(ride.change.before, ride.change.amount) for ride in situation.rides if ride.change.kind == kind]
    if kind == "rebound":
        left += [(float(bounce.clicks_out), float(bounce.direction)) for bounce in situation.bounces]
    closed = [before for before, way in left if before is not None and way * direction < 0 < (before - now) * direction]
    step = _FIRST_STEP[kind]
    while step >= 1.0:
        amount = _within(situation, kind, direction * step)
        if all((before - now - amount) * direction > 0 for before in closed):
            return amount
        step /= 2
    return 0.0


def _stands_at(situation: _Situation, kind: ChangeKind) -> float | None:
    """Return where an adjuster stands, None where there is none."""
    result = situation.result
    if kind == "volume_spacers":
        return None if result.coil else float(situation.end.volume_spacers)
    if kind == "sag_target":
        return result.sag_target_percent
    if kind == "spring_rate":
        return None if result.coil is None else result.coil.rate_n_per_m / 1000
    start = result.rebound if kind == "rebound" else result.compression
    return None if start is None else float(start.out)


def _within(situation: _Situation, kind: ChangeKind, amount: float) -> float:
    """Return the amount cut to what the adjuster still has."""
    end, result = situation.end, situation.result
    if kind == "volume_spacers":
        count = end.volume_spacers + int(amount)
        return amount if (spacers_fit(end, count) if amount > 0 else count >= 0) else 0.0
    if kind == "spring_rate":
        return _rate_step(situation, 1 if amount > 0 else -1)
    if kind == "sag_target":
        if not _pressure_left(result, amount):
            return 0.0
        return _cut(result.sag_target_percent, amount, *_sag_bounds(situation))
    start = result.rebound if kind == "rebound" else result.compression
    return 0.0 if start is None else _cut(start.out, amount, 0, start.total)


def _sag_bounds(situation: _Situation) -> tuple[float, float]:
    """Return how far feelings may move the target sag [%]."""
    usual = SAG_RANGE[situation.style][situation.result.end]
    return max(USUAL_SAG_PERCENT[0], usual.low - _BEYOND_RANGE), min(USUAL_SAG_PERCENT[1], usual.high + _BEYOND_RANGE)


def _rate_step(situation: _Situation, direction: int) -> float:
    """Return the step to the next spring that is to be had [N/mm], 0 where its sag would not suit the style."""
    result = situation.result
    found = None if result.coil is None else find_next(result.coil, direction)
    if result.coil is None or found is None:
        return 0.0
    low, high = _sag_bounds(situation)
    # The bounds are whole percents: 39.2 of 140 mm are 28 %, whatever stands in a float's last digit.
    fits = low <= round(100 * found.least_preload_sag_mm / result.travel_mm, 9) <= high
    return (found.rate_n_per_m - result.coil.rate_n_per_m) / 1000 if fits else 0.0


def _pressure_left(result: EndSetup, amount: float) -> bool:
    """Return whether the unit's limits leave room for the pressure of more (above zero) or less sag."""
    if result.coil is not None:
        return not result.limited
    if amount > 0:
        return result.pressure_pa > (1.0 + _AT_LIMIT) * result.min_pressure_pa
    # The maximum holds on the ride too: pumped in the cold, it is reached before the gauge shows it.
    return max(result.pressure_pa, result.ride_pressure_pa) < (1.0 - _AT_LIMIT) * result.max_pressure_pa


def _cut(value: float, amount: float, low: float, high: float) -> float:
    cut = min(max(value + amount, low), high) - value
    return cut if cut * amount > 0 and abs(cut) >= 0.5 else 0.0
