"""A change of travel planned whole: spacers to fit, the setup afterwards, and what the bike becomes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final

from setup_rules.advice.corrections import what_if
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed
from setup_rules.physics.travel_change import GeometryChange, Stacks, geometry_change, stacks_for, volume_at_travel_cm3
from setup_rules.types.errors import LimitError, Problem, RequestError
from setup_rules.types.limits import LIMITS
from setup_rules.types.request import FrontEnd
from setup_rules.types.result import Setup, TakenCheck

#: Stand-ins where the bike's own figures are not entered [mm] (our estimate, a middle-sized trail bike).
USUAL_WHEELBASE_MM: Final = 1200.0
USUAL_CHAINSTAY_MM: Final = 435.0
USUAL_DROP_MM: Final = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TravelWish:
    """What is wanted and what there is: lengths in mm, angle in degrees, spacers as (size [mm], count) pairs.

    `longest_travel_mm` is the travel with no spacer fitted. The two limits are those of the fork's and the frame's
    manual, None where not looked up. None for a figure of the bike stands for a usual one.
    """

    travel_mm: float
    longest_travel_mm: float
    spacers: tuple[tuple[float, int], ...] = ()
    unit_limit_mm: float | None = None
    frame_limit_mm: float | None = None
    head_angle_deg: float | None = None
    wheelbase_mm: float | None = None
    chainstay_mm: float | None = None
    bottom_bracket_drop_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TravelPlan:
    """Stacks to choose from, the setup before and after, and the change of the bike's geometry.

    `before` is `saved` with the travel without spacers known, so that before and after are of the same spring: a
    size class stands for another chamber when a fork turns out to be a longer one shortened. `after` is None when
    no stack of the spacers on hand gives the wanted travel: `stacks.nearest` then says what can be had.
    """

    wish: TravelWish
    saved: Setup
    before: Setup
    after: Setup | None
    stacks: Stacks
    geometry: GeometryChange


def plan_travel(setup: Setup, wish: TravelWish) -> TravelPlan:
    """Return how to get a wanted travel and what it does; everything learned by sag checks is kept.

    Parameters
    ----------
    setup : Setup
        The setup in force, with a fork.
    wish : TravelWish
        Wanted travel, spacers on hand, limits and geometry.

    Returns
    -------
    TravelPlan
        With `after` where a stack of the spacers on hand gives the travel.

    Raises
    ------
    RequestError
        When there is no fork, or the travel is beyond what unit, frame or fork allow.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> front = {"travel_mm": 100, "stanchion_mm": 34}
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
    >>> plan = plan_travel(setup, TravelWish(travel_mm=120, longest_travel_mm=140, spacers=((10, 2), (20, 2))))
    >>> [stack.pieces for stack in plan.stacks.exact]
    [((20, 1),), ((10, 2),)]

    References
    ----------
    Internal travel spacers fix the top-out point; the chamber at full compression stays as it is.
    """
    front = _front(setup)
    problems = _problems(front, wish)
    if problems:
        raise RequestError(problems)
    try:
        stacks = stacks_for(wish.longest_travel_mm, wish.travel_mm, dict(wish.spacers))
    except LimitError as error:
        raise RequestError((Problem("spacers", error.said),)) from error
    geometry = _geometry(front, wish)
    after = change_travel(setup, wish, geometry) if stacks.exact else None
    before = _knowing_longest(setup, front, wish.longest_travel_mm)
    return TravelPlan(wish=wish, saved=setup, before=before, after=after, stacks=stacks, geometry=geometry)


def change_travel(setup: Setup, wish: TravelWish, geometry: GeometryChange | None = None) -> Setup:
    """Return the setup at another travel of its fork, with a known chamber volume and the head angle following it.

    Parameters
    ----------
    setup : Setup
        The setup in force, with a fork.
    wish : TravelWish
        Its wanted and longest travel count here; spacers and limits do not.
    geometry : GeometryChange, optional
        What the change does to the bike; worked out from `wish` if not given.

    Returns
    -------
    Setup
        With the same checks and rides.

    Raises
    ------
    RequestError
        When there is no fork or the changed request is outside the limits.

    References
    ----------
    Volume of a cylinder for the positive chamber; `what_if` for what was learned.
    """
    front = _front(setup)
    change = _geometry(front, wish) if geometry is None else geometry
    angle = LIMITS["head_angle_deg"]
    turned = (wish.head_angle_deg or front.head_angle_deg) + change.head_angle_deg
    changes: dict[str, Any] = {
        "travel_mm": wish.travel_mm,
        "longest_travel_mm": wish.longest_travel_mm,
        "head_angle_deg": round(min(max(turned, angle.low), angle.high), 2),
    }
    if front.positive_volume_cm3 is not None and front.bore_mm is not None:
        changes["positive_volume_cm3"] = _followed_volume(front, wish.travel_mm)
    if front.chart and front.chart_travel_mm is None:
        changes["chart_travel_mm"] = front.travel_mm
    return what_if(_with_longest(setup, wish.longest_travel_mm), {"front": changes})


def _front(setup: Setup) -> FrontEnd:
    if setup.request.front is None:
        raise RequestError((Problem("end", Message.of("travel.no_fork")),))
    if setup.request.front.spring == "coil":
        raise RequestError((Problem("end", Message.of("travel.coil")),))
    return setup.request.front


def _problems(front: FrontEnd, wish: TravelWish) -> tuple[Problem, ...]:
    problems = []
    longest, travel, now = wish.longest_travel_mm, wish.travel_mm, front.travel_mm
    shown = {"travel": as_typed(travel)}
    if longest < now:
        said = Message.of("travel.longest_below_now", now=as_typed(now), longest=as_typed(longest))
        problems.append(Problem("longest_travel_mm", said))
    if travel > longest:
        problems.append(Problem("travel_mm", Message.of("travel.above_longest", **shown, longest=as_typed(longest))))
    for limit, whose in ((wish.unit_limit_mm, "fork"), (wish.frame_limit_mm, "frame")):
        if limit is not None and travel > limit:
            said = Message.of(f"travel.above_{whose}_limit", **shown, limit=as_typed(limit))
            problems.append(Problem("travel_mm", said))
    if travel == now:
        problems.append(Problem("travel_mm", Message.of("travel.unchanged", **shown)))
    return tuple(problems)


def _geometry(front: FrontEnd, wish: TravelWish) -> GeometryChange:
    drop_mm = USUAL_DROP_MM if wish.bottom_bracket_drop_mm is None else wish.bottom_bracket_drop_mm
    try:
        return geometry_change(
            wish.wheelbase_mm or USUAL_WHEELBASE_MM,
            wish.head_angle_deg or front.head_angle_deg,
            wish.travel_mm - front.travel_mm,
            wish.chainstay_mm or USUAL_CHAINSTAY_MM,
            drop_mm,
        )
    except LimitError as error:
        raise RequestError((Problem("travel_mm", error.said),)) from error


def _followed_volume(front: FrontEnd, travel_mm: float) -> float:
    volume_cm3, bore_mm = front.positive_volume_cm3 or 0.0, front.bore_mm or 0.0
    try:
        followed_cm3 = volume_at_travel_cm3(volume_cm3, bore_mm, front.travel_mm, travel_mm)
    except LimitError as error:
        raise RequestError((Problem("travel_mm", error.said),)) from error
    return round(followed_cm3, 3)


def _knowing_longest(setup: Setup, front: FrontEnd, longest_mm: float) -> Setup:
    if (front.longest_travel_mm or front.travel_mm) == longest_mm:
        return setup
    return what_if(_with_longest(setup, longest_mm), {"front": {"longest_travel_mm": longest_mm}})


def _with_longest(setup: Setup, longest_mm: float) -> Setup:
    """Return the setup with the travel without spacers made known to its earlier checks: it was true then, too."""
    return replace(setup, checks=tuple(_known_longest(taken, longest_mm) for taken in setup.checks))


def _known_longest(taken: TakenCheck, longest_mm: float) -> TakenCheck:
    front = taken.request.front
    if front is None or front.longest_travel_mm is not None or front.travel_mm > longest_mm:
        return taken
    return replace(taken, request=replace(taken.request, front=replace(front, longest_travel_mm=longest_mm)))
