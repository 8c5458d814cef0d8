"""A demo day as a CSV file: what was done to which bike when, with settings and sag checks; no rider is in it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Final, Protocol

from setup_rules.messages import rounding
from webapp.library.pages.suspension_unit_files import guarded

_SET: Final = (
    "pressure_psi",
    "second_pressure_psi",
    "spring_rate_n_per_mm",
    "preload_mm",
    "rebound_clicks_out",
    "compression_clicks_out",
)
_OF_END: Final = (*_SET, "target_sag_mm", "sag_read_mm")
COLUMNS: Final = (
    *("time", "bike", "what", "who", "reason"),
    *(f"{end}_{key}" for end in ("fork", "shock") for key in _OF_END),
)
_ENDS: Final = {"fork": "front", "shock": "rear"}
#: So that table programs know the encoding.
_MARK: Final = "\ufeff"


class Event(Protocol):
    """What a line is made from."""

    @property
    def bike_number(self) -> str:
        """The bike's number."""

    @property
    def kind(self) -> str:
        """The kind of event."""

    @property
    def by(self) -> str:
        """The login of who did it."""

    @property
    def made_at(self) -> datetime:
        """When."""

    @property
    def detail(self) -> Mapping[str, Any]:
        """What was set or read."""


def write_day(events: Iterable[Event]) -> str:
    """Return the events as a CSV file, a line each, guarded against formulas; times are in UTC (ISO 8601)."""
    out = io.StringIO(newline="")
    out.write(_MARK)
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for event in events:
        writer.writerow([guarded(cell) for cell in _cells(event)])
    return out.getvalue()


def _cells(event: Event) -> list[str]:
    reason = event.detail.get("reason", "")
    when = event.made_at.isoformat(timespec="seconds")
    cells = [when, event.bike_number, event.kind, event.by, str(reason)]
    for name in _ENDS.values():
        cells += _end_cells(event.detail, name)
    return cells


def _end_cells(detail: Mapping[str, Any], name: str) -> list[str]:
    """Return what was set or entered on one end, or at which pressure its sag was read; empty where neither."""
    read = detail.get(name) if isinstance(detail.get(name), Mapping) else None
    stands = read or detail.get("standing", {}).get(name) or {}
    target = read["target_mm"] if read else detail.get("sag_mm", {}).get(name)
    settings = [_as_shown(key, stands.get(key), is_read=read is not None) for key in _SET]
    shown_target = None if target is None else rounding.halves(target)
    return ["" if value is None else f"{value:g}" for value in (*settings, shown_target, (read or {}).get("sag_mm"))]


def _as_shown(key: str, value: float | None, *, is_read: bool) -> float | None:
    """Return a setting as the crew's screens show it; what was read for a sag check stays as it was typed."""
    if value is None or is_read:
        return value
    if key.endswith("pressure_psi"):
        return rounding.gauge_psi(value)
    return rounding.spring_rate(value) if key == "spring_rate_n_per_mm" else value
