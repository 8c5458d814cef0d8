"""What a rider need not know: a spring's internals by size class, each with its spread.

A row of drawn unknowns turns into figures here. The unknowns that make the load are standard normal numbers, 0 the
central value; those that make the spring and its friction are uniform shares of their spread, 0 its low end, 1 its
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


def uniform_quantile(share: Any, spread: c.Spread) -> Any:
    """Return the quantile of a uniformly distributed unknown.

    low + (high − low)·u

    Parameters
    ----------
    share : float or array [-]
        Share u of the distribution below the figure, 0 to 1.
    spread : Spread
        Low and high end.

    Returns
    -------
    float or array [as spread]

    Examples
    --------
    >>> uniform_quantile(0.25, c.Spread(36.0, 42.0, "mm"))
    37.5

    References
    ----------
    Uniform distribution, any text on statistics.
    """
    return spread.low + (spread.high - spread.low) * share


def normal_quantile(z: Any, normal: c.Normal) -> Any:
    """Return the quantile of a normally distributed unknown.

    μ + σ·z

    Parameters
    ----------
    z : float or array [-]
        Standard normal quantile of the same share.
    normal : Normal
        Mean and standard deviation.

    Returns
    -------
    float or array [as normal]

    Examples
    --------
    >>> normal_quantile(2.0, c.Normal(3.2, 0.4, "kg"))
    4.0

    References
    ----------
    Normal distribution, any text on statistics.
    """
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
    bore_mm = front.bore_mm or size.bore_mm * uniform_quantile(_take_column(z, "bore"), spread)
    ratio = size.ratio + uniform_quantile(_take_column(z, "ratio"), c.FORK_RATIO_OFFSET)
    longest_m = (front.longest_travel_mm or front.travel_mm) / 1000
    area = math.pi / 4 * (bore_mm / 1000) ** 2
    leg_area = uniform_quantile(_take_column(z, "leg_area"), c.LEG_AREA) * area
    spring = _build_chambers(front, front.travel_mm / 1000, longest_m, area, ratio, c.FORK_NEGATIVE_AREA, z)
    # Travel spacers top the fork out where it would have been that far in: the lower legs hold less air there.
    leg_length_m = uniform_quantile(_take_column(z, "leg"), c.LEG_VOLUME) * longest_m - (longest_m - spring.travel_m)
    leg_volume = leg_length_m * leg_area
    gas = uniform_quantile(_take_column(z, "gas"), c.GAS_FORCE["front"])
    return replace(spring, leg_area_m2=leg_area, leg_volume_m3=leg_volume, gas_force_n=gas)


def draw_shock(rear: RearEnd, z: Any) -> AirSpring:
    """Return the shock's springs for rows of unknowns z, shape (…, number of unknowns)."""
    bore_mm = rear.bore_mm or uniform_quantile(_take_column(z, "bore"), c.SHOCK_BORE)
    area = math.pi / 4 * (bore_mm / 1000) ** 2
    ratio = uniform_quantile(_take_column(z, "ratio"), c.SHOCK_RATIO)
    stroke_m = rear.stroke_mm / 1000
    spring = _build_chambers(rear, stroke_m, stroke_m, area, ratio, c.SHOCK_NEGATIVE_AREA, z)
    return replace(spring, gas_force_n=uniform_quantile(_take_column(z, "gas"), c.GAS_FORCE["rear"]))


def assumed_max_psi(end: FrontEnd | RearEnd) -> float:
    """Return the maximum that counts until somebody enters the figure printed on the unit.

    p_max of the class: thin or thick stanchions, or a shock

    Parameters
    ----------
    end : FrontEnd or RearEnd
        The end, with its stanchion where known.

    Returns
    -------
    float [psi, gauge]

    Examples
    --------
    >>> assumed_max_psi(FrontEnd(travel_mm=140.0, stanchion_mm=34))
    120.0

    References
    ----------
    `ASSUMED_MAX_PSI` in `setup_rules.types.constants`: our cautious estimate.
    """
    if not isinstance(end, FrontEnd):
        return c.ASSUMED_MAX_PSI["rear"].value
    return c.ASSUMED_MAX_PSI["thick" if fork_class(end).stanchion_mm >= c.THICK_STANCHION_MM else "thin"].value


def spacer_volume_cm3(end: FrontEnd | RearEnd) -> float:
    """Return the volume that one volume spacer takes: as entered, else the class's estimate.

    V_s, a figure of the spring end alone

    Parameters
    ----------
    end : FrontEnd or RearEnd
        The end, with `volume_spacer_cm3` where known.

    Returns
    -------
    float [cm³]

    Examples
    --------
    >>> spacer_volume_cm3(FrontEnd(travel_mm=140.0))
    8.0

    References
    ----------
    `SPACER_VOLUME` in `setup_rules.types.constants`: our estimate.
    """
    return end.volume_spacer_cm3 or c.SPACER_VOLUME[_name_of(end)].value


def _build_chambers(
    end: FrontEnd | RearEnd,
    travel_m: float,
    longest_m: float,
    area: Any,
    ratio: Any,
    area_share: c.Spread,
    z: Any,
) -> AirSpring:
    swept = area * longest_m
    compressed_volume = (
        swept / (ratio - 1.0) if end.positive_volume_cm3 is None else end.positive_volume_cm3 * 1e-6 - area * travel_m
    )
    taken = (end.volume_spacers * spacer_volume_cm3(end) + end.air_lubricant_cm3) * 1e-6
    compressed_volume = np.maximum(compressed_volume - taken, c.LEAST_COMPRESSED_VOLUME.value * swept)
    if end.negative_spring == "coil":
        # A fork with a coil negative has neither negative chamber nor port: their columns stand for rate and length.
        rate = end.negative_rate_n_per_mm or uniform_quantile(_take_column(z, "negative_volume"), c.COIL_RATE)
        length = end.negative_length_mm or uniform_quantile(_take_column(z, "port"), c.COIL_LENGTH)
        return AirSpring(travel_m, area, compressed_volume, coil_rate_n_per_m=rate * 1000, coil_length_m=length / 1000)
    if end.rod_mm is not None:
        negative_area = area - math.pi / 4 * (end.rod_mm / 1000) ** 2
    else:
        negative_area = area * uniform_quantile(_take_column(z, "negative_area"), area_share)
    if end.negative_volume_cm3 is not None:
        negative_volume = end.negative_volume_cm3 * 1e-6
    else:
        spread = c.NEGATIVE_VOLUME[_name_of(end)][end.negative_size]
        negative_volume = swept * uniform_quantile(_take_column(z, "negative_volume"), spread)
    port = (
        end.port_position_mm / 1000
        if end.port_position_mm
        else longest_m * uniform_quantile(_take_column(z, "port"), c.PORT_POSITION)
    )
    return AirSpring(travel_m, area, compressed_volume, negative_area, negative_volume, port)


def _name_of(end: FrontEnd | RearEnd) -> str:
    return "front" if isinstance(end, FrontEnd) else "rear"


def _take_column(z: Any, name: str) -> Any:
    return z[..., COLUMN[name]]
