"""What no single field of a request can show: that there is a spring end, and that an end agrees with itself."""

from __future__ import annotations

import math
from typing import Any, Final

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
        problems.append(Problem("front", "Give at least one spring end: front, rear or both."))
    if isinstance(front, FrontEnd):
        _check_front(front, problems)
    if isinstance(rear, RearEnd):
        _check_rear(rear, problems)
    for name, end in (("front", front), ("rear", rear)):
        if isinstance(end, SpringEnd):
            _check_internals(name, end, end.compression_mm, problems)  # type: ignore[attr-defined]


def _check_front(front: FrontEnd, problems: list[Problem]) -> None:
    longest = front.longest_travel_mm
    if longest is not None and longest < front.travel_mm:
        message = (
            f"Travel of {front.travel_mm:g} mm is more than the {longest:g} mm that the fork has without travel "
            f"spacers. Check both numbers."
        )
        problems.append(Problem("front.longest_travel_mm", message))


def _check_rear(rear: RearEnd, problems: list[Problem]) -> None:
    if rear.leverage_table is not None:
        first, last = rear.leverage_table[0][0], rear.leverage_table[-1][0]
        if abs(first) > 0.5 or abs(last - rear.stroke_mm) > 0.5:
            message = (
                f"The leverage table runs from {first:g} to {last:g} mm, the stroke from 0 to {rear.stroke_mm:g} mm. "
                f"Give the leverage over the whole stroke."
            )
            problems.append(Problem("rear.leverage_table", message))
            return
    for name in ("leverage_start", "leverage_end"):
        if rear.leverage_table is None and getattr(rear, name) is None:
            problems.append(Problem(f"rear.{name}", f"{LIMITS[name].label} is needed. Enter it, or a leverage table."))
            return
    wheel_mm = Leverage.from_points(rear.leverage_points).wheel_travel_m(rear.stroke_mm / 1000) * 1000
    limit = LIMITS["wheel_travel_mm"]
    if not limit.holds(wheel_mm):
        message = (
            f"A stroke of {rear.stroke_mm:g} mm with this leverage makes {wheel_mm:.0f} mm of wheel travel; "
            f"bicycles have {limit.low:g} to {limit.high:g} mm. Check stroke and leverage."
        )
        problems.append(Problem("rear.stroke_mm", message))


def _check_internals(name: str, end: SpringEnd, travel_mm: float, problems: list[Problem]) -> None:
    low, high = end.min_pressure_psi, end.max_pressure_psi
    if low is not None and high is not None and low >= high:
        message = f"The minimum pressure of {low:g} psi is not below the maximum of {high:g} psi. Check both numbers."
        problems.append(Problem(f"{name}.min_pressure_psi", message))
    if end.rebound_points and end.rebound_clicks and end.rebound_points[1][0] > end.rebound_clicks:
        message = f"A damper point at {end.rebound_points[1][0]:g} clicks out lies beyond all {end.rebound_clicks}."
        problems.append(Problem(f"{name}.rebound_points", message))
    bore, rod = end.bore_mm, end.rod_mm
    if rod is not None and rod >= 0.9 * (bore or _LEAST_ASSUMED_BORE_MM):
        if bore is None:
            message = f"A rod of {rod:g} mm may leave no negative chamber. Enter the bore beside it, or leave it out."
        else:
            message = f"A rod of {rod:g} mm leaves no negative chamber in a bore of {bore:g} mm. Check both numbers."
        problems.append(Problem(f"{name}.rod_mm", message))
    port = end.port_position_mm
    if port is not None and port >= 0.5 * travel_mm:
        message = f"An equalising port at {port:g} mm lies beyond half of the {travel_mm:g} mm of travel. Check it."
        problems.append(Problem(f"{name}.port_position_mm", message))
    if end.positive_volume_cm3 is not None:
        _check_volume(name, end, travel_mm, problems)


def _check_volume(name: str, end: SpringEnd, travel_mm: float, problems: list[Problem]) -> None:
    if end.bore_mm is None:
        message = "The bore is needed beside the positive chamber's volume. Enter it, or leave the volume out."
        problems.append(Problem(f"{name}.bore_mm", message))
        return
    swept_cm3 = math.pi / 4 * end.bore_mm**2 * travel_mm / 1000
    spacers_cm3 = end.volume_spacers * (end.volume_spacer_cm3 or 0.0)
    left_cm3 = (end.positive_volume_cm3 or 0.0) - spacers_cm3 - swept_cm3
    if left_cm3 < 0.03 * swept_cm3:
        message = (
            f"A chamber of {end.positive_volume_cm3:g} cm³ less {spacers_cm3:g} cm³ of spacers has no room left at "
            f"full compression, which sweeps {swept_cm3:.0f} cm³. Check volume, bore, travel and spacers."
        )
        problems.append(Problem(f"{name}.positive_volume_cm3", message))
