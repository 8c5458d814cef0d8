"""One text input for one quantity: the typed unit wins over the form's choice, the limits are the rules' own."""

from __future__ import annotations

import math
import re
from typing import Any, Final

from wtforms import Field
from wtforms.validators import ValidationError

from setup_rules.types.errors import UnknownUnitError
from setup_rules.types.limits import Limit, limit_of
from setup_rules.types.units import UNITS, convert, unit
from webapp.ground.device_units import CHOICES
from webapp.ground.fields.compound_text import read_fraction, read_shock_size, read_weight
from webapp.ground.fields.number_text import Fault, NumberText, NumberTextError, read_number
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say

#: The units that a form lets people choose for each kind, the first one chosen at the start.
CHOSEN_UNITS: Final = CHOICES

#: The same with the symbols shown: (key, symbol) by kind.
CHOSEN_SYMBOLS: Final[dict[str, list[tuple[str, str]]]] = {
    kind: [(key, unit(kind, key).symbol) for key in keys] for kind, keys in CHOSEN_UNITS.items()
}

#: The unit that is printed on many springs, and typed without saying so.
POUNDS_PER_INCH: Final = "lbf_per_in"
#: Rider weights of few people, by the unit that was chosen and not typed, and the unit that may have been meant [the
#: unit itself]: 125 kg and more, 100 lb and less. Our estimate; whoever has that weight answers with one press.
_SELDOM: Final = {"kg": ("lb", 125.0, math.inf), "lb": ("kg", 0.0, 100.0)}
#: The kinds of quantities whose bare numbers are asked about where only another unit can be meant.
_ASKED: Final = ("length", "pressure")
_LEADING_NUMBER = re.compile(r"[0-9.,]+")


def limit_unit(limit: Limit) -> str:
    """Return the key of the unit that `limit` is stated in, "" where the quantity has none."""
    return unit(limit.kind, limit.unit).key if limit.unit else ""


def range_sentence(label: str, limit: Limit, value: float, key: str) -> str:
    """Return the refusal of `value`, all numbers in the unit `key` that the person used."""
    own = limit_unit(limit)
    bounds = (limit.low, limit.high)
    if key != own:
        low, high = sorted(convert(limit.kind, bound, own, key) for bound in bounds)
        bounds = (_inward(low, math.ceil), _inward(high, math.floor))
    symbol = unit(limit.kind, key).symbol if key else ""
    return _(
        "%(label)s: %(value)s is outside %(low)s to %(high)s. %(reason)s Check the number and its unit.",
        label=label,
        value=f"{numbers.general(value)} {symbol}".rstrip(),
        low=numbers.general(bounds[0]),
        high=f"{numbers.general(bounds[1])} {symbol}".rstrip(),
        reason=say(limit.reason),
    )


def _inward(bound: float, towards: Any) -> float:
    """Round a converted bound to three figures into the allowed range, so that the bound shown is accepted."""
    places = 2 - math.floor(math.log10(abs(bound))) if bound else 0
    return float(towards(round(bound * 10**places, 6)) / 10**places)


