"""Decided, no source: estimates, spreads, size classes, sag ranges, damping ratios, assumed limits.

They stand in the code once and here once more, so that nobody changes one without meaning to. Change both, say why in
the commit, and raise `RULES_VERSION` where an answer moves.
"""

from __future__ import annotations

from typing import Any

CONSTANTS: dict[str, Any] = {
    "types.constants.STANDARD_GRAVITY": (9.80665, "m/s²"),
    "types.constants.ZERO_CELSIUS": (273.15, "K"),
    "types.constants.SEA_LEVEL_PRESSURE": (101325.0, "Pa"),
    "types.constants.SEA_LEVEL_TEMPERATURE": (288.15, "K"),
    "types.constants.LAPSE_RATE": (0.0065, "K/m"),
    "types.constants.LAPSE_EXPONENT": (5.25588, ""),
    "types.constants.FRONT_SHARE": {"standing": (0.39, 0.035, ""), "seated": (0.31, 0.035, "")},
    "types.constants.FRONT_SHARE_ENTERED_SIGMA": (0.01, ""),
    "types.constants.BIKE_FRONT_SHARE": (0.475, 0.02, ""),
    "types.constants.UNSPRUNG_MASS": {"front": (3.2, 0.35, "kg"), "rear": (4.0, 0.45, "kg")},
    "types.constants.UNSPRUNG_FULL_BIKE": (10.0, "kg"),
    "types.constants.STANCHION_CLASSES": {
        30: (26.5, (80.0, 100.0), 2.5),
        32: (28.5, (80.0, 120.0), 2.5),
        34: (30.8, (120.0, 150.0), 2.5),
        35: (30.8, (120.0, 150.0), 2.5),
        36: (31.4, (140.0, 170.0), 2.55),
        38: (32.2, (160.0, 190.0), 2.5),
        40: (33.0, (180.0, 203.0), 2.4),
    },
    "types.constants.STANCHION_FOR_TRAVEL": ((100.0, 32), (150.0, 34), (170.0, 36), (190.0, 38), (float("inf"), 40)),
    "types.constants.FORK_BORE_FACTOR": (0.98, 1.02, ""),
    "types.constants.FORK_BORE_FACTOR_STANCHION_UNKNOWN": (0.93, 1.07, ""),
    "types.constants.FORK_RATIO_OFFSET": (-0.3, 0.3, ""),
    "types.constants.FORK_NEGATIVE_AREA": (0.9, 0.96, "of the bore's area"),
    "types.constants.SHOCK_BORE": (36.5, 45.5, "mm"),
    "types.constants.SHOCK_RATIO": (2.2, 3.3, ""),
    "types.constants.SHOCK_NEGATIVE_AREA": (0.73, 0.91, "of the bore's area"),
    "types.constants.NEGATIVE_VOLUME": {
        "front": {
            None: (0.08, 0.38, "of area times travel"),
            "small": (0.08, 0.22, "of area times travel"),
            "large": (0.22, 0.38, "of area times travel"),
        },
        "rear": {
            None: (0.1, 0.55, "of area times stroke"),
            "small": (0.1, 0.28, "of area times stroke"),
            "large": (0.28, 0.55, "of area times stroke"),
        },
    },
    "types.constants.PORT_POSITION": (0.03, 0.08, "of travel"),
    "types.constants.COIL_RATE": (2.5, 6.5, "N/mm"),
    "types.constants.COIL_LENGTH": (20.0, 45.0, "mm"),
    "types.constants.LEG_AREA": (1.9, 2.3, "of the bore's area"),
    "types.constants.LEG_VOLUME": (1.6, 3.0, "of lower-leg area times travel"),
    "types.constants.GAS_FORCE": {"front": (0.0, 30.0, "N"), "rear": (50.0, 130.0, "N")},
    "types.constants.FRICTION": {"front": (8.0, 30.0, "N"), "rear": (15.0, 50.0, "N")},
    "types.constants.MODEL_SIGMA": (0.045, "of the load"),
    "types.constants.MEMORY_KEPT": {
        "another_rider": (0.98, "of the precision"),
        "spacers": (0.8, "of the precision"),
        "travel": (0.5, "of the precision"),
        "service": (0.5, "of the precision"),
        "leak": (0.0, "of the precision"),
        "another_spring": (0.0, "of the precision"),
    },
    "types.constants.SPACER_VOLUME": {"front": (8.0, "cm³"), "rear": (6.0, "cm³")},
    "types.constants.LEAST_COMPRESSED_VOLUME": (0.05, "of area times travel"),
    "types.constants.SAG_RANGE": {
        "cross_country": {"front": (15, 20, "%"), "rear": (20, 25, "%")},
        "trail": {"front": (20, 25, "%"), "rear": (25, 30, "%")},
        "enduro": {"front": (20, 28, "%"), "rear": (28, 33, "%")},
        "downhill": {"front": (22, 30, "%"), "rear": (30, 35, "%")},
        "park": {"front": (10, 15, "%"), "rear": (15, 20, "%")},
    },
    "types.constants.REBOUND_RATIO": {
        "cross_country": 0.36,
        "trail": 0.42,
        "enduro": 0.45,
        "downhill": 0.5,
        "park": 0.4,
    },
    "types.constants.COMPRESSION_RATIO": {
        "cross_country": 0.23,
        "trail": 0.2,
        "enduro": 0.21,
        "downhill": 0.23,
        "park": 0.26,
    },
    "types.constants.CLICK_RANGE": (6.0, ""),
    "types.constants.REFERENCE_RIDER": (79.0, "kg"),
    "types.constants.REFERENCE_BIKE": (14.0, "kg"),
    "types.constants.ASSUMED_CLICKS": (16, "clicks"),
    "types.constants.RIDE_EXPONENT": (1.35, ""),
    "types.constants.THICK_STANCHION_MM": 34,
    "types.constants.ASSUMED_MAX_PSI": {"thick": (120.0, "psi"), "thin": (140.0, "psi"), "rear": (250.0, "psi")},
    "types.constants.ASSUMED_MIN_PSI": {"front": (25.0, "psi"), "rear": (50.0, "psi")},
    "types.constants.READING_SIGMA_MM": {"front": (1.0, "mm"), "rear": (0.6, "mm")},
}
