"""One text input for several spring rates: numbers with a space or semicolon between, and one unit for all."""

from __future__ import annotations

import re
from typing import Any, Final

from wtforms.validators import ValidationError

from setup_rules.types.limits import MOST_RATES
from webapp.ground.fields.number_text import NumberText, NumberTextError, read_number
from webapp.ground.fields.spring_rate import SpringRateField
from webapp.ground.text.i18n import gettext as _

#: Longer than any list of rates; what is longer is not looked at.
_LONGEST: Final = 400
#: Between two rates: a semicolon, a line, or a comma or space before the next number.
_BETWEEN = re.compile(r"\s*[;\n]\s*|,?\s+(?=[0-9.+\-−])")


class RatesField(SpringRateField):
    """Rates of the springs that are to be had. `data` is a tuple in N/mm, or None where nothing was typed."""

    data: Any
    #: A list of rates is long: its input is as wide as the page, without a unit beside it.
    is_long = True

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002 WTForms hands it in
        """Read the text into `data` (raises `ValidationError` with one sentence)."""
        self.data = None
        text = self.text.strip().rstrip(",;")
        if not text:
            return
        parts = [part for part in _BETWEEN.split(text) if part] if len(text) <= _LONGEST else []
        if not 0 < len(parts) <= MOST_RATES:
            message = _("%(label)s: enter at most %(most)d spring rates.", label=self.subject, most=MOST_RATES)
            raise ValidationError(message)
        try:
            typed = [read_number(part) for part in parts]
        except NumberTextError as error:
            raise ValidationError(self._fault_sentence(error.fault)) from None
        own = self._unit_of(typed[-1])  # a unit at the end counts for every number that has none
        last = typed[-1].unit
        self.data = tuple(
            self._in_limits(NumberText(one.value, one.unit or last), self._unit_of(one) if one.unit else own)
            for one in typed
        )

    def _in_limits(self, typed: NumberText, key: str) -> float | int:
        # A rate of 1.234 N/mm is no thousand: nothing is asked.
        return super()._in_limits(NumberText(typed.value, typed.unit), key)
