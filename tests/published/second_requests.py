"""The requests of the second reckoning: what each level of each factor writes into a request's body.

Source: the design's list of what a request may say. What a row needs of the reckoning itself (a scale that shows a
share, a limit that binds, a chart that such a spring would have) is computed by the second reckoning, not the product.
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np

from tests.published import second_loads as loads
from tests.published import second_reckoning as second
from tests.published.covering_array import Level

Body = dict[str, Any]
Row = dict[str, str]

FACTORS: Final[dict[str, tuple[str, ...]]] = {
    "path": ("fork63", "fork70", "shockFalling", "shockRising", "shockTable", "shockFlat"),
    "chart": ("noChart", "chartWithKit", "chartRider", "chartSag", "chartTravel"),
    "share": ("usualShare", "entered", "scaleFront", "scaleRear"),
    "limits": ("wide", "assumed", "maxBinds", "minBinds"),
    "negative": ("airNegative", "smallNegative", "largeNegative", "coilNegative"),
    "main": ("air", "steel", "stocked"),
    "second": ("oneChamber", "joinsLate", "joinsEarly"),
    "inside": ("known", "classNamed", "classUsual"),
    "luggage": ("noBags", "bagFront", "bagRear"),
    "rider": ("usualRider", "child", "heavy"),
    "bike": ("bike14", "eBike", "bike8"),
    "weather": ("mild", "coldBench", "highRide"),
    "volume": ("open", "spacers", "spacersAndOil"),
    "style": ("trail", "downhill", "park"),
    "stance": ("standing", "seated"),
    "travel": ("longest", "shortened"),
    "kit": ("kit4", "kit12"),
    "datum": ("atRest", "lifted"),
    "target": ("styleSag", "sag20"),
    "rebound": ("clicks40", "points"),
}
#: A coil main spring has none of the air's figures; a second chamber needs the first one's.
STEEL_TAKES: Final = {
    "chart": "noChart",
    "limits": "assumed",
    "negative": "airNegative",
    "second": "oneChamber",
    "inside": "classUsual",
    "volume": "open",
    "travel": "longest",
}
STOCKED: Final = [*np.geomspace(2.5, 240.0, 40).round(1).tolist()]
FORK: Final[Body] = {"travel_mm": 140, "rebound_clicks": 40, "compression_clicks": 30}
SHOCK: Final[Body] = {"stroke_mm": 55, "rebound_clicks": 40, "compression_clicks": 30}
PATHS: Final[dict[str, Body]] = {
    "fork63": {**FORK, "head_angle_deg": 63.5},
    "fork70": {**FORK, "head_angle_deg": 70.0},
    "shockFalling": {**SHOCK, "leverage_start": 2.0, "leverage_end": 1.65},
    "shockRising": {**SHOCK, "leverage_start": 1.65, "leverage_end": 1.85},
    "shockTable": {**SHOCK, "leverage_table": [[0, 2.0], [18, 1.74], [40, 1.67], [55, 1.78]]},
    "shockFlat": {**SHOCK, "leverage_start": 1.75, "leverage_end": 1.75},
}
#: A level of which the front is named; behind it is another figure.
INSIDE: Final[dict[tuple[str, str], Body]] = {
    ("known", "front"): {"bore_mm": 31, "rod_mm": 9, "positive_volume_cm3": 175, "port_position_mm": 6},
    ("known", "rear"): {"bore_mm": 42, "rod_mm": 15, "positive_volume_cm3": 122, "port_position_mm": 3},
    ("classNamed", "front"): {"stanchion_mm": 36},
}
SECOND: Final[dict[tuple[str, str], Body]] = {
    ("joinsLate", "front"): {"second_volume_cm3": 40, "second_pressure_ratio": 1.8, "second_max_pressure_psi": 400},
    ("joinsLate", "rear"): {"second_volume_cm3": 20, "second_pressure_ratio": 1.6, "second_max_pressure_psi": 400},
    ("joinsEarly", "front"): {"second_volume_cm3": 40, "second_pressure_ratio": 1.12, "second_max_pressure_psi": 400},
    ("joinsEarly", "rear"): {"second_volume_cm3": 20, "second_pressure_ratio": 1.15, "second_max_pressure_psi": 400},
}
NEGATIVE: Final[dict[str, Body]] = {
    "smallNegative": {"negative_size": "small"},
    "largeNegative": {"negative_size": "large"},
    "coilNegative": {"negative_spring": "coil"},
}
COIL_KNOWN: Final[Body] = {"negative_rate_n_per_mm": 3.6, "negative_length_mm": 28}
VOLUME: Final[dict[str, Body]] = {
    "spacers": {"volume_spacers": 2},
    "spacersAndOil": {"volume_spacers": 1, "volume_spacer_cm3": 5.5, "air_lubricant_cm3": 4},
}
POINTS: Final = {"front": [[4, 900], [30, 220]], "rear": [[4, 11000], [30, 2600]]}
WEATHER: Final[dict[str, Body]] = {
    "mild": {},
    "coldBench": {"bench": {"temperature_c": 1, "altitude_m": 200}, "ride": {"temperature_c": 22, "altitude_m": 200}},
    "highRide": {"bench": {"temperature_c": 20}, "ride": {"temperature_c": 6, "altitude_m": 2400}},
}
RIDERS: Final = {"usualRider": 78, "child": 44, "heavy": 98}
BIKES: Final = {"bike14": 14, "eBike": 25, "bike8": 8}
LUGGAGE: Final[dict[str, Body]] = {
    "noBags": {},
    "bagFront": {"luggage_front_kg": 7},
    "bagRear": {"luggage_rear_kg": 11},
}
CHART_KG: Final = (40, 60, 80, 100, 120)


def permits(one: Level, other: Level) -> bool:
    """Return whether two levels can stand in one request."""
    pair = dict((one, other))
    if pair.get("main", "air") != "air" and any(pair.get(name, level) != level for name, level in STEEL_TAKES.items()):
        return False
    if pair.get("second", "oneChamber") != "oneChamber" and pair.get("inside", "known") != "known":
        return False
    if pair.get("rider") == "child" and pair.get("limits") == "maxBinds":
        return False  # it would be below the least maximum that may be entered, 30 psi
    behind = pair.get("path", "fork").startswith("shock")
    return not (behind and ("shortened" in pair.values() or "chartTravel" in pair.values()))


def end_of(row: Row) -> str:
    """Return the end that a row asks about."""
    return "front" if row["path"].startswith("fork") else "rear"


def body_of(row: Row) -> Body:
    """Return the request of a row, as the JSON interface takes it."""
    name = end_of(row)
    body: Body = {
        "rider_mass_kg": RIDERS[row["rider"]],
        "bike_mass_kg": BIKES[row["bike"]],
        "riding_style": row["style"],
        "stance": row["stance"],
        "kit_mass_kg": 4 if row["kit"] == "kit4" else 12,
        **LUGGAGE[row["luggage"]],
        **WEATHER[row["weather"]],
        name: spring_of(row, name),
    }
    with_share(row["share"], body)
    if row["chart"] != "noChart":
        body[name] |= chart_of(row["chart"], body, name)
    if row["limits"] in ("maxBinds", "minBinds"):
        body[name] |= binding(row["limits"], body, name)
    return body


def spring_of(row: Row, name: str) -> Body:
    """Return the spring end of a row, without what the reckoning adds."""
    end: Body = {**PATHS[row["path"]], **INSIDE.get((row["inside"], name), {}), **VOLUME.get(row["volume"], {})}
    end |= NEGATIVE.get(row["negative"], {}) | SECOND.get((row["second"], name), {})
    if row["inside"] == "known" and row["negative"] == "coilNegative":
        end |= COIL_KNOWN
    if row["inside"] == "known" and row["negative"] == "airNegative":
        end["negative_volume_cm3"] = 30 if name == "front" else 20
    if row["travel"] == "shortened":
        end["longest_travel_mm"] = 160
    if row["datum"] == "lifted":
        end["datum"] = "wheel_off_ground"
    if row["target"] == "sag20":
        end["sag_target_percent"] = 20
    if row["rebound"] == "points":
        end["rebound_points"] = POINTS[name]
    if row["limits"] != "assumed":
        end |= {"max_pressure_psi": 400, "min_pressure_psi": 1}
    return end | steel_of(row["main"])


def steel_of(main: str) -> Body:
    """Return what a coil main spring adds to an end."""
    if main == "air":
        return {}
    return {"spring": "coil"} | ({"stocked_rates_n_per_mm": STOCKED, "preload_mm_max": 8} if main == "stocked" else {})


def with_share(level: str, body: Body) -> None:
    """Add to a request what shows the rider's share: 4 points ahead of the usual one, entered or under a wheel."""
    share = loads.usual_share(body) + 0.04
    front = share * loads.people_kg(body) + 0.48 * loads.bike_kg(body)
    if level == "entered":
        body["rider_front_share_percent"] = round(100 * share)
    elif level == "scaleFront":
        body["front_axle_kg"] = round(front, 1)
    elif level == "scaleRear":
        body["rear_axle_kg"] = round(loads.people_kg(body) + loads.bike_kg(body) - front, 1)


def binding(level: str, body: Body, name: str) -> Body:
    """Return a limit off what the reckoning wants, by a fifth or a tenth: it binds."""
    wanted = second.answer(body, name).psi
    # Whole psi, as a limit is kept: a fraction would be shown as more or less than was printed.
    if level == "maxBinds":
        return {"max_pressure_psi": math.floor(0.85 * wanted)}
    return {"min_pressure_psi": math.ceil(1.1 * wanted)}


def chart_of(level: str, body: Body, name: str) -> Body:
    """Return the chart that the manual of the typical spring of a row would have, by the second reckoning."""
    told: Body = {
        "chartWithKit": {"chart_weight": "rider_and_kit"},
        "chartRider": {"chart_weight": "rider"},
        "chartSag": {"chart_weight": "rider_and_kit", "chart_sag_percent": 24},
        "chartTravel": {"chart_weight": "rider_and_kit", "chart_travel_mm": 120},
    }[level]
    return told | {"chart": [[kg, second.chart_psi(body, name, told, kg)] for kg in CHART_KG]}
