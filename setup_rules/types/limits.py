"""Every bound on what may be entered, in one place: the form, the rules and the help text import it.

The bounds are the project's own: wide enough for every bicycle that we know of, narrow enough to catch a
number typed in the wrong unit. Each says why it stands where it does.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limit:
    """The closed range [low, high] of one input, in `unit`, with the reason for the bounds."""

    label: str
    low: float
    high: float
    unit: str
    kind: str
    reason: str
    whole: bool = False

    def holds(self, value: float) -> bool:
        """Return whether `value`, in this limit's unit, lies in the closed range (false for a NaN)."""
        return self.low <= value <= self.high

    def sentence(self, value: float) -> str:
        """Return the refusal of `value`, in this limit's unit: the value, the range and what to do."""
        unit = f" {self.unit}" if self.unit else ""
        return (
            f"{self.label} of {value:g}{unit} is outside {self.low:g} to {self.high:g}{unit}: {self.reason}. "
            f"Check the number and its unit."
        )


LIMITS: dict[str, Limit] = {
    "rider_mass_kg": Limit(
        "Rider weight", 20, 160, "kg", "mass", "below is a child's bike, above no fork is made for the load"
    ),
    "kit_mass_kg": Limit("Kit weight", 0, 40, "kg", "mass", "clothes, water, tools and luggage worn or carried"),
    "bike_mass_kg": Limit("Bike weight", 5, 35, "kg", "mass", "from a race bike to one with a motor"),
    "rider_front_share_percent": Limit(
        "Rider's share on the front wheel", 20, 60, "%", "share", "outside nobody keeps a riding stance"
    ),
    "temperature_c": Limit("Temperature", -30, 60, "°C", "temperature", "seals and oil are not used beyond"),
    "altitude_m": Limit("Altitude", -430, 6000, "m", "altitude", "from the lowest shore to the highest pass"),
    "travel_mm": Limit("Fork travel", 40, 220, "mm", "length", "no bicycle fork is shorter or longer"),
    "longest_travel_mm": Limit(
        "Travel without travel spacers", 40, 220, "mm", "length", "no bicycle fork is shorter or longer"
    ),
    "stanchion_mm": Limit("Stanchion diameter", 28, 42, "mm", "length", "no bicycle fork has thinner or thicker"),
    "head_angle_deg": Limit("Head angle", 58, 76, "°", "angle", "no bicycle steers outside this range"),
    "stroke_mm": Limit("Shock stroke", 20, 100, "mm", "length", "no bicycle shock is shorter or longer"),
    "wheel_travel_mm": Limit(
        "Rear wheel travel", 40, 260, "mm", "length", "no bicycle's rear wheel travels less or more"
    ),
    "leverage_start": Limit(
        "Leverage at the start of the stroke",
        1.0,
        5.0,
        "",
        "ratio",
        "wheel travel per shock stroke of a bicycle",
    ),
    "leverage_end": Limit(
        "Leverage at the end of the stroke",
        1.0,
        5.0,
        "",
        "ratio",
        "wheel travel per shock stroke of a bicycle",
    ),
    "sag_target_percent": Limit(
        "Target sag", 5, 45, "%", "share", "less leaves no grip, more leaves too little travel"
    ),
    "rebound_clicks": Limit(
        "Rebound clicks", 1, 60, "", "count", "the clicks counted from fully closed to fully open", True
    ),
    "compression_clicks": Limit(
        "Compression clicks", 1, 60, "", "count", "the clicks counted from fully closed to fully open", True
    ),
    "rebound_offset_clicks": Limit(
        "Rebound clicks added to the computed start", -60, 60, "", "count", "no adjuster has more clicks", True
    ),
    "compression_offset_clicks": Limit(
        "Compression clicks added to the computed start", -60, 60, "", "count", "no adjuster has more clicks", True
    ),
    "chart_sag_percent": Limit("Sag that the chart aims at", 5, 45, "%", "share", "as the manual states it"),
    "chart_travel_mm": Limit(
        "Travel that the chart is for", 40, 220, "mm", "length", "no bicycle fork is shorter or longer"
    ),
    "max_pressure_psi": Limit(
        "Maximum pressure", 30, 400, "psi", "pressure", "the figure printed on the unit or in its manual"
    ),
    "min_pressure_psi": Limit(
        "Minimum pressure", 0, 300, "psi", "pressure", "the figure printed on the unit or in its manual"
    ),
    "bore_mm": Limit("Bore of the air chamber", 15, 70, "mm", "length", "inside diameter that the piston runs in"),
    "rod_mm": Limit("Rod diameter", 3, 30, "mm", "length", "the rod through the negative chamber"),
    "positive_volume_cm3": Limit(
        "Positive chamber volume", 15, 900, "cm³", "volume", "fully extended and without volume spacers"
    ),
    "negative_volume_cm3": Limit("Negative chamber volume", 0.5, 400, "cm³", "volume", "fully extended"),
    "port_position_mm": Limit(
        "Equalising port", 0.5, 40, "mm", "length", "compression at which the chambers are joined"
    ),
    "negative_rate_n_per_mm": Limit(
        "Rate of the negative coil", 0.2, 30, "N/mm", "rate", "a coil of a few newtons a millimetre"
    ),
    "negative_length_mm": Limit(
        "Working length of the negative coil", 1, 100, "mm", "length", "compression at which the coil is free"
    ),
    "volume_spacers": Limit("Volume spacers", 0, 12, "", "count", "more do not fit in a chamber", True),
    "travel_spacer_mm": Limit("Travel spacer", 1, 100, "mm", "length", "a piece that shortens a fork inside"),
    "damper_clicks": Limit(
        "Clicks out of a known damper point", 0, 60, "", "count", "no adjuster has more clicks", True
    ),
    "damper_n_s_per_m": Limit(
        "Damping of a known damper point", 20, 60_000, "N·s/m", "damping", "from a light fork to a hard-levered shock"
    ),
    "volume_spacer_cm3": Limit("Volume of one spacer", 0.5, 60, "cm³", "volume", "what one spacer takes away"),
}

