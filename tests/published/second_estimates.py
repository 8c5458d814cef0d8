"""What the second reckoning takes where a request is silent, at its central value.

Source: the design's own estimates, the middle of each stated spread. Taken from the product's own table of estimates,
which is pinned elsewhere, where the design has none or a first value only: bores and ratios of 36 to 40 mm stanchions,
a shock's bore and areas, coil negatives, luggage, sag in downhill, damping ratios by style, clicks, and how sure a
scale is.
"""

from __future__ import annotations

from typing import Any, Final

from tests.published.on_paper import G

END_NAMES: Final = ("front", "rear")
#: Rider and kit on the front wheel; bike on the front wheel; luggage on the front wheel by where it hangs.
STANCE_SHARE: Final = {"standing": 0.39, "seated": 0.31}
BIKE_SHARE: Final = 0.475
LUGGAGE_SHARE: Final = {"front": 0.85, "rear": 0.05}
#: Below the spring [kg], on bikes from 10 kg; in proportion on lighter ones.
UNSPRUNG: Final = {"front": 3.2, "rear": 4.0}
#: Stanchion [mm] -> bore [mm], extended over compressed volume.
CLASSES: Final = {
    30: (26.5, 2.5),
    32: (28.5, 2.5),
    34: (30.8, 2.5),
    35: (30.8, 2.5),
    36: (31.4, 2.55),
    38: (32.2, 2.5),
    40: (33.0, 2.4),
}
#: Longest travel [mm] up to which a stanchion [mm] is usual.
USUAL: Final = ((100, 32), (150, 34), (170, 36), (190, 38), (1000, 40))
SHOCK_CLASS: Final = (41.0, 2.75)
#: Of the positive piston's area; of area times travel.
NEGATIVE_AREA: Final = {"front": 0.93, "rear": 0.82}
NEGATIVE_VOLUME: Final = {
    ("front", None): 0.23,
    ("front", "small"): 0.15,
    ("front", "large"): 0.30,
    ("rear", None): 0.325,
    ("rear", "small"): 0.19,
    ("rear", "large"): 0.415,
}
PORT: Final = 0.055
COIL_RATE, COIL_LENGTH = 4.5, 32.5
LEG_AREA, LEG_VOLUME = 2.1, 2.3
GAS: Final = {"front": 15.0, "rear": 90.0}
SPACER_CM3: Final = {"front": 8.0, "rear": 6.0}
#: Middle of the usual sag [% of travel or stroke], damping ratios of rebound and compression.
STYLE_SAG: Final = {
    "cross_country": {"front": 17.5, "rear": 22.5},
    "trail": {"front": 22.5, "rear": 27.5},
    "enduro": {"front": 24.0, "rear": 30.5},
    "downhill": {"front": 26.0, "rear": 32.5},
    "park": {"front": 12.5, "rear": 17.5},
}
REBOUND: Final = {"cross_country": 0.36, "trail": 0.42, "enduro": 0.45, "downhill": 0.50, "park": 0.40}
COMPRESSION: Final = {"cross_country": 0.23, "trail": 0.20, "enduro": 0.21, "downhill": 0.23, "park": 0.26}
CLICKS: Final = 16
REFERENCE_RIDER, REFERENCE_BIKE = 79.0, 14.0
LEAST_PRELOAD: Final = {"front": 0.0, "rear": 1.0}
MOST_PRELOAD: Final = {"front": 5.0, "rear": 3.0}
#: Standard deviations about a front share and a bathroom scale.
SHARE_SIGMA, BIKE_SHARE_SIGMA, ENTERED_SIGMA = 0.035, 0.02, 0.01
SCALE_KG, SCALE_OF_READING, STANCE_SIGMA, STATED_SIGMA = 0.5, 0.01, 0.010, 0.03


def longest_of(end: dict[str, Any]) -> float:
    """Return the travel or stroke [mm] with no travel spacer fitted."""
    return float(end.get("longest_travel_mm") or end.get("travel_mm") or end["stroke_mm"])


def class_of(name: str, end: dict[str, Any]) -> tuple[float, float]:
    """Return bore [mm] and extended over compressed volume of the size class."""
    if name == "rear":
        return SHOCK_CLASS
    return CLASSES[int(stanchion_of(end))]


def stanchion_of(end: dict[str, Any]) -> float:
    """Return a fork's stanchion [mm]: the one entered, or the usual one for its longest travel."""
    return float(end.get("stanchion_mm") or next(size for most, size in USUAL if longest_of(end) <= most))


def limits_of(name: str, end: dict[str, Any]) -> tuple[float, float]:
    """Return the least and the most pressure [psi] of an air spring: as entered, or our cautious one."""
    if name == "rear":
        least, most = 50.0, 250.0
    else:
        least, most = 25.0, 120.0 if stanchion_of(end) >= 34 else 140.0
    entered = end.get("min_pressure_psi"), end.get("max_pressure_psi")
    return least if entered[0] is None else entered[0], most if entered[1] is None else entered[1]


def weight_on(kg: float) -> float:
    """Return the weight [N] of a mass [kg]."""
    return kg * G
