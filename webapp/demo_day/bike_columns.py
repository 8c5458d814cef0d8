"""A row of a list of bikes: its columns, and where each goes in the plain data of a bike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from webapp.ground.fields.csv_table import LineProblem

#: Place in a bike's plain data, by column; what begins with "standing" is set on the bike now.
COLUMNS: Final[Mapping[str, str]] = {
    "number": "number",
    "label": "label",
    "riding_style": "riding_style",
    "bike_mass_kg": "bike_mass_kg",
    "fork": "front.unit",
    "fork_travel_mm": "front.travel_mm",
    "fork_stanchion_mm": "front.stanchion_mm",
    "head_angle_deg": "front.head_angle_deg",
    "fork_rebound_clicks": "front.rebound_clicks",
    "fork_compression_clicks": "front.compression_clicks",
    "fork_min_pressure_psi": "front.min_pressure_psi",
    "fork_max_pressure_psi": "front.max_pressure_psi",
    "fork_volume_spacers": "front.volume_spacers",
    "shock": "rear.unit",
    "shock_stroke_mm": "rear.stroke_mm",
    "leverage_start": "rear.leverage_start",
    "leverage_end": "rear.leverage_end",
    "shock_rebound_clicks": "rear.rebound_clicks",
    "shock_compression_clicks": "rear.compression_clicks",
    "shock_min_pressure_psi": "rear.min_pressure_psi",
    "shock_max_pressure_psi": "rear.max_pressure_psi",
    "shock_volume_spacers": "rear.volume_spacers",
    "fork_pressure_psi": "standing.front.pressure_psi",
    "fork_rebound_out": "standing.front.rebound_clicks_out",
    "fork_compression_out": "standing.front.compression_clicks_out",
    "shock_pressure_psi": "standing.rear.pressure_psi",
    "shock_rebound_out": "standing.rear.rebound_clicks_out",
    "shock_compression_out": "standing.rear.compression_clicks_out",
}
TEXTS: Final = frozenset({"number", "label", "riding_style", "fork", "shock"})
_COLUMN_OF: Final = {place: column for column, place in COLUMNS.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class BikeRow:
    """One row: the line that it begins at, the bike and what is set on it as plain data, and what is wrong so far."""

    line: int
    data: Mapping[str, Any]
    standing: Mapping[str, Any]
    problems: tuple[LineProblem, ...] = field(default_factory=tuple)


def place_value(data: dict[str, Any], place: str, value: Any) -> None:
    """Put a value where a dotted place says."""
    *parts, last = place.split(".")
    for part in parts:
        data = data.setdefault(part, {})
    data[last] = value


def column_of(place: str) -> str:
    """Return the column that a place in a bike's plain data came from; the place where there is none.

    Examples
    --------
    >>> column_of("front.travel_mm"), column_of("front.bore_mm")
    ('fork_travel_mm', 'front.bore_mm')
    """
    return _COLUMN_OF.get(place, place)
