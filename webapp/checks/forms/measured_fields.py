"""Inputs of what was measured at the bike: bounds of their own, and a sag that may be typed as a share."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from wtforms.fields import FieldList

from setup_rules.types.limits import CORRECTION_LIMITS, Limit
from setup_rules.types.units import UNITS
from webapp.ground.fields.number_text import NumberText
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.spring_rate import SpringRateField
from webapp.ground.text.i18n import gettext as _

LENGTH: Final = CORRECTION_LIMITS["sag_mm"]
PRESSURE: Final = CORRECTION_LIMITS["set_pressure_psi"]
RATE: Final = CORRECTION_LIMITS["spring_rate_n_per_mm"]
PRELOAD: Final = CORRECTION_LIMITS["preload_mm"]
CLICKS: Final = CORRECTION_LIMITS["rebound_out"]
HITS: Final = CORRECTION_LIMITS["hard_hits"]

#: A field of the setup form with the same kind of quantity: its unit and its choice of units are taken over.
_LIKE: Final = {
    "length": "travel_mm",
    "pressure": "max_pressure_psi",
    "count": "volume_spacers",
    "rate": "fitted_rate_n_per_mm",
}
_PERCENT: Final = UNITS["share"][0]


class BoundedField(QuantityField):
    """A quantity that no setup is computed from, so that its bounds are given here."""

    def __init__(self, limit: Limit, label: Any, **kwargs: Any) -> None:
        super().__init__(_LIKE[limit.kind], label, **kwargs)
        self.limit = limit


class MeasuredRateField(SpringRateField):
    """The rate of the spring that is in it now."""

    def __init__(self, label: Any, **kwargs: Any) -> None:
        super().__init__(_LIKE[RATE.kind], label, **kwargs)
        self.limit = RATE


class LengthOrShareField(BoundedField):
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
            "%(label)s: “%(unit)s” is the wrong unit. Use mm, cm, in or %%, or enter only the number.",
            label=self.subject,
            unit=typed_unit,
        )


class ReadingsField(FieldList):  # type: ignore[misc]
    """A fixed number of boxes for readings of one kind, each counted by its place whether or not it was sent."""

    def __init__(self, label: Any, count: int, **kwargs: Any) -> None:
        super().__init__(LengthOrShareField(label), min_entries=count, max_entries=count, **kwargs)

    def _extract_indices(self, prefix: str, formdata: Any) -> Iterator[int]:  # noqa: ARG002 WTForms hands them in
        # A list that follows what was sent would fill its gaps under names that are taken already.
        yield from range(self.max_entries)
