"""Fills the setup form with a request, as it would have been entered in the units of this device."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from setup_rules import SetupRequest, request_data
from setup_rules.types.request import RearEnd
from setup_rules.types.units import convert
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.text.free_text import exact_number
from webapp.setups.forms.leverage import leverage_from_travel
from webapp.setups.forms.setup_form import SetupForm


def show_request(form: SetupForm, request: SetupRequest, *, hidden: Collection[str] = ()) -> None:
    """Put the values of a request into the fields of those names, but for the `hidden` ones; other fields stay."""
    data = {name: value for name, value in request_data(request).items() if name not in hidden}
    for part in ("front", "rear"):
        form[part].form.wanted.data = bool(data.get(part))
    _show(form, data)
    for part in ("front", "rear", "bench", "ride"):
        _show(form[part].form, data.get(part) or {})
    if request.rear is not None and (travel := wheel_travel_of(request.rear)) is not None:
        rear = form.rear.form
        rear.leverage_start.text = rear.leverage_end.text = ""
        rear.wheel_travel_mm.text = shown_text(rear.wheel_travel_mm, travel)


def shown_text(field: Any, value: Any) -> str:
    """Return what a field shows for a value of a request: a quantity in the unit that a bare number there has."""
    if isinstance(value, str):
        return value
    if not isinstance(field, QuantityField) or field.unit_key == field.own_unit:
        return exact_number(value)
    return f"{convert(field.kind, value, field.own_unit, field.unit_key):.5g}"


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