#: Bounds of what is measured and felt on a saved setup. Wider than anything that can be: what is merely wrong is
#: refused by the rules, who know the bike and say what to do.
CORRECTION_LIMITS: dict[str, Limit] = {
    "set_pressure_psi": Limit("Pressure as set now", 0, 4000, "psi", "pressure", "no shock pump reads more"),
    "sag_mm": Limit("Sag", 0, 999, "mm", "length", "no bicycle moves further"),
    "travel_used_mm": Limit("Travel used", 0, 999, "mm", "length", "no bicycle moves further"),
    "dip_mm": Limit("Dip", 0, 999, "mm", "length", "no bicycle moves further"),
    "beyond_mm": Limit("Swing beyond", 0, 999, "mm", "length", "no bicycle moves further"),
    "rebound_out": Limit("Rebound clicks out", 0, 60, "", "count", "no adjuster has more clicks", True),
    "hard_hits": Limit("Hard hits", 0, 1000, "", "count", "nobody counts further", True),
    "frames": Limit("Frames", 1, 5000, "", "count", "a swing is over within two seconds", True),
    "frames_per_second": Limit("Frames a second", 10, 2000, "", "count", "slow motion is 100 to 1000"),
    "base_revision": Limit("Revision", 1, 999_999_999, "", "count", "the one that you looked at", True),
}

#: Bounds of what is entered at the bench and is no part of a request.
BENCH_LIMITS: dict[str, Limit] = {
    "read_pressure_psi": Limit("Pressure", 1, 400, "psi", "pressure", "what a shock pump's gauge shows"),
    "gauge_step_psi": Limit("Step of the gauge", 0.05, 20, "psi", "pressure", "the smallest step that can be read off"),
    "hours_between": Limit("Time between the readings", 0.25, 2000, "h", "time", "from a coffee to a winter's storage"),
    "hose_volume_cm3": Limit("Hose and gauge", 0, 50, "cm³", "volume", "the air in a shock pump's hose and gauge"),
    "chamber_volume_cm3": Limit("Air chamber", 15, 900, "cm³", "volume", "fully extended, all that the valve fills"),
    "spacer_size_mm": Limit("Spacer size", 1, 100, "mm", "length", "the travel that one spacer takes away"),
    "spacer_count": Limit("Spacers", 0, 20, "", "count", "more do not fit in a fork", True),
    "allowed_travel_mm": Limit("Travel allowed", 40, 220, "mm", "length", "as the manual states it"),
    "wheelbase_mm": Limit("Wheelbase", 700, 1600, "mm", "length", "from a child's bike to the longest"),
    "chainstay_mm": Limit("Chainstay", 300, 600, "mm", "length", "measured level from rear axle to bottom bracket"),
    "bottom_bracket_drop_mm": Limit(
        "Bottom bracket drop", -80, 120, "mm", "length", "how far the bottom bracket lies below the axles"
    ),
    "measured_sag_mm": Limit("Sag", 1, 120, "mm", "length", "read off the O-ring"),
    "clicks_out": Limit("Clicks out", 0, 60, "", "count", "counted from fully closed", True),
    "torque_nm": Limit("Torque", 0.1, 500, "N·m", "torque", "what a torque wrench for bicycles can be set to"),
    "lubricant_cm3": Limit("Amount", 0.1, 1000, "cm³", "volume", "as the manual states it"),
    "service_hours": Limit("Riding hours", 1, 2000, "h", "time", "the interval in the unit's manual"),
}


def limit_of(name: str) -> Limit:
    """Return the limit of an input by its name: of a request, measured on a saved setup, or entered at the bench."""
    for limits in (LIMITS, CORRECTION_LIMITS):
        if name in limits:
            return limits[name]
    return BENCH_LIMITS[name]


#: Target sag outside this range, in per cent, is computed but carries a caution (common practice, no source).
USUAL_SAG_PERCENT = (8.0, 40.0)

#: Sag readings that one check may carry.
MOST_READINGS = 6
