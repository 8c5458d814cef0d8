"""Hypothesis strategies for requests inside every limit, extremes more often than chance would have them."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from setup_rules.types.limits import LIMITS

STYLES = ("cross_country", "trail", "enduro", "downhill", "park")
INTERNALS = (
    "bore_mm",
    "rod_mm",
    "positive_volume_cm3",
    "negative_volume_cm3",
    "port_position_mm",
    "negative_rate_n_per_mm",
    "negative_length_mm",
    "volume_spacers",
    "volume_spacer_cm3",
)
ADJUSTERS = ("sag_target_percent", "rebound_clicks", "compression_clicks", "max_pressure_psi", "min_pressure_psi")


def inside(name: str) -> st.SearchStrategy[float]:
    """Draw a value of one input from its limits, both ends included."""
    limit = LIMITS[name]
    if limit.whole:
        return st.integers(int(limit.low), int(limit.high))
    ends = st.sampled_from([limit.low, limit.high])
    return ends | st.floats(limit.low, limit.high, allow_nan=False)


def _fields(needed: tuple[str, ...], optional: tuple[str, ...]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(
        {name: inside(name) for name in needed}, optional={name: inside(name) for name in optional}
    )


def _with_negative(end: dict[str, Any], kind: str) -> dict[str, Any]:
    return {**end, "negative_spring": kind}


NEGATIVE = st.sampled_from(["air", "coil"])
FRONT = st.builds(
    _with_negative,
    _fields(("travel_mm",), ("longest_travel_mm", "stanchion_mm", "head_angle_deg", *ADJUSTERS, *INTERNALS)),
    NEGATIVE,
)
REAR = st.builds(
    _with_negative,
    _fields(("stroke_mm", "leverage_start", "leverage_end"), (*ADJUSTERS, *INTERNALS)),
    NEGATIVE,
)
CONDITIONS = _fields((), ("temperature_c", "altitude_m"))


@st.composite
def requests(draw: st.DrawFn) -> dict[str, Any]:
    """Draw the plain data of a request whose every value lies in its limits; its parts need not agree."""
    data = draw(_fields(("rider_mass_kg",), ("kit_mass_kg", "bike_mass_kg", "rider_front_share_percent")))
    data["riding_style"] = draw(st.sampled_from(STYLES))
    data["stance"] = draw(st.sampled_from(["standing", "seated"]))
    for place in draw(st.sets(st.sampled_from(["bench", "ride"]))):
        data[place] = draw(CONDITIONS)
    ends = draw(st.sampled_from([("front",), ("rear",), ("front", "rear")]))
    if "front" in ends:
        data["front"] = draw(FRONT)
    if "rear" in ends:
        data["rear"] = draw(REAR)
    return data
