"""A force as people read it off a bathroom scale: kilograms or pounds without a unit, newtons with one."""

from __future__ import annotations

from typing import Any, Final

from webapp.ground.fields.quantity import QuantityField

#: What a bare number is, by the unit in which weights are typed.
FORCE_UNITS: Final = {"kg": "kgf", "lb": "lbf", "st": "lbf"}


class PushForceField(QuantityField):
    """A force of a push; `data` is in newtons, a number without a unit is what a scale shows."""

    def __init__(self, label: Any, **kwargs: Any) -> None:
        super().__init__("push_n", label, **kwargs)
        self.unit_key = "kgf"
        self.unit_symbols = [("kgf", "kg"), ("lbf", "lb")]
