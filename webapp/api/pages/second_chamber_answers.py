"""What the JSON interface says of a second positive chamber, and how that is described."""

from __future__ import annotations

from typing import Any, Final

from setup_rules.types.result import SecondChamber
from setup_rules.types.units import PSI_PA
from webapp.api.pages.openapi_parts import record
from webapp.api.pages.schemas import Schema

_BAR_PA: Final = 100_000.0
_NUMBER: Final[Schema] = {"type": "number"}
_PRESSURE: Final[dict[str, Schema]] = {
    "pressure_psi": {**_NUMBER, "description": "Pressure to pump through its own valve, gauge [psi]."},
    "pressure_bar": {**_NUMBER, "description": "The same [bar]."},
}
#: What an end with a second positive chamber has besides; no other end has it.
SECOND_FIELDS: Final[dict[str, Schema]] = {
    "second_chamber": {
        **record(
            {
                **_PRESSURE,
                "max_pressure_psi": {**_NUMBER, "description": "Its maximum, gauge [psi]."},
                "max_pressure_assumed": {"type": "boolean", "description": "Whether that is our estimate."},
                "volume_cm3": {**_NUMBER, "description": "Its volume with the floating piston on its stop [cm³]."},
                "joins_at_mm": {
                    "type": ["number", "null"],
                    "description": "Compression from full extension at which it joins the first chamber [mm]; null "
                    "where it never does.",
                },
                "limited": {"type": "boolean", "description": "Whether its maximum keeps it below the ratio."},
            }
        ),
        "description": "Only of an end with a second positive chamber. Pump both in the order that its manual gives.",
    },
}
#: The same in a setup's history.
PAST_SECOND_FIELDS: Final[dict[str, Schema]] = {
    "second_chamber": {**record(_PRESSURE), "description": "Only of an end with a second positive chamber."}
}


def second_answer(second: SecondChamber | None) -> dict[str, Any]:
    """Return what an answer says of a second chamber; nothing without one."""
    if second is None:
        return {}
    more = {
        "max_pressure_psi": round(second.max_pressure_pa / PSI_PA, 1),
        "max_pressure_assumed": second.max_pressure_assumed,
        "volume_cm3": round(second.volume_cm3, 2),
        "joins_at_mm": None if second.joins_at_mm is None else round(second.joins_at_mm, 1),
        "limited": second.limited,
    }
    return {"second_chamber": _pressures(second) | more}


def past_second_answer(second: SecondChamber | None) -> dict[str, Any]:
    """Return what an answer in the history says of a second chamber; nothing without one."""
    return {} if second is None else {"second_chamber": _pressures(second)}


def _pressures(second: SecondChamber) -> dict[str, Any]:
    pascals = second.pressure_pa
    return {"pressure_psi": round(pascals / PSI_PA, 1), "pressure_bar": round(pascals / _BAR_PA, 2)}
