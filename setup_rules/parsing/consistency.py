"""What no single field of a request can show: that there is a spring end, and that an end agrees with itself."""

from __future__ import annotations

import math
from typing import Any, Final

from setup_rules.inference.volume_spacer import lubricant_fits, most_spacers, spacers_possible
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, whole
from setup_rules.parsing.main_spring import check_main_spring
from setup_rules.physics.linkage import Leverage
from setup_rules.types.constants import FORK_BORE_FACTOR_STANCHION_UNKNOWN, STANCHION_CLASSES
from setup_rules.types.errors import Problem
from setup_rules.types.limits import LIMITS
from setup_rules.types.request import FrontEnd, RearEnd, SpringEnd

#: The narrowest bore [mm] that a size class may stand for when none was entered.
_LEAST_ASSUMED_BORE_MM: Final = FORK_BORE_FACTOR_STANCHION_UNKNOWN.low * min(
    bore for bore, _, _ in STANCHION_CLASSES.values()
)


def check_whole(values: dict[str, Any], problems: list[Problem]) -> None:
    """Check what no single field can show: that there is a spring end, and that an end agrees with itself."""
    front, rear = values.get("front"), values.get("rear")
    asked = any(p.field.split(".")[0] in ("front", "rear") for p in problems)
    if front is None and rear is None and not asked:
        problems.append(Problem("front", Message.of("problem.no_end")))
    if isinstance(front, FrontEnd):
        _check_front(front, problems)
    if isinstance(rear, RearEnd):
        _check_rear(rear, problems)
    for name, end in (("front", front), ("rear", rear)):
        if isinstance(end, SpringEnd):
            check_main_spring(name, end, problems)
            _check_internals(name, end, end.compression_mm, problems)  # type: ignore[attr-defined]


def _check_front(front: FrontEnd, problems: list[Problem]) -> None:
    longest = front.longest_travel_mm
    if longest is not None and longest < front.travel_mm:
        said = Message.of("problem.longest_travel", travel=as_typed(front.travel_mm), longest=as_typed(longest))
        problems.append(Problem("front.longest_travel_mm", said))


def _check_rear(rear: RearEnd, problems: list[Problem]) -> None:
    if rear.leverage_table is not None:
        first, last = rear.leverage_table[0][0], rear.leverage_table[-1][0]
        if abs(first) > 0.5 or abs(last - rear.stroke_mm) > 0.5:
            shown = {"first": as_typed(first), "last": as_typed(last), "stroke": as_typed(rear.stroke_mm)}
            problems.append(Problem("rear.leverage_table", Message.of("problem.leverage_stroke", **shown)))
            return
    for name in ("leverage_start", "leverage_end"):
        if rear.leverage_table is None and getattr(rear, name) is None:
            said = Message.of("problem.leverage_needed", label=LIMITS[name].label)
            problems.append(Problem(f"rear.{name}", said))
            return
    wheel_mm = Leverage.from_points(rear.leverage_points).wheel_travel_m(rear.stroke_mm / 1000) * 1000
    limit = LIMITS["wheel_travel_mm"]
    if not limit.holds(wheel_mm):
        shown = {"stroke": as_typed(rear.stroke_mm), "travel": whole(wheel_mm), "low": limit.low, "high": limit.high}
        problems.append(Problem("rear.stroke_mm", Message.of("problem.wheel_travel", **shown)))


def _check_internals(name: str, end: SpringEnd, travel_mm: float, problems: list[Problem]) -> None:
    low, high = end.min_pressure_psi, end.max_pressure_psi
    if low is not None and high is not None and low >= high:
        said = Message.of("problem.pressure_limits", low=as_typed(low), high=as_typed(high))
        problems.append(Problem(f"{name}.min_pressure_psi", said))
    if end.rebound_points and end.rebound_clicks and end.rebound_points[1][0] > end.rebound_clicks:
        clicks = as_typed(end.rebound_points[1][0])
        said = Message.of("problem.damper_point_beyond", clicks=clicks, total=end.rebound_clicks)
        problems.append(Problem(f"{name}.rebound_points", said))
    _check_rod(name, end, problems)
    _check_second(name, end, problems)
    port = end.port_position_mm
    if port is not None and port >= 0.5 * travel_mm:
        said = Message.of("problem.port", port=as_typed(port), travel=as_typed(travel_mm))
        problems.append(Problem(f"{name}.port_position_mm", said))
    before = len(problems)
    if end.positive_volume_cm3 is not None:
        _check_volume(name, end, travel_mm, problems)
    if len(problems) == before and end.air_lubricant_cm3 and not lubricant_fits(end):  # type: ignore[arg-type]
        said = Message.of("problem.air_lubricant", lubricant=as_typed(end.air_lubricant_cm3))
        problems.append(Problem(f"{name}.air_lubricant_cm3", said))
    if len(problems) == before and end.volume_spacers and not spacers_possible(end):  # type: ignore[arg-type]
        said = Message.of("problem.too_many_spacers", count=end.volume_spacers, most=most_spacers(end))  # type: ignore[arg-type]
        problems.append(Problem(f"{name}.volume_spacers", said))


def _check_rod(name: str, end: SpringEnd, problems: list[Problem]) -> None:
    bore, rod = end.bore_mm, end.rod_mm
    if rod is None or rod < 0.9 * (bore or _LEAST_ASSUMED_BORE_MM):
        return
    if bore is None:
        said = Message.of("problem.rod_without_bore", rod=as_typed(rod))
    else:
        said = Message.of("problem.rod", rod=as_typed(rod), bore=as_typed(bore))
    problems.append(Problem(f"{name}.rod_mm", said))


def _check_second(name: str, end: SpringEnd, problems: list[Problem]) -> None:
    """Refuse a second positive chamber of which a half is missing, or whose first chamber is not known."""
    parts = ("second_volume_cm3", "second_pressure_ratio")
    given = [part for part in (*parts, "second_max_pressure_psi") if getattr(end, part) is not None]
    missing = [part for part in parts if given and part not in given]
    problems += [Problem(f"{name}.{part}", Message.of("problem.second_half")) for part in missing]
    if given and end.spring == "air" and (end.positive_volume_cm3 is None or end.bore_mm is None):
        problems.append(Problem(f"{name}.{given[0]}", Message.of("problem.second_needs_first")))


def _check_volume(name: str, end: SpringEnd, travel_mm: float, problems: list[Problem]) -> None:
    if end.bore_mm is None:
        problems.append(Problem(f"{name}.bore_mm", Message.of("problem.bore_needed")))
        return
    swept_cm3 = math.pi / 4 * end.bore_mm**2 * travel_mm / 1000
    volume_cm3, spacers_cm3 = end.positive_volume_cm3 or 0.0, end.volume_spacers * (end.volume_spacer_cm3 or 0.0)
    if volume_cm3 - spacers_cm3 - swept_cm3 < 0.03 * swept_cm3:
        shown = {"volume": as_typed(volume_cm3), "spacers": as_typed(spacers_cm3), "swept": whole(swept_cm3)}
        problems.append(Problem(f"{name}.positive_volume_cm3", Message.of("problem.chamber_full", **shown)))
