"""What a rider need not know: a spring's internals by size class, each with its spread.

A row of drawn unknowns turns into figures here. The unknowns that make the load are standard normal numbers, 0 the
central value; those that make the spring and its friction are even shares of their spread, 0 its low end, 1 its
high end, 0.5 the central value. An internal that was entered does not move. Sizes are shares of the travel *without
travel spacers*, so the same spring keeps its internals when its travel is changed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from setup_rules.physics.air_spring import AirSpring
from setup_rules.types import constants as c
from setup_rules.types.request import FrontEnd, RearEnd

#: The unknowns of a spring end, in the order of the columns of every drawn row: first the load's, then the spring's.
LOAD_UNKNOWNS: Final = ("share", "bike", "unsprung", "model")
SPRING_UNKNOWNS: Final = (
    "bore",
    "ratio",
    "negative_area",
    "negative_volume",
    "port",
    "leg_area",
    "leg",
    "gas",
    "friction",
)
UNKNOWNS: Final = LOAD_UNKNOWNS + SPRING_UNKNOWNS
COLUMN: Final = {name: index for index, name in enumerate(UNKNOWNS)}


def evenly(share: Any, spread: c.Spread) -> Any:
    """Return the figure of an evenly spread unknown at a share of its spread, 0 to 1 (float or array)."""
    return spread.low + (spread.high - spread.low) * share


def normally(z: Any, normal: c.Normal) -> Any:
    """Return the figure of a normally distributed unknown for a standard normal number z (float or array)."""
    return normal.mean + normal.sigma * z


@dataclass(frozen=True, slots=True)
class ForkClass:
    """A size class of fork: stanchion and bore [mm], usual travel [mm], compression ratio without spacers."""

    stanchion_mm: int
    bore_mm: float
    usual_travel_mm: tuple[float, float]
    ratio: float
    stanchion_known: bool


def fork_class(front: FrontEnd) -> ForkClass:
    """Return the size class nearest to the stanchion entered, or usual for the longest travel where none is."""
    longest = front.longest_travel_mm or front.travel_mm
    wanted = front.stanchion_mm or next(d for limit, d in c.STANCHION_FOR_TRAVEL if longest <= limit)
    stanchion = min(c.STANCHION_CLASSES, key=lambda d: abs(d - wanted))
    bore, usual, ratio = c.STANCHION_CLASSES[stanchion]
    return ForkClass(stanchion, bore, usual, ratio, front.stanchion_mm is not None)


def draw_fork(front: FrontEnd, z: Any) -> AirSpring:
    """Return the fork's springs for rows of unknowns z, shape (…, number of unknowns)."""
    size = fork_class(front)
    spread = c.FORK_BORE_FACTOR if size.stanchion_known else c.FORK_BORE_FACTOR_STANCHION_UNKNOWN
    bore_mm = front.bore_mm or size.bore_mm * evenly(_of(z, "bore"), spread)
    ratio = size.ratio + evenly(_of(z, "ratio"), c.FORK_RATIO_OFFSET)
    longest_m = (front.longest_travel_mm or front.travel_mm) / 1000
    area = math.pi / 4 * (bore_mm / 1000) ** 2
    leg_area = evenly(_of(z, "leg_area"), c.LEG_AREA) * area
    spring = _chambers(front, front.travel_mm / 1000, longest_m, area, ratio, c.FORK_NEGATIVE_AREA, z)
    leg_volume = evenly(_of(z, "leg"), c.LEG_VOLUME) * leg_area * longest_m
    return replace(
        spring, leg_area_m2=leg_area, leg_volume_m3=leg_volume, gas_force_n=evenly(_of(z, "gas"), c.GAS_FORCE["front"])
    )


def draw_shock(rear: RearEnd, z: Any) -> AirSpring:
    """Return the shock's springs for rows of unknowns z, shape (…, number of unknowns)."""
    bore_mm = rear.bore_mm or evenly(_of(z, "bore"), c.SHOCK_BORE)
    area = math.pi / 4 * (bore_mm / 1000) ** 2
    ratio = evenly(_of(z, "ratio"), c.SHOCK_RATIO)
    stroke_m = rear.stroke_mm / 1000
    spring = _chambers(rear, stroke_m, stroke_m, area, ratio, c.SHOCK_NEGATIVE_AREA, z)
    return replace(spring, gas_force_n=evenly(_of(z, "gas"), c.GAS_FORCE["rear"]))


def spacer_volume_cm3(end: FrontEnd | RearEnd) -> float:
    """Return the volume [cm³] that one volume spacer takes: as entered, else the class's estimate."""
    return end.volume_spacer_cm3 or c.SPACER_VOLUME[_name(end)].value


def _chambers(
    end: FrontEnd | RearEnd,
    travel_m: float,
    longest_m: float,
    area: Any,
    ratio: Any,
    area_share: c.Spread,
    z: Any,
) -> AirSpring:
    swept = area * longest_m
    end_volume = (
        swept / (ratio - 1.0) if end.positive_volume_cm3 is None else end.positive_volume_cm3 * 1e-6 - area * travel_m
    )
    taken = end.volume_spacers * spacer_volume_cm3(end) * 1e-6
    end_volume = np.maximum(end_volume - taken, c.LEAST_END_VOLUME.value * swept)
    if end.negative_spring == "coil":
        # A fork with a coil negative has neither negative chamber nor port: their columns stand for rate and length.
        rate = end.negative_rate_n_per_mm or evenly(_of(z, "negative_volume"), c.COIL_RATE)
        length = end.negative_length_mm or evenly(_of(z, "port"), c.COIL_LENGTH)
        return AirSpring(travel_m, area, end_volume, coil_rate_n_per_m=rate * 1000, coil_length_m=length / 1000)
    if end.rod_mm is not None:
        negative_area = area - math.pi / 4 * (end.rod_mm / 1000) ** 2
    else:
        negative_area = area * evenly(_of(z, "negative_area"), area_share)
    if end.negative_volume_cm3 is not None:
        negative_volume = end.negative_volume_cm3 * 1e-6
    else:
        negative_volume = swept * evenly(_of(z, "negative_volume"), c.NEGATIVE_VOLUME[_name(end)][end.negative_size])
    port = end.port_position_mm / 1000 if end.port_position_mm else longest_m * evenly(_of(z, "port"), c.PORT_POSITION)
    return AirSpring(travel_m, area, end_volume, negative_area, negative_volume, port)


def _name(end: FrontEnd | RearEnd) -> str:
    return "front" if isinstance(end, FrontEnd) else "rear"


def _of(z: Any, name: str) -> Any:
    return z[..., COLUMN[name]]