class QuantityField(Field):  # type: ignore[misc]
    """A number with a unit. `data` is in the unit of its limit, or None where nothing was typed or it is wrong.

    `text` is what was typed and stays. `unit_key` is the unit of a number typed without one, `whose` tells fields
    of one label apart, `may_wait` says that the form as a whole can be sent without it; the form sets these.
    `takes_size` lets a shock's size stand for its stroke.
    """

    may_wait = False

    def __init__(
        self,
        limit_name: str,
        label: Any,
        *,
        hint: Any = "",
        required: bool = False,
        takes_size: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(label, **kwargs)
        self.limit = limit_of(limit_name)
        self.kind = self.limit.kind
        self.takes_size = takes_size
        self.is_rider = limit_name == "rider_mass_kg"
        #: What may have been meant, as texts that the same field takes; each is one button.
        self.answers: list[str] = []
        self.hint = hint
        self.required = required
        self.own_unit = limit_unit(self.limit)
        self.unit_key = CHOSEN_UNITS.get(self.kind, (self.own_unit,))[0]
        self.unit_symbols = CHOSEN_SYMBOLS.get(self.kind) or (
            [(self.own_unit, self.limit.unit)] if self.own_unit else []
        )
        self.whose = ""
        self.text = ""

    @property
    def subject(self) -> str:
        """What a sentence about this field calls it: its label, and whose it is where several share a label."""
        return f"{self.label.text} ({self.whose})" if self.whose else str(self.label.text)

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Keep what was typed; it is read when the form is validated, once the chosen unit is known."""
        if valuelist:  # a pressed answer to a question comes after what was typed
            self.text = str(valuelist[-1])

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002 WTForms hands it in
        """Read the text into `data`.

        Raises
        ------
        ValidationError
            With one sentence that names the field, what is wrong and what to do.
        """
        self.data = None
        if not self.text or self.text.isspace():
            if self.required:
                raise ValidationError(_("%(label)s is required. Enter a number.", label=self.subject))
            return
        try:
            typed = self._read_compound() or read_number(self.text)
        except NumberTextError as error:
            raise ValidationError(self._fault_sentence(error.fault)) from None
        key = self._unit_of(typed)
        self._ask_for_unit(typed, key)
        self.data = self._in_limits(typed, key)

    def _read_compound(self) -> NumberText | None:
        """Return what is written in two parts, where this field knows such."""
        if self.kind == "mass":
            return read_weight(self.text)
        size = read_shock_size(self.text, self.unit_key) if self.takes_size else None
        return size or (read_fraction(self.text) if self.kind == "length" else None)

    def _ask_for_unit(self, typed: NumberText, key: str) -> None:
        """Ask about a rider's weight that few people have in the chosen unit and many in the other one."""
        other, low, high = _SELDOM.get(key, ("", 0.0, 0.0))
        if not self.is_rider or typed.unit or not low <= typed.value <= high:
            return
        fitting = [u for u in (other, key) if self.limit.holds(self._in_own_unit(typed.value, u))]
        if other not in fitting:
            return
        number = numbers.general(typed.value)
        self.answers = [f"{number} {unit('mass', u).symbol}" for u in fitting]
        raise ValidationError(self._unit_question(number, other))

    def _unit_question(self, number: str, other: str) -> str:
        if other == "lb":
            return _("%(label)s: did you mean %(number)s pounds?", label=self.subject, number=number)
        return _("%(label)s: did you mean %(number)s kilograms?", label=self.subject, number=number)

    def _unit_of(self, typed: NumberText) -> str:
        if not typed.unit:
            return self.unit_key
        try:
            return unit(self.kind, typed.unit.strip().lower()).key
        except UnknownUnitError:
            raise ValidationError(self._unit_sentence(typed.unit)) from None

    def _in_limits(self, typed: NumberText, key: str) -> float | int:
        value = self._in_own_unit(typed.value, key)
        if not self.limit.holds(value):
            asked = self._other_unit_sentence(typed, key) or self._ask_for_fitting_unit(typed, key)
            raise ValidationError(asked or range_sentence(self.subject, self.limit, typed.value, key))
        if typed.may_be_thousands and self.limit.holds(self._in_own_unit(typed.value * 1000, key)):
            raise ValidationError(self._fault_sentence(Fault.THOUSANDS))
        if not self.limit.whole:
            return value
        if value != int(value):
            message = _(
                "%(label)s: %(value)s is not a whole number. Enter a whole number.",
                label=self.subject,
                value=numbers.general(value),
            )
            raise ValidationError(message)
        return int(value)

    def _other_unit_sentence(self, typed: NumberText, key: str) -> str:
        """Return the question whether a bare spring rate is in pounds an inch, as many springs are printed."""
        if self.kind != "rate" or typed.unit or key != self.own_unit:
            return ""
        meant = self._in_own_unit(typed.value, POUNDS_PER_INCH)
        if not self.limit.holds(meant):
            return ""
        return _(
            "%(label)s: %(value)s N/mm is more than any spring has. Did you mean lb/in? Then write so: "
            "%(value)s lb/in is %(meant)s N/mm.",
            label=self.subject,
            value=numbers.general(typed.value),
            meant=numbers.rate(1000 * meant),
        )

    def _ask_for_fitting_unit(self, typed: NumberText, key: str) -> str:
        """Return the question whether a bare length or pressure that cannot be was meant in another unit; "" if none.

        A fork of 150 inches is 150 mm to everybody who reads it.
        """
        if self.kind not in _ASKED or typed.unit:
            return ""
        others = (u for u in CHOICES[self.kind] if u != key)
        meant = next((u for u in others if self.limit.holds(self._in_own_unit(typed.value, u))), None)
        if meant is None:
            return ""
        answer = f"{numbers.general(typed.value)} {unit(self.kind, meant).symbol}"
        self.answers = [answer]
        return _("%(label)s: did you mean %(answer)s?", label=self.subject, answer=answer)

    def _in_own_unit(self, value: float, key: str) -> float:
        # Rounded far below any gauge, so that 140 °F is the 60 °C of the bound and not 60.000000000000007.
        return value if key == self.own_unit else round(convert(self.kind, value, key, self.own_unit), 9)

    def _unit_sentence(self, typed_unit: str) -> str:
        known = [u.symbol for u in UNITS[self.kind] if u.key != "pa"]
        values = {"label": self.subject, "unit": typed_unit, "known": _one_of(known)}
        if not known:
            return _("%(label)s: “%(unit)s” cannot be used here. Enter only the number.", **values)
        return _("%(label)s: “%(unit)s” is the wrong unit. Use %(known)s, or enter only the number.", **values)

    def _fault_sentence(self, fault: Fault) -> str:
        shown = " ".join(self.text.split())[:20]
        digits = _LEADING_NUMBER.match(shown)
        number = digits[0].replace(",", ".") if digits else ""
        return _fault_message(
            fault,
            label=self.subject,
            shown=shown,
            count=len(self.text),
            whole=number.replace(".", ""),
            decimal=number[:-1],
        )


def _fault_message(fault: Fault, **values: Any) -> str:
    messages = {
        Fault.TOO_LONG: _("%(label)s: %(count)d characters are too many for a number. Write it like 82 or 82.5."),
        Fault.INVISIBLE: _("%(label)s contains an invisible character. Clear the field and type the number again."),
        Fault.OTHER_DIGITS: _("%(label)s: “%(shown)s” cannot be used here. Use the digits 0 to 9, like 82 or 82.5."),
        Fault.EXPONENT: _("%(label)s: “%(shown)s” is not a plain number. Write it like 82 or 82.5."),
        Fault.THOUSANDS: _("%(label)s: “%(shown)s” can mean two numbers. Write %(whole)s or %(decimal)s."),
        Fault.NOT_A_NUMBER: _("%(label)s: “%(shown)s” is not a number. Write it like 82 or 82.5."),
    }
    return messages[fault] % values


def _one_of(symbols: list[str]) -> str:
    if len(symbols) < 2:
        return "".join(symbols)
    return _("%(some)s or %(last)s", some=", ".join(symbols[:-1]), last=symbols[-1])
