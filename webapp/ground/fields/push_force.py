"""A force as people read it off a bathroom scale: kilograms or pounds without a unit, newtons with one."""

from __future__ import annotations

from typing import Any, Final

from wtforms.validators import ValidationError

from webapp.ground.fields.number_text import NumberTextError, read_number
from webapp.ground.fields.quantity import QuantityField

#: What a bare number is, by the unit in which weights are typed.
FORCE_UNITS: Final = {"kg": "kgf", "lb": "lbf", "st": "lbf"}


class PushForceField(QuantityField):
    """A force of a push; `data` is in newtons, a number without a unit is what a scale shows."""

    def __init__(self, label: Any, **kwargs: Any) -> None:
        super().__init__("push_n", label, **kwargs)
        self.unit_key = "kgf"
        self.unit_symbols = [("kgf", "kg"), ("lbf", "lb")]

    def typed_unit(self) -> str | None:
        """Return the key of the unit that the typed number has, its own or the form's; None where it has neither."""
        try:
            return self._unit_of(read_number(self.text))
        except (NumberTextError, ValidationError):
            return None
