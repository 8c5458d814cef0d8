"""A spring rate that was typed without its unit, where N/mm and lb/in are both printed on springs: which is it?

Both answers are one press: a button each, which sends the form again with the unit written behind what was typed.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from wtforms.validators import ValidationError

from webapp.ground.fields.number_text import NumberText
from webapp.ground.fields.quantity import POUNDS_PER_INCH, QuantityField
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _

#: A bare number from here on can be a rate in pounds an inch [N/mm]: of a fork, whose coils have 3 to 15 N/mm, and of a
#: shock, whose coils have 40 to 150 N/mm (common practice, no source).
FORK_ASKS_FROM: Final = 20.0
SHOCK_ASKS_FROM: Final = 100.0


#: The units that are printed on springs, as they are printed there.
_PRINTED: Final = {"n_per_mm": "N/mm", POUNDS_PER_INCH: "lb/in"}


class UnitAnswer(NamedTuple):
    """A button: the name and value that it sends, and what it says."""

    name: str
    value: str
    label: str


class SpringRateField(QuantityField):
    """The rate of a main spring. `known` is a text that stands there from the start, in N/mm: it is not asked about."""

    known = ""
    #: The buttons that answer the question, while it is asked.
    unit_answers: tuple[UnitAnswer, ...] = ()

    def process(self, formdata: Any, *args: Any, **kwargs: Any) -> None:
        """Take what was typed, with the unit that was pressed behind it."""
        super().process(formdata, *args, **kwargs)
        pressed = formdata.get(self._answer_name) if formdata else None
        if pressed in _PRINTED and self.text.strip():
            self.text = self._with_unit(pressed)

    @property
    def _answer_name(self) -> str:
        return f"{self.name}-unit"

    @property
    def _asks_from(self) -> float:
        return FORK_ASKS_FROM if "front." in self.name else SHOCK_ASKS_FROM

    def _with_unit(self, key: str) -> str:
        return f"{self.text.strip().rstrip(',;')} {_PRINTED[key]}"

    def _in_limits(self, typed: NumberText, key: str) -> float | int:
        value = super()._in_limits(typed, key)
        is_bare = not typed.unit and key == self.own_unit and self.text.strip() != self.known
        in_pounds = self._in_own_unit(typed.value, POUNDS_PER_INCH)
        if is_bare and typed.value >= self._asks_from and self.limit.holds(in_pounds):
            self._ask(typed)
        return value

    def _ask(self, typed: NumberText) -> None:
        """Ask which unit is meant (raises `ValidationError`)."""
        self.questioned = True
        self.unit_answers = tuple(UnitAnswer(self._answer_name, key, self._with_unit(key)) for key in _PRINTED)
        raise ValidationError(
            _(
                "%(label)s: which unit is printed on the spring? %(value)s lb/in would be %(meant)s N/mm.",
                label=self.subject,
                value=numbers.general(typed.value),
                meant=numbers.rate(1000 * self._in_own_unit(typed.value, POUNDS_PER_INCH)),
            )
        )
