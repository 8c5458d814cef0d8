"""A list of bikes as a sample: every column once filled in, for bikes that do not exist."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Any, Final

#: Two bikes with two springs and one with a fork only, each as a crew may know it.
BIKES: Final[tuple[Mapping[str, Any], ...]] = (
    {
        "number": "1",
        "label": "Heron, rust, size M",
        "riding_style": "trail",
        "bike_mass_kg": 14.5,
        "fork_travel_mm": 150,
        "fork_stanchion_mm": 36,
        "head_angle_deg": 65,
        "fork_rebound_clicks": 16,
        "fork_compression_clicks": 12,
        "fork_min_pressure_psi": 40,
        "fork_max_pressure_psi": 140,
        "fork_volume_spacers": 1,
        "shock_stroke_mm": 60,
        "leverage_start": 2.8,
        "leverage_end": 2.4,
        "shock_rebound_clicks": 14,
        "shock_compression_clicks": 10,
        "shock_min_pressure_psi": 80,
        "shock_max_pressure_psi": 300,
        "shock_volume_spacers": 2,
        "fork_pressure_psi": 82,
        "fork_rebound_out": 7,
        "fork_compression_out": 8,
        "shock_pressure_psi": 175,
        "shock_rebound_out": 6,
        "shock_compression_out": 5,
    },
    {
        "number": "2",
        "label": "Heron, slate, size L",
        "riding_style": "enduro",
        "fork_travel_mm": 160,
        "fork_rebound_clicks": 16,
        "fork_max_pressure_psi": 140,
        "shock_stroke_mm": 62.5,
        "leverage_start": 2.7,
        "leverage_end": 2.3,
        "shock_max_pressure_psi": 300,
    },
    {
        "number": "3",
        "label": "Finch",
        "riding_style": "cross_country",
        "fork_travel_mm": 120,
        "fork_max_pressure_psi": 120,
    },
)
#: So that table programs know the encoding.
_MARK: Final = "\ufeff"


def write_sample(columns: Iterable[str]) -> str:
    """Return the sample as a CSV file with these columns."""
    out = io.StringIO(newline="")
    out.write(_MARK)
    writer = csv.DictWriter(out, list(columns), restval="")
    writer.writeheader()
    writer.writerows(BIKES)
    return out.getvalue()
