"""Fills the setup form with a request, as it would have been entered."""

from __future__ import annotations

from typing import Any

from setup_rules import SetupRequest, request_data
from webapp.ground.text.free_text import exact_number
from webapp.setups.forms.setup_form import SetupForm


def show_request(form: SetupForm, request: SetupRequest) -> None:
    """Put the values of a request into the fields of those names; what has no field stays as it is."""
    data = request_data(request)
    for part in ("front", "rear"):
        form[part].form.wanted.data = bool(data.get(part))
    _show(form, data)
    for part in ("front", "rear", "bench", "ride"):
        _show(form[part].form, data.get(part) or {})


def _show(form: Any, values: dict[str, Any]) -> None:
    for name, value in values.items():
        if name not in form or value is None or isinstance(value, dict | list | tuple):
            continue
        field = form[name]
        if hasattr(field, "choices"):
            field.data = value
        elif hasattr(field, "text"):
            field.text = value if isinstance(value, str) else exact_number(value)
