"""Lets a form take bare numbers in the units of the device that drew it."""

from __future__ import annotations

from typing import Any, Final

from wtforms import HiddenField

from webapp.ground.device_units import device_units, units_from
from webapp.ground.fields.page_form import SaveOnceForm
from webapp.ground.fields.quantity import QuantityField

#: Sag and preload stay in millimetres: that is what the pages say how to measure.
_FOLLOWED: Final = frozenset({"mass", "pressure", "temperature", "altitude"})


class OwnUnitsForm(SaveOnceForm):
    """A form whose bare numbers are in the units that its page showed, whatever the device remembers by now.

    A page that does not say its units was not drawn by this form: its numbers are in the defaults.
    """

    shown_units = HiddenField()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not self.is_submitted():
            self.shown_units.data = device_units().text
        chosen = units_from(self.shown_units.data or "")
        for field in self.inputs():
            if isinstance(field, QuantityField) and field.kind in _FOLLOWED and (key := chosen.of(field.kind)):
                field.unit_key = key
                self.offer_units(field)
