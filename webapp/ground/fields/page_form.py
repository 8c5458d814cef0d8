"""What the workshop's forms share: an error beside its field and in the list on top, values shown again."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from flask_wtf import FlaskForm
from wtforms import FormField
from wtforms.fields import Field

from setup_rules import RequestError
from setup_rules.types.units import unit
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.text.i18n import gettext as _


def given(field: QuantityField) -> float:
    """Return the number in a field that the form has found to be filled."""
    if field.data is None:
        raise ValueError(f"the field {field.name} is empty")
    return float(field.data)


class PageForm(FlaskForm):  # type: ignore[misc]
    """A form without a choice of units: each field shows the one unit that a bare number has, a typed one counts."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.inputs():
            if isinstance(field, QuantityField) and field.unit_key:
                field.unit_symbols = [(field.unit_key, unit(field.kind, field.unit_key).symbol)]

    def inputs(self) -> Iterator[Field]:
        """Yield every single input, those of rows too, in the order of the page."""
        for field in self:
            if isinstance(field, FormField):
                yield from field.form
            else:
                yield field

    def show(self, values: dict[str, Any]) -> None:
        """Put values into the fields of those names, as a person would have typed them; None leaves a field empty."""
        for name, value in values.items():
            field = self[name]
            if value is None:
                continue
            if hasattr(field, "text") and not hasattr(field, "choices"):
                field.text = f"{value:g}" if isinstance(value, float) else str(value)
            else:
                field.data = value

    def refuse(self, name: str, message: str) -> None:
        """Put `message` beside the field called `name`, or above the form where there is none."""
        field = next((f for f in self.inputs() if f.name == name), None)
        if field is None:
            self.form_errors.append(message)
        elif not field.errors:
            field.errors = [message]

    def refuse_all(self, error: RequestError) -> None:
        """Put every problem that the rules named beside its field."""
        for problem in error.problems:
            self.refuse(problem.field, _(problem.message))

    def problems(self) -> list[tuple[str, str]]:
        """Return (id of the field or "", sentence) for everything that is wrong, in the order of the page."""
        found = [("", str(message)) for message in self.form_errors]
        for field in self.inputs():
            if field.errors and field.name == "csrf_token":
                message = _("This page was open for too long. Your entries are kept. Press the button again.")
                found.append(("", message))
            elif field.errors:
                found.append((field.id, str(field.errors[0])))
        return found


class ConfirmForm(PageForm):
    """A button alone: only its token is checked."""
