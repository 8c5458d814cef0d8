"""Travel change by travel spacers: which stacks give a travel, and what a longer or shorter fork does to the bike."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed
from setup_rules.types.errors import LimitError

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
    on_hand : mapping of float to int [mm, pieces]
        Spacer sizes and how many of each there are; at most 8 sizes of at most 20.

    Returns
    -------
    Stacks [mm]
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
    exact = [p for p in _find_fillings(wanted, sizes, on_hand) if abs(_sum_lengths(p) - wanted) <= _SAME_MM]
    exact.sort(key=lambda p: (sum(n for _, n in p), p), reverse=False)
    found = tuple(Stack(p, travel_mm) for p in exact[:MOST_STACKS])
    return Stacks(found, () if found else _find_nearest(longest_travel_mm, wanted, sizes, on_hand))


def _sum_lengths(pieces: tuple[tuple[float, int], ...]) -> float:
    return sum(size * n for size, n in pieces)


def _find_fillings(
    room: float, sizes: list[float], on_hand: Mapping[float, int]
) -> list[tuple[tuple[float, int], ...]]:
    """Return every choice of spacers that fills `room` exactly; the room left prunes the search."""
    if abs(room) <= _SAME_MM:
        return [()]
    if not sizes or room < 0 or sum(s * on_hand[s] for s in sizes) < room - _SAME_MM:
        return []
    size, rest = sizes[0], sizes[1:]
    found: list[tuple[tuple[float, int], ...]] = []
    for n in range(min(on_hand[size], int((room + _SAME_MM) // size)), -1, -1):
        for tail in _find_fillings(room - n * size, rest, on_hand):
            found.append(((size, n), *tail) if n else tail)
            if len(found) >= 20 * MOST_STACKS:
                return found
    return found


def _find_nearest(longest: float, wanted: float, sizes: list[float], on_hand: Mapping[float, int]) -> tuple[Stack, ...]:
    reached: dict[float, tuple[tuple[float, int], ...]] = {0.0: ()}
    for size in sizes:
        for length, pieces in list(reached.items()):
            for n in range(1, on_hand[size] + 1):
                total = round(length + n * size, 2)
                if total < longest and _count_pieces(reached.get(total)) > _count_pieces(pieces) + n:
                    reached[total] = (*pieces, (size, n))
    below = max((r for r in reached if r < wanted), default=None)
    above = min((r for r in reached if r > wanted), default=None)
    return tuple(Stack(reached[r], longest - r) for r in (above, below) if r is not None)


def _count_pieces(pieces: tuple[tuple[float, int], ...] | None) -> float:
    return math.inf if pieces is None else sum(n for _, n in pieces)


@dataclass(frozen=True, slots=True)
class GeometryChange:
    """What a change of fork length does: head angle [°], bottom bracket height, front centre and wheelbase [mm]."""

    head_angle_deg: float
    bottom_bracket_mm: float
    front_centre_mm: float
    wheelbase_mm: float


def geometry_change(
    wheelbase_mm: float,
    head_angle_deg: float,
    length_change_mm: float,
    chainstay_mm: float = 435.0,
    bottom_bracket_drop_mm: float = 25.0,
) -> GeometryChange:
    """Return what a longer (above zero) or shorter fork does to a bike standing on level ground.

    Δangle = −atan(ΔL·sin HA / (w + ΔL·cos HA)), at equal axle heights; the frame turns about the rear axle.

    Parameters
    ----------
    wheelbase_mm : float [mm]
        Before, 700 to 1600 mm.
    head_angle_deg : float [°]
        From the ground, 55 to 80°.
    length_change_mm : float [mm]
        New length less old, −120 to 120 mm.
    chainstay_mm : float [mm]
        Horizontal distance from rear axle to bottom bracket, 435 mm if not given (our estimate).
    bottom_bracket_drop_mm : float [mm]
        How far the bottom bracket lies below the axles, 25 mm if not given (our estimate).

    Returns
    -------
    GeometryChange [°, mm]
        Change of head angle (below zero: slacker), height of the bottom bracket, front centre and wheelbase.

    Raises
    ------
    LimitError
        Outside those ranges.

    Examples
    --------
    >>> round(geometry_change(1200.0, 66.0, 10.0).head_angle_deg, 4)
    -0.4347

    References
    ----------
    Plane geometry of a rigid frame turning about the rear axle.
    """
    if not (700 <= wheelbase_mm <= 1600 and 55 <= head_angle_deg <= 80 and -120 <= length_change_mm <= 120):
        shown = {
            "wheelbase": as_typed(wheelbase_mm),
            "angle": as_typed(head_angle_deg),
            "change": as_typed(length_change_mm),
        }
        raise LimitError(Message.of("travel.geometry", **shown))
    ahead = wheelbase_mm + length_change_mm * math.cos(math.radians(head_angle_deg))
    down = length_change_mm * math.sin(math.radians(head_angle_deg))
    turn, drop = math.atan2(down, ahead), bottom_bracket_drop_mm
    return GeometryChange(
        head_angle_deg=-math.degrees(turn),
        bottom_bracket_mm=chainstay_mm * math.sin(turn) + drop * (1.0 - math.cos(turn)),
        front_centre_mm=math.hypot(ahead - chainstay_mm, drop - down) - math.hypot(wheelbase_mm - chainstay_mm, drop),
        wheelbase_mm=math.hypot(ahead, down) - wheelbase_mm,
    )


def volume_at_travel_cm3(volume_cm3: float, bore_mm: float, travel_mm: float, new_travel_mm: float) -> float:
    """Return the positive chamber's volume fully extended at another travel.

    V'(0) = V(0) + A·ΔT, A = π/4·d²: what is left at full compression stays

    Parameters
    ----------
    volume_cm3 : float [cm³]
        Fully extended at the old travel.
    bore_mm : float [mm]
        Bore of the chamber.
    travel_mm, new_travel_mm : float [mm]
        Before and after.

    Returns
    -------
    float [cm³]

    Raises
    ------
    LimitError
        When nothing of the chamber would be left.

    Examples
    --------
    >>> round(volume_at_travel_cm3(165.0, 32.0, 140.0, 120.0), 3)
    148.915

    References
    ----------
    Volume of a cylinder.
    """
    area_mm2 = math.pi / 4 * bore_mm**2
    after_mm3 = 1000.0 * volume_cm3 + area_mm2 * (new_travel_mm - travel_mm)
    if not after_mm3 > 0:
        volume, travel = as_typed(volume_cm3), as_typed(new_travel_mm)
        raise LimitError(Message.of("travel.no_chamber_left", volume=volume, travel=travel))
    return after_mm3 / 1000.0
