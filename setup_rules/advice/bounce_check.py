"""The bounce check: what is seen after one firm dip, beside the style's aim, and the rebound clicks that follow.

An answer is relative to the aim, so that it means the same for every style: *less* swing than the aim asks for quicker
rebound, *more* for slower. The first turn is a quarter of the clicks. Nobody is sent back to a place, or past one, that
was already left for the other way: the turn is halved until it stays clear of them, and where not even one click does,
the rebound is right. So any sequence of answers ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed
from setup_rules.physics.damping import clicks_between, overshoot_from_ratio, ratio_from_overshoot
from setup_rules.types.constants import REBOUND_RATIO
from setup_rules.types.errors import Problem
from setup_rules.types.feedback import OLD_SEEN, SEEN
from setup_rules.types.request import EndName
from setup_rules.types.result import BounceCheck, Setup, TakenBounce

#: The first turn is this share of the clicks, and no turn is larger: look again before going further.
LARGEST_STEP: Final = 0.25
#: A measured damping ratio within this share of the aim is right: a ruler held to about 4 mm on a dip of 60 mm reads it
#: no finer (our estimate).
DEAD_BAND: Final = 0.2
_WAYS: Final = {"less": 1, "about_right": 0, "more": -1}


@dataclass(frozen=True, slots=True)
class Turn:
    """What a bounce check asks for: the way (1 out, −1 in, 0 none), the clicks to turn, the ratio where measured.

    No clicks with a way to go means an end: of the adjuster (`at_end`), or of what is left to try.
    """

    direction: int
    clicks: int = 0
    at_end: bool = False
    ratio: float | None = None


def bounce_problems(check: BounceCheck, total: int) -> tuple[Problem, ...]:
    """Return what is wrong with a bounce check on an adjuster of `total` clicks; empty when it can be used."""
    problems = []
    if not 0 <= check.clicks_out <= total:
        problems.append(Problem("clicks_out", Message.of("bounce.clicks", clicks=check.clicks_out, total=total)))
    if (check.seen is None) == (check.dip_mm is None):
        problems.append(Problem("seen", Message.of("bounce.one_way")))
    elif check.seen is not None and check.seen not in (*SEEN, *OLD_SEEN):
        said = Message.of("problem.unknown_choice", found=repr(check.seen[:40]), choices=", ".join(SEEN))
        problems.append(Problem("seen", said))
    elif check.dip_mm is not None and not 0 < (check.beyond_mm or 0) < check.dip_mm <= 250:
        beyond, dip = as_typed(check.beyond_mm or 0), as_typed(check.dip_mm)
        problems.append(Problem("beyond_mm", Message.of("bounce.swing", beyond=beyond, dip=dip)))
    return tuple(problems)


def aimed_swing(style: str) -> float:
    """Return the first swing beyond standing height that a riding style aims at, as a share of the dip.

    exp(−π·ζ/√(1 − ζ²)) of the style's damping ratio ζ

    Parameters
    ----------
    style : str
        A riding style.

    Returns
    -------
    float [-]

    Examples
    --------
    >>> [round(aimed_swing(style), 2) for style in ("cross_country", "trail", "downhill")]
    [0.3, 0.23, 0.16]

    References
    ----------
    Step response of a second-order system; `REBOUND_RATIO`: our estimate.
    """
    return overshoot_from_ratio(REBOUND_RATIO[style])


def find_turn(check: BounceCheck, style: str, total: int, closed: tuple[int, ...], spread: float) -> Turn:
    """Return the turn that a usable check asks for on an adjuster of `total` clicks.

    `closed` are the places [clicks out] left for the other way; `spread` is the damping fully closed over fully open.
    """
    direction, most, ratio = _WAYS[OLD_SEEN.get(check.seen or "", check.seen or "about_right")], first_step(total), None
    if check.dip_mm is not None and check.beyond_mm is not None:
        ratio, aim = ratio_from_overshoot(check.beyond_mm / check.dip_mm), REBOUND_RATIO[style]
        direction = 0 if abs(ratio - aim) <= DEAD_BAND * aim else int(math.copysign(1, ratio - aim))
        most = min(most, max(1, round(abs(clicks_between(ratio, aim, total, spread)))))
    if direction == 0:
        return Turn(0, ratio=ratio)
    room = total - check.clicks_out if direction > 0 else check.clicks_out
    if room == 0:
        return Turn(direction, at_end=True, ratio=ratio)
    step = min(most, room)
    while any(step >= abs(place - check.clicks_out) for place in closed):
        step //= 2
    return Turn(direction, step, ratio=ratio)


def first_step(total: int) -> int:
    """Return the clicks of a first turn on an adjuster of `total` clicks, 1 at least."""
    return max(1, round(LARGEST_STEP * total))


def places_left(setup: Setup, name: EndName, now: int, direction: int) -> tuple[int, ...]:
    """Return the clicks out ahead of `now` that a bounce check or a ride of an end has left for the other way."""
    by_bounce = [(b.clicks_out, b.direction) for b in setup.bounces if b.end == name]
    rides = [ride.change for ride in setup.rides if ride.change.end == name and ride.change.kind == "rebound"]
    by_ride = [(round(change.before), change.amount) for change in rides if change.before is not None]
    return tuple(n for n, way in (*by_bounce, *by_ride) if way * direction < 0 < (n - now) * direction)


def remember(setup: Setup, check: BounceCheck, direction: int) -> tuple[TakenBounce, ...]:
    """Return the bounce checks that count after one more: an answer that all is right ends the search before it."""
    taken = TakenBounce(end=check.end, clicks_out=check.clicks_out, direction=direction)
    kept = tuple(b for b in setup.bounces if b != taken and (direction or b.end != check.end))
    return (*kept, taken)
