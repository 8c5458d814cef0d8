"""Which figures go with which main spring: nobody is to believe that a chamber or a coil counts where it does not."""

from __future__ import annotations

from dataclasses import fields
from typing import Final

from setup_rules.messages.message import Message
from setup_rules.types.errors import Problem
from setup_rules.types.request import SpringEnd

#: What only an air spring has.
AIR_ONLY: Final = (
    "negative_size",
    "max_pressure_psi",
    "min_pressure_psi",
    "bore_mm",
    "rod_mm",
    "positive_volume_cm3",
    "negative_volume_cm3",
    "second_volume_cm3",
    "second_pressure_ratio",
    "second_max_pressure_psi",
    "port_position_mm",
    "negative_rate_n_per_mm",
    "negative_length_mm",
    "volume_spacers",
    "volume_spacer_cm3",
    "air_lubricant_cm3",
    "chart",
    "chart_sag_percent",
    "chart_travel_mm",
    "longest_travel_mm",
    "spring_test",
)
#: What only a coil main spring has.
COIL_ONLY: Final = (
    "stocked_rates_n_per_mm",
    "preload_mm_max",
    "coil_stroke_mm",
    "preload_pitch_mm",
    "fitted_rate_n_per_mm",
)


def check_main_spring(name: str, end: SpringEnd, problems: list[Problem]) -> None:
    """Refuse what the other kind of main spring has: air figures of a coil, coil figures of an air spring."""
    others, key = (AIR_ONLY, "problem.air_only") if end.spring == "coil" else (COIL_ONLY, "problem.coil_only")
    given = {spec.name for spec in fields(end) if getattr(end, spec.name) not in (None, spec.default)}
    problems += [Problem(f"{name}.{other}", Message.of(key)) for other in others if other in given]
