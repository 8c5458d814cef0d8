"""Every range that the population draws from, with its unit and why a real bike does not follow a plain model.

All figures are engineering estimates from memory or common practice, no source; none is a measurement of named units.
`Ranges()` is the population that the rules are judged by, `shifted()` the same with a stated set of shifts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Flat:
    """Anything between low and high, equally likely."""

    low: float
    high: float
    unit: str
    why: str

    def draw(self, rng: np.random.Generator, number: int) -> Array:
        """Return `number` drawn values."""
        return rng.uniform(self.low, self.high, number)

    @property
    def middle(self) -> float:
        """The mean of what is drawn."""
        return 0.5 * (self.low + self.high)

    @property
    def spread(self) -> float:
        """One standard deviation of what is drawn."""
        return (self.high - self.low) / math.sqrt(12.0)


@dataclass(frozen=True, slots=True)
class Bell:
    """A normal spread, cut at three standard deviations."""

    middle: float
    spread: float
    unit: str
    why: str

    def draw(self, rng: np.random.Generator, number: int) -> Array:
        """Return `number` drawn values."""
        return self.middle + self.spread * np.clip(rng.standard_normal(number), -3.0, 3.0)


@dataclass(frozen=True, slots=True)
class Tent:
    """Rises straight from low to the peak and falls straight to high."""

    low: float
    peak: float
    high: float
    unit: str
    why: str

    def draw(self, rng: np.random.Generator, number: int) -> Array:
        """Return `number` drawn values."""
        return rng.triangular(self.low, self.peak, self.high, number)


#: Stanchion [mm]: middle bore [mm], shortest and longest usual travel [mm], compression ratio of the positive chamber.
FORK_SIZES: dict[int, tuple[float, int, int, float]] = {
    30: (26.5, 80, 100, 2.5),
    32: (28.5, 80, 120, 2.5),
    34: (30.8, 120, 150, 2.5),
    35: (30.8, 120, 150, 2.5),
    36: (32.8, 140, 170, 2.55),
    38: (34.6, 160, 190, 2.55),
    40: (36.3, 180, 200, 2.6),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """What is usual on a bike of one style; masses in kg, lengths in mm, the head angle in degrees, sag in per cent."""

    stanchions: tuple[int, ...]
    stroke: tuple[int, int]
    bike: float
    head_angle: float
    front_sag: tuple[int, int]
    rear_sag: tuple[int, int]
    unsprung_front: tuple[float, float]
    unsprung_rear: tuple[float, float]


STYLES: dict[str, Style] = {
    "cross_country": Style(
        stanchions=(30, 32, 34), stroke=(38, 50), bike=11.0, head_angle=68.0, front_sag=(15, 20), rear_sag=(20, 25),
        unsprung_front=(2.6, 3.1), unsprung_rear=(3.2, 3.8),
    ),
    "trail": Style(
        stanchions=(34, 35, 36), stroke=(45, 60), bike=14.0, head_angle=65.8, front_sag=(20, 25), rear_sag=(25, 30),
        unsprung_front=(2.8, 3.4), unsprung_rear=(3.5, 4.2),
    ),
    "enduro": Style(
        stanchions=(35, 36, 38), stroke=(55, 66), bike=15.5, head_angle=64.3, front_sag=(20, 28), rear_sag=(28, 33),
        unsprung_front=(3.1, 3.7), unsprung_rear=(3.8, 4.6),
    ),
    "downhill": Style(
        stanchions=(38, 40), stroke=(60, 75), bike=16.5, head_angle=63.3, front_sag=(25, 33), rear_sag=(30, 35),
        unsprung_front=(3.3, 3.8), unsprung_rear=(4.1, 4.8),
    ),
    "park": Style(
        stanchions=(30, 32, 34, 36), stroke=(45, 56), bike=13.5, head_angle=67.0, front_sag=(10, 15),
        rear_sag=(15, 20), unsprung_front=(2.6, 3.3), unsprung_rear=(3.2, 4.0),
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """How many riders or readings do something: shares from 0 to 1."""

    slip: float = 0.0
    """of the checks have a slip of the pen in them"""
    leak: float = 0.0
    """of the springs lose air slowly"""
    kit_unentered: float = 0.3
    """of the riders do not enter their kit: half leave it empty, half weigh in without it and write 0"""
    limit_told: float = 0.8
    """of the riders copy the maximum pressure from their unit"""
    bench_told: float = 0.5
    """of the riders enter the altitude"""
    angle_told: float = 0.5
    """of the fork owners enter the head angle"""
    target_told: float = 0.3
    """of the riders choose a sag of their own"""
    seated: float = 0.15
    """of the riders set their sag seated"""
    vented_elsewhere: float = 0.3
    """of the forks: lowers last opened at another altitude, so their air is not today's"""
    motor: float = 0.2
    """of the bikes carry a motor and battery"""
    rising: float = 0.1
    """of the linkages rise instead of falling"""
    round_weight: float = 0.4
    """of the riders state their weight to the next 5 kg"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranges:
    """The ranges of one population; `shares` is how often things happen."""

    shares: Shares = field(default_factory=Shares)

    # The rider and what they tell
    weight_error: Bell = Bell(0.8, 2.0, "kg", "weights are stated from memory, and flatter")
    kit_untold: Flat = Flat(2.0, 6.0, "kg", "shoes, helmet, water and pads that were never entered")
    kit_told: Flat = Flat(1.0, 8.0, "kg", "what riders think that their kit weighs")
    kit_error: Bell = Bell(0.0, 1.0, "kg", "nobody weighs a full pack twice")
    bike_scatter: Flat = Flat(0.88, 1.15, "of the style's bike", "wheels, size and price")
    bike_motor: Flat = Flat(6.5, 9.5, "kg", "motor and battery")
    bike_error: Bell = Bell(0.4, 0.6, "kg", "pedals, bottle and tools are missing in the stated weight")
    front_standing: Bell = Bell(0.390, 0.035, "share", "build, bar height and habit; a level stance is rare")
    front_seated: Bell = Bell(0.310, 0.035, "share", "saddle position and reach")
    bike_front: Flat = Flat(0.44, 0.51, "share", "motor, size and front centre")
    angle_untold: Flat = Flat(-1.5, 1.5, "deg", "frames of one style differ, and sag changes the angle")

    # The fork
    fork_bore: Flat = Flat(0.97, 1.03, "of the size's bore", "wall thickness differs between makes")
    fork_ratio: Flat = Flat(-0.35, 0.35, "added to the size's ratio", "spacers inside and air shaft lengths")
    fork_negative_area: Flat = Flat(0.88, 0.96, "A", "air shafts of 6 to 12 mm")
    fork_negative: Flat = Flat(0.08, 0.38, "A*T", "older small chambers up to large modern ones that use the shaft")
    fork_port: Flat = Flat(0.03, 0.08, "T", "the dimple's place is the maker's choice")
    coil_rate: Flat = Flat(2000.0, 5500.0, "N/m", "a coil negative is chosen for a middle rider")
    coil_reach: Flat = Flat(0.20, 0.40, "T", "how far the coil reaches into the travel")
    leg_area: Flat = Flat(1.9, 2.3, "A", "both legs displace air, not only the spring's")
    leg_volume: Flat = Flat(1.6, 3.0, "A_l*T", "oil volume and casting leave different room")
    fork_gas: Flat = Flat(0.0, 30.0, "N", "a sealed cartridge pushes its shaft out, over the whole travel")
    fork_friction: Flat = Flat(8.0, 35.0, "N", "new seals, dry foam, bushing fit and bending")
    fork_limit: Flat = Flat(150.0, 190.0, "psi", "printed on the unit; small stanchions take the higher ones")

    # The shock
    shock_bore: Flat = Flat(36.0, 45.0, "mm", "slim cans and large ones; the rider cannot see the bore")
    shock_ratio: Flat = Flat(2.3, 3.4, "of volumes", "spacers and piggyback cans")
    shock_negative_area: Flat = Flat(0.72, 0.92, "A", "shaft and body diameters")
    shock_negative: Flat = Flat(0.10, 0.55, "A*T", "sleeves with a large negative are common now")
    shock_port: Flat = Flat(0.03, 0.09, "T", "the dimple's place is the maker's choice")
    shock_gas: Flat = Flat(50.0, 130.0, "N", "the damper's charge on its shaft, over the whole stroke")
    shock_friction: Flat = Flat(15.0, 60.0, "N", "seals, bushings and the linkage's bearings")
    shock_limit: Flat = Flat(325.0, 375.0, "psi", "printed on the unit")
    leverage_start: Flat = Flat(2.3, 3.1, "ratio", "as the frame's maker states it")
    leverage_fall: Flat = Flat(0.0, 0.25, "of the start", "progressive frames fall towards the end")
    leverage_rise: Flat = Flat(0.0, 0.08, "of the start", "a few old or odd frames rise")
    leverage_bow: Bell = Bell(0.0, 0.015, "of the start", "a linkage is no straight line between its ends")

    # Air
    bulge: Bell = Bell(0.0, 0.010, "A*T mid-travel", "chambers taper, and seals take up room")
    fill: Bell = Bell(1.0, 0.010, "of full", "cycling fills the negative not quite evenly, anew at each pumping")
    altitude: Flat = Flat(0.0, 2000.0, "m", "where people ride; half of them live near the sea")
    altitude_rounding: Flat = Flat(-60.0, 60.0, "m", "told from a map or from memory")
    weather: Bell = Bell(1.0, 0.008, "of the standard", "high and low pressure weather")
    unsettled: Flat = Flat(1.0, 1.06, "exponent", "nobody waits until the gas is back at ambient")
    leak_rate: Flat = Flat(0.003, 0.020, "of the absolute pressure a day", "a scratched seal or a loose valve core")
    leak_days: Flat = Flat(0.0, 4.0, "days", "from the pump to the reading, without pumping up between")

    # The pump
    gauge_scale: Bell = Bell(1.0, 0.015, "factor", "class of a small shock pump's gauge, the same pump each time")
    gauge_offset: Bell = Bell(0.0, 0.7, "psi", "a needle that does not rest at zero")
    set_error: Bell = Bell(0.0, 0.4, "psi", "parallax and the puff when the hose comes off")

    # Reading
    habit: Tent = Tent(-1.0, -0.15, 1.0, "of friction", "most settle somewhat, more ease on than drop on, and stay so")
    side_new: Flat = Flat(-0.6, 0.6, "of friction", "no two settlings are alike")
    one_way: Flat = Flat(0.6, 1.0, "of friction", "a reading from one side rarely mobilises all of it")
    breakaway: Flat = Flat(1.0, 1.4, "of friction", "one reading in seven catches a seal that stuck")
    breakaway_share: float = 0.15
    rest_side: Flat = Flat(0.0, 0.6, "of friction", "it keeps the spring from coming all the way back out")
    lean_day: Bell = Bell(0.0, 0.006, "share", "another day, another posture")
    lean_reading: Bell = Bell(0.0, 0.008, "share", "heads turn to look at the ring")
    fork_drag: Flat = Flat(0.0, 1.0e-3, "m", "the ring slides on a little when the rider gets off")
    shock_drag: Flat = Flat(0.0, 0.5e-3, "m", "the ring slides on a little when the rider gets off")
    fork_reading: Bell = Bell(0.0, 1.0e-3, "m", "a tape held beside a round tube")
    shock_reading: Bell = Bell(0.0, 0.6e-3, "m", "closer to the eye, but hidden in the frame")
    half_mm_share: float = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Garage:
    """How people weigh and push; every figure our estimate, no source."""

    scale_factor: Bell = Bell(1.0, 0.008, "factor", "a bathroom scale, the same one all day")
    scale_offset: Bell = Bell(0.0, 0.4, "kg", "carpet, and a scale that is not level")
    scale_step: float = 0.1
    scale_lean: Bell = Bell(
        0.0, 0.009, "share", "standing still on a bike at a wall is not riding; the other wheel's block"
    )
    air: Flat = Flat(0.6, 0.8, "of what the spring is ridden with", "less air for the test, or nobody can push so hard")
    depth: tuple[float, ...] = (0.15, 0.30, 0.50, 0.70)
    depth_off: Flat = Flat(-0.03, 0.03, "of travel", "held about there, then read")
    zero: Bell = Bell(0.0, 0.8e-3, "m", "where full extension is on the ruler")
    hand: Bell = Bell(0.0, 0.015, "of the force", "nobody holds a spring still")
    push_step: float = 0.5
    """kg, to which a shaking scale is read"""


def shifted() -> Ranges:
    """Return another world: larger negatives, more friction and habit, other stances, volumes and stated weights."""
    usual = Ranges()
    return replace(
        usual,
        shares=replace(usual.shares, kit_unentered=0.5, vented_elsewhere=0.5, rising=0.25),
        weight_error=Bell(1.8, 2.5, "kg", "shift: +1 kg more flattering"),
        front_standing=Bell(0.415, 0.040, "share", "shift: further forward"),
        front_seated=Bell(0.330, 0.040, "share", "shift: further forward"),
        fork_negative=Flat(0.25, 0.50, "A*T", "shift: large negatives only"),
        shock_negative=Flat(0.35, 0.75, "A*T", "shift: large negatives only"),
        fork_bore=Flat(0.98, 1.06, "of the size's bore", "shift: thinner walls"),
        fork_ratio=Flat(-0.60, 0.20, "added to the size's ratio", "shift: more linear"),
        shock_ratio=Flat(2.0, 3.0, "of volumes", "shift: more linear"),
        fork_friction=Flat(15.0, 45.0, "N", "shift: drier seals"),
        shock_friction=Flat(25.0, 75.0, "N", "shift: drier seals"),
        habit=Tent(-1.0, -0.5, 0.6, "of friction", "shift: most ease on"),
        gauge_scale=Bell(1.0, 0.025, "factor", "shift: cheaper pumps"),
    )
