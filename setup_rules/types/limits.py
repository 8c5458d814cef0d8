"""Every bound on what may be entered, in one place: the form, the rules and the help text import it.

The bounds are the project's own: wide enough for every bicycle that we know of, narrow enough to catch a
number typed in the wrong unit. Each has its reason in the catalogue of messages.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed


@dataclass(frozen=True, slots=True)
class Limit:
    """The closed range [low, high] of the input `name`, in `unit`; the catalogue has its label and its reason."""

    name: str
    low: float
    high: float
    unit: str
    kind: str
    whole: bool = False

    @property
    def label(self) -> Message:
        """What the input is called."""
        return Message.of(f"label.{self.name}")

    @property
    def reason(self) -> Message:
        """Why the bounds are where they are, in one sentence."""
        return Message.of(f"bounds.{self.name}")

    def holds(self, value: float) -> bool:
        """Return whether `value`, in this limit's unit, lies in the closed range (false for a NaN)."""
        return self.low <= value <= self.high

    def refusal(self, value: float) -> Message:
        """Return the refusal of `value`, in this limit's unit: the value, the range and what to do."""
        shown = {"label": self.label, "value": as_typed(value), "low": self.low, "high": self.high}
        if not self.unit:
            return Message.of("problem.outside", **shown, reason=self.reason)
        return Message.of("problem.outside_with_unit", **shown, unit=self.unit, reason=self.reason)


def _by_name(limits: Iterable[Limit]) -> dict[str, Limit]:
    return {limit.name: limit for limit in limits}


LIMITS: dict[str, Limit] = _by_name(
    (
        Limit("rider_mass_kg", 20, 160, "kg", "mass"),
        Limit("kit_mass_kg", 0, 40, "kg", "mass"),
        Limit("bike_mass_kg", 5, 35, "kg", "mass"),
        Limit("luggage_front_kg", 0, 20, "kg", "mass"),
        Limit("luggage_rear_kg", 0, 30, "kg", "mass"),
        Limit("rider_front_share_percent", 20, 60, "%", "share"),
        Limit("front_axle_kg", 3, 150, "kg", "mass"),
        Limit("rear_axle_kg", 3, 150, "kg", "mass"),
        Limit("weighed_kg", 25, 235, "kg", "mass"),
        Limit("temperature_c", -30, 60, "°C", "temperature"),
        Limit("altitude_m", -430, 6000, "m", "altitude"),
        Limit("travel_mm", 40, 220, "mm", "length"),
        Limit("longest_travel_mm", 40, 220, "mm", "length"),
        Limit("stanchion_mm", 28, 42, "mm", "length"),
        Limit("head_angle_deg", 58, 76, "°", "angle"),
        Limit("stroke_mm", 20, 100, "mm", "length"),
        Limit("wheel_travel_mm", 40, 260, "mm", "length"),
        Limit("leverage_start", 1.0, 5.0, "", "ratio"),
        Limit("leverage_end", 1.0, 5.0, "", "ratio"),
        Limit("sag_target_percent", 5, 45, "%", "share"),
        Limit("rebound_clicks", 1, 60, "", "count", whole=True),
        Limit("compression_clicks", 1, 60, "", "count", whole=True),
        Limit("rebound_offset_clicks", -60, 60, "", "count", whole=True),
        Limit("compression_offset_clicks", -60, 60, "", "count", whole=True),
        Limit("chart_sag_percent", 5, 45, "%", "share"),
        Limit("chart_travel_mm", 40, 220, "mm", "length"),
        Limit("max_pressure_psi", 30, 400, "psi", "pressure"),
        Limit("min_pressure_psi", 0, 300, "psi", "pressure"),
        Limit("bore_mm", 15, 70, "mm", "length"),
        Limit("rod_mm", 3, 30, "mm", "length"),
        Limit("positive_volume_cm3", 15, 900, "cm³", "volume"),
        Limit("negative_volume_cm3", 0.5, 400, "cm³", "volume"),
        Limit("second_volume_cm3", 2, 400, "cm³", "volume"),
        Limit("second_pressure_ratio", 1.05, 5, "", "ratio"),
        Limit("second_max_pressure_psi", 30, 400, "psi", "pressure"),
        Limit("port_position_mm", 0.5, 40, "mm", "length"),
        Limit("negative_rate_n_per_mm", 0.2, 30, "N/mm", "rate"),
        Limit("negative_length_mm", 1, 100, "mm", "length"),
        Limit("volume_spacers", 0, 12, "", "count", whole=True),
        Limit("travel_spacer_mm", 1, 100, "mm", "length"),
        Limit("damper_clicks", 0, 60, "", "count", whole=True),
        Limit("damper_n_s_per_m", 20, 60_000, "N·s/m", "damping"),
        Limit("volume_spacer_cm3", 0.5, 60, "cm³", "volume"),
        Limit("air_lubricant_cm3", 0, 40, "cm³", "volume"),
        Limit("stocked_rates_n_per_mm", 1, 250, "N/mm", "rate"),
        Limit("fitted_rate_n_per_mm", 1, 250, "N/mm", "rate"),
        Limit("preload_mm_max", 0, 40, "mm", "length"),
        Limit("preload_pitch_mm", 0.2, 6, "mm", "length"),
        Limit("coil_stroke_mm", 20, 260, "mm", "length"),
        Limit("pressure_psi", 5, 400, "psi", "pressure"),
        Limit("compression_mm", 1, 260, "mm", "length"),
        Limit("push_n", 0, 8000, "N", "force"),
        Limit("tested_travel_mm", 20, 220, "mm", "length"),
        Limit("tested_spacers", 0, 12, "", "count", whole=True),
    )
)

