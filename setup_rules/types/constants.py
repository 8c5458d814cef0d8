"""Every number that the rules assume, each with its unit, what kind of number it is, and where it comes from.

Kinds: *exact* (by definition), *measured* (from a named source), *agreed practice* (what the trade does, no
source) and *our estimate* (engineering judgement from memory, to be replaced by the figures of the unit on the
bench). No open force-travel or damper curve of a bicycle unit was found, so nothing here was fitted to one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from setup_rules.messages.catalogue import sources

Kind = Literal["exact", "measured", "agreed practice", "our estimate"]

PRACTICE: Final = sources.PRACTICE
ESTIMATE: Final = sources.ESTIMATE


@dataclass(frozen=True, slots=True)
class Constant:
    """One assumed number: its value in `unit`, its kind and its source."""

    value: float
    unit: str
    kind: Kind
    source: str


@dataclass(frozen=True, slots=True)
class Spread:
    """What an unknown may be: evenly spread over [low, high], in `unit`; the middle is the central value."""

    low: float
    high: float
    unit: str
    source: str = ESTIMATE
    kind: Kind = "our estimate"

    @property
    def middle(self) -> float:
        """The central value, half-way between low and high."""
        return 0.5 * (self.low + self.high)


@dataclass(frozen=True, slots=True)
class Normal:
    """What an unknown may be: normally distributed about `mean` with standard deviation `sigma`, in `unit`."""

    mean: float
    sigma: float
    unit: str
    source: str = ESTIMATE
    kind: Kind = "our estimate"


STANDARD_GRAVITY: Final = Constant(9.80665, "m/s²", "exact", "conventional value, ISO 80000-3")
ZERO_CELSIUS: Final = Constant(273.15, "K", "exact", "definition of the degree Celsius, SI brochure")
SEA_LEVEL_PRESSURE: Final = Constant(101_325.0, "Pa", "exact", "ISO 2533, sea-level value")
SEA_LEVEL_TEMPERATURE: Final = Constant(288.15, "K", "exact", "ISO 2533, sea-level value")
LAPSE_RATE: Final = Constant(0.0065, "K/m", "exact", "ISO 2533, troposphere")
LAPSE_EXPONENT: Final = Constant(5.255_88, "", "exact", "ISO 2533: g·M / (R·lapse rate)")

#: Share of rider and kit on the front wheel, in the riding stance on level ground.
FRONT_SHARE: Final = {
    "standing": Normal(0.39, 0.035, "", sources.STANDING_SHARE),
    "seated": Normal(
        0.31,
        0.035,
        "",
        sources.SEATED_SHARE,
        "measured",
    ),
}
#: A bathroom scale under a wheel: its own error, in kilograms and as a share of what it shows.
SCALE_SIGMA_KG: Final = Constant(0.5, "kg", "our estimate", ESTIMATE)
SCALE_SIGMA: Final = Constant(0.01, "of the reading", "our estimate", ESTIMATE)
#: How differently a rider stands on the scale and on the ground: standard deviation of the front share.
SCALE_STANCE_SIGMA: Final = Constant(0.010, "", "our estimate", ESTIMATE)
#: Rider, kit and bike as they are stated: what is not on this wheel is the rest of a sum that is not quite right.
STATED_SIGMA: Final = Constant(0.03, "of rider, kit and bike", "our estimate", ESTIMATE)
#: Both wheels may add up to so much more or less than rider, kit and bike: the larger of the two.
SCALE_SUM_KG: Final = Constant(4.0, "kg", "our estimate", ESTIMATE)
SCALE_SUM: Final = Constant(0.05, "of rider, kit and bike", "our estimate", ESTIMATE)
#: Share of rider and kit on the front wheel beyond which nobody can stand on level pedals and hold the bars.
STANDABLE_SHARE: Final = Spread(0.10, 0.75, "of rider and kit")
#: Spread of the front share when somebody measured or entered it.
FRONT_SHARE_ENTERED_SIGMA: Final = Constant(0.01, "", "our estimate", ESTIMATE)
BIKE_FRONT_SHARE: Final = Normal(0.475, 0.02, "")
#: Share on the front wheel of luggage at the handlebar or fork, and at saddle or rack: how far it hangs ahead of the
#: rear axle, over the wheelbase (1.03 and 0.06 m of 1.21 m on a usual trail bike).
LUGGAGE_FRONT_SHARE: Final = {
    "front": Constant(0.85, "", "our estimate", ESTIMATE),
    "rear": Constant(0.05, "", "our estimate", ESTIMATE),
}
#: Wheel, brake and lower legs or rear frame of a grown-up's bike; lighter in proportion on bikes below the next figure.
UNSPRUNG_MASS: Final = {"front": Normal(3.2, 0.35, "kg"), "rear": Normal(4.0, 0.45, "kg")}
UNSPRUNG_FULL_BIKE: Final = Constant(10.0, "kg", "our estimate", ESTIMATE)

#: Stanchion [mm] -> (bore [mm], usual travel [mm], V(0)/V_end without volume spacers).
STANCHION_CLASSES: Final[dict[int, tuple[float, tuple[float, float], float]]] = {
    30: (26.5, (80.0, 100.0), 2.5),
    32: (28.5, (80.0, 120.0), 2.5),
    34: (30.8, (120.0, 150.0), 2.5),
    35: (30.8, (120.0, 150.0), 2.5),
    36: (31.4, (140.0, 170.0), 2.55),
    38: (32.2, (160.0, 190.0), 2.5),
    40: (33.0, (180.0, 203.0), 2.4),
}
#: Longest travel [mm] up to which a stanchion [mm] is assumed when none is given.
STANCHION_FOR_TRAVEL: Final = ((100.0, 32), (150.0, 34), (170.0, 36), (190.0, 38), (float("inf"), 40))

FORK_BORE_FACTOR: Final = Spread(0.98, 1.02, "")
FORK_BORE_FACTOR_STANCHION_UNKNOWN: Final = Spread(0.93, 1.07, "")
FORK_RATIO_OFFSET: Final = Spread(-0.3, 0.3, "")
FORK_NEGATIVE_AREA: Final = Spread(0.90, 0.96, "of the bore's area")
SHOCK_BORE: Final = Spread(36.5, 45.5, "mm")
SHOCK_RATIO: Final = Spread(2.2, 3.3, "")
SHOCK_NEGATIVE_AREA: Final = Spread(0.73, 0.91, "of the bore's area")
#: Negative chamber by spring end and by the answer to "large negative chamber?" (None: not known).
NEGATIVE_VOLUME: Final[dict[str, dict[str | None, Spread]]] = {
    "front": {
        None: Spread(0.08, 0.38, "of area times travel"),
        "small": Spread(0.08, 0.22, "of area times travel"),
        "large": Spread(0.22, 0.38, "of area times travel"),
    },
    "rear": {
        None: Spread(0.10, 0.55, "of area times stroke"),
        "small": Spread(0.10, 0.28, "of area times stroke"),
        "large": Spread(0.28, 0.55, "of area times stroke"),
    },
}
PORT_POSITION: Final = Spread(0.03, 0.08, "of travel")
#: Wide enough to cancel from a third to nearly all of the push of the air at full extension.
COIL_RATE: Final = Spread(2.5, 6.5, "N/mm")
COIL_LENGTH: Final = Spread(20.0, 45.0, "mm")
#: Both lower legs displace air: twice the stanchion's area less the shafts'.
LEG_AREA: Final = Spread(1.9, 2.3, "of the bore's area")
LEG_VOLUME: Final = Spread(1.6, 3.0, "of lower-leg area times travel")
#: A damper's gas pushes the shaft out: gas pressure times shaft area.
GAS_FORCE: Final = {"front": Spread(0.0, 30.0, "N"), "rear": Spread(50.0, 130.0, "N")}
FRICTION: Final = {"front": Spread(8.0, 30.0, "N"), "rear": Spread(15.0, 50.0, "N")}
#: What the model leaves out (masses as stated, gauge, chambers that are no cylinders), as a share of the load.
MODEL_SIGMA: Final = Constant(0.045, "of the load", "our estimate", ESTIMATE)
#: The part of `MODEL_SIGMA` that is of the spring (gauge, chambers that are no cylinders); the rest is of the masses.
SPRING_SIGMA: Final = Constant(0.03, "of the force", "our estimate", ESTIMATE)
#: What is left of either part once a scale has shown the load, and once pushes have shown the spring.
WEIGHED_SIGMA: Final = Constant(0.01, "of the load", "our estimate", ESTIMATE)
PUSHED_SIGMA: Final = Constant(0.015, "of the force", "our estimate", ESTIMATE)
#: Rider, kit and bike together are heavier than they are stated: weights from memory flatter, kit and pedals are left
#: out. Without a scale the size classes hide it; pushes do not.
STATED_MORE: Final = Constant(0.015, "of the load", "our estimate", ESTIMATE)
#: Polytropic exponent of a push that was held for about 30 s: settled, but for a rest of the heat.
PUSH_EXPONENT: Final = Normal(1.02, 0.02, "")
#: A force of a spring test: the larger of these, standard deviation.
PUSH_SIGMA_N: Final = Constant(10.0, "N", "our estimate", ESTIMATE)
PUSH_SIGMA: Final = Constant(0.03, "of the force", "our estimate", ESTIMATE)
#: A spring that was pushed may lie this far beyond what its class allows, as a share of the class's spread.
BEYOND_CLASS: Final = Constant(0.2, "of the spread", "our estimate", ESTIMATE)
BEYOND_CLASS_BORE: Final = {
    "front": Constant(1.5, "of the spread", "our estimate", "our estimate: walls differ between makers"),
    "rear": Constant(0.2, "of the spread", "our estimate", ESTIMATE),
}
#: Half the difference between down and up beyond this, and no seal explains it.
MOST_FRICTION: Final = {
    "front": Constant(90.0, "N", "our estimate", "our estimate: three times what a fork in order has"),
    "rear": Constant(150.0, "N", "our estimate", "our estimate: three times what a shock in order has"),
}
#: A push further than this from the fitted spring, in standard deviations, was not made by an air spring.
FARTHEST_PUSH: Final = Constant(3.0, "standard deviations", "our estimate", ESTIMATE)
#: Pushes further than this from the fitted spring, one of them or all of them on one side, are doubted. Of 300 honest
#: tests of drawn springs one in a hundred had a push beyond 1.4, and none had a mean beyond 0.15.
DOUBTED_PUSH: Final = Constant(1.5, "standard deviations", "our estimate", ESTIMATE)
DOUBTED_SIDE: Final = Constant(0.5, "standard deviations, as a mean", "our estimate", ESTIMATE)

#: What share of its precision a bike's memory of a spring keeps: 1 all, 0 ends it. Seals wear from rider to rider;
#: other spacers or another travel leave the chambers nearly as they were; a service renews seals and oil; a leak has
#: been at work for nobody knows how long; another spring has nothing to do with what was learned.
MEMORY_KEPT: Final = {
    "another_rider": Constant(0.98, "of the precision", "our estimate", ESTIMATE),
    "spacers": Constant(0.8, "of the precision", "our estimate", ESTIMATE),
    "travel": Constant(0.5, "of the precision", "our estimate", ESTIMATE),
    "service": Constant(0.5, "of the precision", "our estimate", ESTIMATE),
    "leak": Constant(0.0, "of the precision", "our estimate", ESTIMATE),
    "another_spring": Constant(0.0, "of the precision", "exact", "by definition"),
}

#: How far specimens of one fork or shock differ in what a memory holds, standard deviation: in the logarithm of the
#: pressure that they need, in how much more of it a heavy rider needs, and in friction as a share of its spread.
SPECIMEN_SIGMA: Final = {
    "level": Constant(0.03, "of the pressure", "our estimate", "our estimate: lengths, bores, oil at assembly"),
    "slope": Constant(0.02, "of the pressure", "our estimate", ESTIMATE),
    "friction": Constant(0.20, "of the spread", "our estimate", "our estimate: seals age, bushings differ"),
}

SPACER_VOLUME: Final = {
    "front": Constant(8.0, "cm³", "our estimate", ESTIMATE),
    "rear": Constant(6.0, "cm³", "our estimate", ESTIMATE),
}
#: Less than this of the swept volume is never left at full compression, however many spacers are entered.
LEAST_COMPRESSED_VOLUME: Final = Constant(0.05, "of area times travel", "our estimate", ESTIMATE)

#: Target sag by style, per cent of travel (front) and of stroke (rear), lowest to highest.
SAG_RANGE: Final[dict[str, dict[str, Spread]]] = {
    "cross_country": {"front": Spread(15, 20, "%", PRACTICE), "rear": Spread(20, 25, "%", PRACTICE)},
    "trail": {"front": Spread(20, 25, "%", PRACTICE), "rear": Spread(25, 30, "%", PRACTICE)},
    "enduro": {"front": Spread(20, 28, "%", PRACTICE), "rear": Spread(28, 33, "%", PRACTICE)},
    "downhill": {"front": Spread(22, 30, "%", PRACTICE), "rear": Spread(30, 35, "%", PRACTICE)},
    "park": {"front": Spread(10, 15, "%", PRACTICE), "rear": Spread(15, 20, "%", PRACTICE)},
}

#: Damping ratio aimed at by style: 0.3 lively to 0.6 calm.
REBOUND_RATIO: Final = {"cross_country": 0.36, "trail": 0.42, "enduro": 0.45, "downhill": 0.50, "park": 0.40}
COMPRESSION_RATIO: Final = {
    "cross_country": 0.23,
    "trail": 0.20,
    "enduro": 0.21,
    "downhill": 0.23,
    "park": 0.26,
}
#: Damping at fully closed over damping at fully open, spread evenly in ratio over the clicks.
CLICK_RANGE: Final = Constant(6.0, "", "our estimate", ESTIMATE)
#: The rider whose damping need sits at the middle click: rider and kit.
REFERENCE_RIDER: Final = Constant(79.0, "kg", "our estimate", "our estimate: 75 kg rider with 4 kg of kit, trail")
REFERENCE_BIKE: Final = Constant(14.0, "kg", "our estimate", ESTIMATE)
ASSUMED_CLICKS: Final = Constant(16, "clicks", "our estimate", ESTIMATE)
#: Polytropic exponent while riding: between isothermal (1) and adiabatic air (1.40).
RIDE_EXPONENT: Final = Constant(1.35, "", "our estimate", "our estimate, between 1 and cp/cv of dry air, 1.40")

#: Used only when nobody entered the figure printed on the unit; always marked as assumed. Keyed by whether the fork's
#: stanchions are at least `THICK_STANCHION_MM` thick.
THICK_STANCHION_MM: Final = 34
ASSUMED_MAX_PSI: Final = {
    "thick": Constant(120.0, "psi", "our estimate", "our cautious estimate; the figure on the unit rules"),
    "thin": Constant(140.0, "psi", "our estimate", "our cautious estimate; the figure on the unit rules"),
    "rear": Constant(250.0, "psi", "our estimate", "our cautious estimate; the figure on the unit rules"),
}
ASSUMED_MIN_PSI: Final = {
    "front": Constant(25.0, "psi", "our estimate", "our cautious estimate; the figure in the manual rules"),
    "rear": Constant(50.0, "psi", "our estimate", "our cautious estimate; the figure in the manual rules"),
}

#: Preload that is set where nothing is known: enough that a shock's spring cannot move at full extension.
LEAST_PRELOAD: Final = {
    "front": Constant(0.0, "mm", "agreed practice", PRACTICE),
    "rear": Constant(1.0, "mm", "agreed practice", PRACTICE),
}
#: Used only when nobody entered what the manual allows; always marked as assumed.
ASSUMED_MAX_PRELOAD: Final = {
    "front": Constant(5.0, "mm", "our estimate", "our cautious estimate; the figure in the manual rules"),
    "rear": Constant(3.0, "mm", "our estimate", "our cautious estimate; the figure in the manual rules"),
}
#: Steps in which preload is told: a quarter of a turn where the pitch is known, else these.
PRELOAD_STEP_TURNS: Final = Constant(0.25, "turns", "our estimate", ESTIMATE)
PRELOAD_STEP: Final = Constant(0.5, "mm", "our estimate", ESTIMATE)

READING_SIGMA_MM: Final = {
    "front": Constant(1.0, "mm", "our estimate", "our estimate: O-ring and ruler on a stanchion"),
    "rear": Constant(0.6, "mm", "our estimate", "our estimate: O-ring and ruler on a shock shaft"),
}
