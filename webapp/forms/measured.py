"""Inputs of what was measured at the bike: bounds of their own, and a sag that may be typed as a share."""

from __future__ import annotations

from typing import Any, Final

from setup_rules.limits import Limit
from setup_rules.units import UNITS
from webapp.forms.number_text import NumberText
from webapp.forms.quantity import QuantityField
from webapp.i18n import gettext as _

# Wider than anything that can be measured: what is merely wrong is refused by the rules, who know the bike.
LENGTH: Final = Limit("Length", 0, 999, "mm", "length", "no bicycle moves further")
PRESSURE: Final = Limit("Pressure", 0, 4000, "psi", "pressure", "no shock pump reads more")
CLICKS: Final = Limit("Clicks", 0, 60, "", "count", "no adjuster has more clicks", True)
HITS: Final = Limit("Hard hits", 0, 1000, "", "count", "nobody counts further", True)
FRAMES: Final = Limit("Frames", 1, 5000, "", "count", "a swing is over within two seconds", True)
FRAME_RATE: Final = Limit("Frames a second", 10, 2000, "", "count", "slow motion is 100 to 1000")

#: A field of the setup form with the same kind of quantity: its unit and its choice of units are taken over.
_LIKE: Final = {"length": "travel_mm", "pressure": "max_pressure_psi", "count": "volume_spacers"}
_PERCENT: Final = UNITS["share"][0]


class MeasuredField(QuantityField):
    """A quantity that no setup is computed from, so that its bounds are given here."""

    def __init__(self, limit: Limit, label: Any, **kwargs: Any) -> None:
        super().__init__(_LIKE[limit.kind], label, **kwargs)
        self.limit = limit


class LengthOrShareField(MeasuredField):
    """A length along the spring, in mm or as a share: 22 % is 22 hundredths of `travel_mm`, which the form sets."""

    travel_mm = 0.0

    def __init__(self, label: Any, **kwargs: Any) -> None:
        super().__init__(LENGTH, label, **kwargs)

    def _unit_of(self, typed: NumberText) -> str:
        if typed.unit.strip().lower() in (_PERCENT.key, _PERCENT.symbol, *_PERCENT.spellings):
            return _PERCENT.key
        return super()._unit_of(typed)

    def _in_limits(self, typed: NumberText, key: str) -> float | int:
        if key != _PERCENT.key:
            return super()._in_limits(typed, key)
        length_mm = round(typed.value / 100 * self.travel_mm, 3)
        return super()._in_limits(NumberText(length_mm), self.own_unit)

    def _unit_sentence(self, typed_unit: str) -> str:
        return _(
            "%(label)s: “%(unit)s” is not a unit that fits here. Use mm, cm, in or %%, or only the number.",
            label=self.subject,
            unit=typed_unit,
        )
