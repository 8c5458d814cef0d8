"""Fills the setup form with a request, as it would have been entered in this device's units: defaults stay empty."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import fields
from typing import Any, Final

from setup_rules import SetupRequest, request_data
from setup_rules.messages import rounding
from setup_rules.types.request import Conditions, FrontEnd, RearEnd
from setup_rules.types.units import convert
from webapp.ground.fields.compound_text import STONE_LB
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.text.free_text import exact_number
from webapp.setups.forms.leverage import leverage_from_travel
from webapp.setups.forms.setup_form import SetupForm

_DEFAULTS: Final = {spec.name: spec.default for spec in fields(SetupRequest)}
_AIR: Final = {spec.name: spec.default for spec in fields(Conditions)}


def show_request(form: SetupForm, request: SetupRequest, *, hidden: Collection[str] = ()) -> None:
    """Put the values of a request into the fields of those names, but for the `hidden` ones; other fields stay."""
    data = {name: value for name, value in _entered(request).items() if name not in hidden}
    for part in ("front", "rear"):
        form[part].form.wanted.data = bool(data.get(part))
    _show(form, data)
    for part in ("front", "rear", "bench", "ride"):
        _show(form[part].form, data.get(part) or {})
    if request.rear is not None and (travel := wheel_travel_of(request.rear)) is not None:
        rear = form.rear.form
        rear.leverage_start.text = rear.leverage_end.text = ""
        rear.wheel_travel_mm.text = shown_text(rear.wheel_travel_mm, travel)


def _entered(request: SetupRequest) -> dict[str, Any]:
    """Return a request as plain data without what it has where nothing is entered."""
    data = {name: value for name, value in request_data(request).items() if value != _DEFAULTS.get(name)}
    for end, kind in (("front", FrontEnd), ("rear", RearEnd)):
        if end in data:
            usual = {spec.name: spec.default for spec in fields(kind)}
            data[end] = {name: value for name, value in data[end].items() if value != usual[name]}
    ride, bench = (request_data(request)[place] for place in ("ride", "bench"))
    data["bench"] = {name: value for name, value in bench.items() if value != _AIR[name]}
    data["ride"] = {name: value for name, value in ride.items() if value != bench[name]}
    return data


def shown_text(field: Any, value: Any) -> str:
    """Return what a field shows for a value of a request: a quantity in the unit that a bare number there has."""
    if isinstance(value, str):
        return value
    if not isinstance(field, QuantityField) or field.unit_key == field.own_unit:
        return exact_number(value)
    return _as_people_write(field.kind, value, field.unit_key) or (
        f"{convert(field.kind, value, field.own_unit, field.unit_key):.5g}"
    )


def _as_people_write(kind: str, value: float, key: str) -> str:
    """Return a value as it was most likely typed, "" where that is a plain number of the device's unit.

    Stones with pounds; millimetres where they are whole and the inches are not. A number that stands as it was shown
    is the saved one (`EntriesForm`), so nothing is lost by the rounding.
    """
    if kind == "mass" and key == "st":
        pounds = rounding.halves(convert("mass", value, "kg", "lb"))
        return f"{int(pounds // STONE_LB)} st {rounding.as_typed(pounds % STONE_LB)}"
    if kind == "mass" and key == "lb":
        return exact_number(round(convert("mass", value, "kg", "lb"), 1))
    if kind == "length" and key == "in" and value == round(value, 1):
        return "" if _is_whole_sixteenth(value / 25.4) else f"{exact_number(value)} mm"
    return exact_number(round(convert(kind, value, "psi", key), 2)) if kind == "pressure" else ""


def _is_whole_sixteenth(inches: float) -> bool:
    return abs(16 * inches - round(16 * inches)) < 1e-6


def wheel_travel_of(rear: RearEnd) -> float | None:
    """Return the wheel travel [mm] that a leverage was worked out from, None where it was entered itself."""
    if rear.leverage_table or not rear.leverage_start or not rear.leverage_end:
        return None
    travel = round((rear.leverage_start + rear.leverage_end) / 2 * rear.stroke_mm, 1)
    start, end = (round(ratio, 4) for ratio in leverage_from_travel(travel, rear.stroke_mm))
    return travel if (start, end) == (rear.leverage_start, rear.leverage_end) else None


def _show(form: Any, values: dict[str, Any]) -> None:
    for name, value in values.items():
        if name not in form or value is None or isinstance(value, dict | list | tuple):
            continue
        field = form[name]
        if hasattr(field, "choices"):
            field.data = value
        elif hasattr(field, "text"):
            field.text = shown_text(field, value)
