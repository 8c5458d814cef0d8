"""Travel change by travel spacers: which stacks give a travel, and what a longer or shorter fork does to the bike."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed
from setup_rules.types.errors import LimitError
from setup_rules.types.units import Quantity

#: Spacer sizes are compared to this [mm].
_SAME_MM: Final = 0.05
MOST_SIZES: Final = 8
MOST_OF_ONE: Final = 20
#: More stacks than this are not listed: fewest pieces come first anyway.
MOST_STACKS: Final = 200


@dataclass(frozen=True, slots=True)
class Stack:
    """Spacers to fit: (size [mm], count) pairs, largest first, and the travel [mm] that they leave."""

    pieces: tuple[tuple[float, int], ...]
    travel_mm: float

    @property
    def count(self) -> int:
        """Number of pieces."""
        return sum(n for _, n in self.pieces)


@dataclass(frozen=True, slots=True)
class Stacks:
    """Every stack that gives the wanted travel, fewest pieces first; else the nearest travels that can be had [mm]."""

    exact: tuple[Stack, ...]
    nearest: tuple[Stack, ...]


def stacks_for(longest_travel_mm: float, travel_mm: float, on_hand: Mapping[float, int]) -> Stacks:
    """Return the spacer stacks that leave a travel: travel = longest travel − stack.

    Parameters
    ----------
    longest_travel_mm : float [mm]
        Travel with no spacer fitted.
    travel_mm : float [mm]
        Wanted travel, above 0 and at most the longest.
    on_hand : mapping of float [mm] to int
        Spacer sizes and how many of each there are; at most 8 sizes of at most 20.

    Returns
    -------
    Stacks
        `exact`, fewest pieces first; when empty, `nearest` has the closest shorter and longer travel.

    Raises
    ------
    LimitError
        When the travel or the spacers are out of range.

    Examples
    --------
    >>> [s.pieces for s in stacks_for(160, 130, {10: 4, 20: 2}).exact]
    [((20, 1), (10, 1)), ((10, 3),)]

    References
    ----------
    Counting; internal travel spacers fix the top-out point.
    """
    if not 0 < travel_mm <= longest_travel_mm:
        travel, longest = as_typed(travel_mm), as_typed(longest_travel_mm)
        raise LimitError(Message.of("travel.outside_longest", travel=travel, longest=longest))
    if len(on_hand) > MOST_SIZES or any(size <= 0 or not 0 <= n <= MOST_OF_ONE for size, n in on_hand.items()):
        raise LimitError(Message.of("travel.spacers", sizes=MOST_SIZES, most=MOST_OF_ONE))
    wanted = longest_travel_mm - travel_mm
    sizes = sorted((s for s, n in on_hand.items() if n), reverse=True)
    exact = [p for p in _fillings(wanted, sizes, on_hand) if abs(_length(p) - wanted) <= _SAME_MM]
    exact.sort(key=lambda p: (sum(n for _, n in p), p), reverse=False)
    found = tuple(Stack(p, travel_mm) for p in exact[:MOST_STACKS])
    return Stacks(found, () if found else _nearest(longest_travel_mm, wanted, sizes, on_hand))


def _length(pieces: tuple[tuple[float, int], ...]) -> float:
    return sum(size * n for size, n in pieces)


def _fillings(room: float, sizes: list[float], on_hand: Mapping[float, int]) -> list[tuple[tuple[float, int], ...]]:
    """Return every choice of spacers that fills `room` exactly; the room left prunes the search."""
    if abs(room) <= _SAME_MM:
        return [()]
    if not sizes or room < 0 or sum(s * on_hand[s] for s in sizes) < room - _SAME_MM:
        return []
    size, rest = sizes[0], sizes[1:]
    found: list[tuple[tuple[float, int], ...]] = []
    for n in range(min(on_hand[size], int((room + _SAME_MM) // size)), -1, -1):
        for tail in _fillings(room - n * size, rest, on_hand):
            found.append(((size, n), *tail) if n else tail)
            if len(found) >= 20 * MOST_STACKS:
                return found
    return found


def _nearest(longest: float, wanted: float, sizes: list[float], on_hand: Mapping[float, int]) -> tuple[Stack, ...]:
    reached: dict[float, tuple[tuple[float, int], ...]] = {0.0: ()}
    for size in sizes:
        for length, pieces in list(reached.items()):
            for n in range(1, on_hand[size] + 1):
                total = round(length + n * size, 2)
                if total < longest and _count(reached.get(total)) > _count(pieces) + n:
                    reached[total] = (*pieces, (size, n))
    below = max((r for r in reached if r < wanted), default=None)
    above = min((r for r in reached if r > wanted), default=None)
    return tuple(Stack(reached[r], longest - r) for r in (above, below) if r is not None)


def _count(pieces: tuple[tuple[float, int], ...] | None) -> float:
    return math.inf if pieces is None else sum(n for _, n in pieces)


@dataclass(frozen=True, slots=True)
class GeometryChange:
    """What a change of fork length does: head angle [°], bottom bracket height, front centre and wheelbase [mm]."""

    head_angle_deg: float
    bottom_bracket_mm: float
    front_centre_mm: float
    wheelbase_mm: float


def geometry_change(
    wheelbase: Any, head_angle: Any, length_change: Any, chainstay: Any = None, bottom_bracket_drop: Any = None
) -> GeometryChange:
    """Return what a longer (above zero) or shorter fork does to a bike standing on level ground.

    Δangle = −atan(ΔL·sin HA / (w + ΔL·cos HA)), at equal axle heights; the frame turns about the rear axle.

    Parameters
    ----------
    wheelbase : Quantity [length]
        Before, 700 to 1600 mm.
    head_angle : Quantity [angle]
        From the ground, 55 to 80°.
    length_change : Quantity [length]
        New length less old, −120 to 120 mm.
    chainstay : Quantity [length], optional
        Horizontal distance from rear axle to bottom bracket, 435 mm if not given (our estimate).
    bottom_bracket_drop : Quantity [length], optional
        How far the bottom bracket lies below the axles, 25 mm if not given (our estimate).

    Returns
    -------
    GeometryChange
        Change of head angle (below zero: slacker), height of the bottom bracket, front centre and wheelbase.

    Raises
    ------
    LimitError
        Outside those ranges.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity as Q
    >>> round(geometry_change(Q(1200, "mm"), Q(66, "degree"), Q(10, "mm")).head_angle_deg, 4)
    -0.4347

    References
    ----------
    Plane geometry of a rigid frame turning about the rear axle.
    """
    base, change = float(wheelbase.to("mm").magnitude), float(length_change.to("mm").magnitude)
    angle = float(head_angle.to("degree").magnitude)
    if not (700 <= base <= 1600 and 55 <= angle <= 80 and -120 <= change <= 120):
        shown = {"wheelbase": as_typed(base), "angle": as_typed(angle), "change": as_typed(change)}
        raise LimitError(Message.of("travel.geometry", **shown))
    reach = 435.0 if chainstay is None else float(chainstay.to("mm").magnitude)
    drop = 25.0 if bottom_bracket_drop is None else float(bottom_bracket_drop.to("mm").magnitude)
    ahead = base + change * math.cos(math.radians(angle))
    down = change * math.sin(math.radians(angle))
    turn = math.atan2(down, ahead)
    return GeometryChange(
        head_angle_deg=-math.degrees(turn),
        bottom_bracket_mm=reach * math.sin(turn) + drop * (1.0 - math.cos(turn)),
        front_centre_mm=math.hypot(ahead - reach, drop - down) - math.hypot(base - reach, drop),
        wheelbase_mm=math.hypot(ahead, down) - base,
    )


def volume_at_travel(volume: Any, bore: Any, travel: Any, new_travel: Any) -> Any:
    """Return the positive chamber's volume fully extended at another travel: V(0) changes by A·ΔT, V_end stays.

    Parameters
    ----------
    volume : Quantity [volume]
        Fully extended at the old travel.
    bore : Quantity [length]
        Bore of the chamber.
    travel, new_travel : Quantity [length]
        Before and after.

    Returns
    -------
    Quantity [volume]

    Raises
    ------
    LimitError
        When nothing of the chamber would be left.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity as Q
    >>> round(volume_at_travel(Q(165, "cm**3"), Q(32, "mm"), Q(140, "mm"), Q(120, "mm")).to("cm**3").magnitude, 3)
    148.915

    References
    ----------
    Volume of a cylinder.
    """
    area_mm2 = math.pi / 4 * float(bore.to("mm").magnitude) ** 2
    moved_mm = float((new_travel - travel).to("mm").magnitude)
    after = float(volume.to("mm**3").magnitude) + area_mm2 * moved_mm
    if after <= 0:
        shown = {"volume": as_typed(float(volume.to("cm**3").magnitude))}
        travel = as_typed(float(new_travel.to("mm").magnitude))
        raise LimitError(Message.of("travel.no_chamber_left", **shown, travel=travel))
    return Quantity(after / 1000.0, "cm**3")