#: Bounds of what is measured and felt on a saved setup. Wider than anything that can be: what is merely wrong is
#: refused by the rules, who know the bike and say what to do.
CORRECTION_LIMITS: dict[str, Limit] = _by_name(
    (
        Limit("set_pressure_psi", 0, 4000, "psi", "pressure"),
        Limit("spring_rate_n_per_mm", 0, 4000, "N/mm", "rate"),
        Limit("preload_mm", 0, 100, "mm", "length"),
        Limit("sag_mm", 0, 999, "mm", "length"),
        Limit("travel_used_mm", 0, 999, "mm", "length"),
        Limit("dip_mm", 0, 999, "mm", "length"),
        Limit("beyond_mm", 0, 999, "mm", "length"),
        Limit("rebound_out", 0, 60, "", "count", whole=True),
        Limit("hard_hits", 0, 1000, "", "count", whole=True),
        Limit("frames", 1, 5000, "", "count", whole=True),
        Limit("frames_per_second", 10, 2000, "", "count"),
        Limit("base_revision", 1, 999_999_999, "", "count", whole=True),
    )
)

#: Bounds of what is entered at the bench and is no part of a request.
BENCH_LIMITS: dict[str, Limit] = _by_name(
    (
        Limit("read_pressure_psi", 1, 400, "psi", "pressure"),
        Limit("gauge_step_psi", 0.05, 20, "psi", "pressure"),
        Limit("hours_between", 0.25, 2000, "h", "time"),
        Limit("hose_volume_cm3", 0, 50, "cm³", "volume"),
        Limit("chamber_volume_cm3", 15, 900, "cm³", "volume"),
        Limit("spacer_size_mm", 1, 100, "mm", "length"),
        Limit("spacer_count", 0, 20, "", "count", whole=True),
        Limit("allowed_travel_mm", 40, 220, "mm", "length"),
        Limit("wheelbase_mm", 700, 1600, "mm", "length"),
        Limit("chainstay_mm", 300, 600, "mm", "length"),
        Limit("bottom_bracket_drop_mm", -80, 120, "mm", "length"),
        Limit("measured_sag_mm", 1, 120, "mm", "length"),
        Limit("clicks_out", 0, 60, "", "count", whole=True),
        Limit("torque_nm", 0.1, 500, "N·m", "torque"),
        Limit("lubricant_cm3", 0.1, 1000, "cm³", "volume"),
        Limit("service_hours", 1, 2000, "h", "time"),
    )
)


def limit_of(name: str) -> Limit:
    """Return the limit of an input by its name: of a request, measured on a saved setup, or entered at the bench."""
    for limits in (LIMITS, CORRECTION_LIMITS):
        if name in limits:
            return limits[name]
    return BENCH_LIMITS[name]


#: Target sag outside this range, in per cent, is computed but carries a caution (common practice, no source).
USUAL_SAG_PERCENT = (8.0, 40.0)

#: Rates that a list of stocked coil springs may hold.
MOST_RATES = 40

#: Pushes that one test of a spring has at least, and may have.
LEAST_PUSHES = 3
MOST_PUSHES = 8
#: Sag readings that one check may carry.
MOST_READINGS = 6
