"""Sentences of the rules with their pressures in the unit of the reader's device, the psi of the rules beside it.

The rules write psi into their sentences, as those are stored. Somebody whose pump reads bar is not to convert them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Final

from setup_rules.messages.message import Message, Value
from setup_rules.messages.rounding import gauge_psi_below
from setup_rules.types.units import PSI_PA, to_base
from webapp.ground.device_units import device_units
from webapp.ground.text import numbers
from webapp.ground.text.own_units import pressure_number
from webapp.ground.text.sentences import fill_in, say, template_for

#: One pressure, or two of them with a word or a dash between: "{psi} psi", "{low} to {high} psi".
_PRESSURES: Final = re.compile(r"\{(\w+)\}(?:([^{}\d]{1,6})\{(\w+)\})? psi\b")

#: The fields that may hold the maximum itself.
_LIMITS: Final = ("limit", "high")
#: Two pressures this near are one: a limit that went through psi and back is a hair above itself.
_ALIKE: Final = 1 + 1e-6


def say_in_own_units(message: Message | str, most_pa: float = math.inf) -> str:
    """Return what `say` returns, its pressures in the device's unit: none rounded above `most_pa` [Pa, gauge].

    Examples
    --------
    >>> say_in_own_units(Message.of("caution.maximum_assumed.fork", limit=120))[:57]
    'The maximum pressure of the fork was not entered. 120 psi'
    """
    if isinstance(message, str) or device_units().pressure == "psi":
        return say(message)
    return fill_pressures(template_for(message), message.values, most_pa)


def fill_pressures(template: str, values: Mapping[str, Value], most_pa: float = math.inf) -> str:
    """Return a template of the reader's language filled, its pressures in the device's unit and in psi."""
    if device_units().pressure == "psi":
        return fill_in(template, values)
    limit_pa = _pascals(values.get("limit", math.inf))
    # A sentence has the limit in whole psi; where that is the maximum, the maximum itself is what it reads as.
    most = most_pa if 0 <= most_pa - limit_pa < PSI_PA else min(most_pa, limit_pa)
    # What is to be set was held at the whole psi below the maximum, and reads as it does in the large numbers.
    whole = _pascals(gauge_psi_below(most / PSI_PA)) if math.isfinite(most) else most

    def with_own(found: re.Match[str]) -> str:
        fields = [name for name in (found[1], found[3]) if name]
        if not all(isinstance(values.get(name), int | float) for name in fields):
            return found[0]
        shown = [_own(values[name], most if name in _LIMITS else whole) for name in fields]
        return f"{(found[2] or '').join(shown)} {device_units().pressure_symbol} ({found[0]})"

    return fill_in(_PRESSURES.sub(with_own, template), values)


def _own(psi: Value, most_pa: float) -> str:
    """Return a pressure in the device's unit: what is within the maximum is not rounded above it."""
    pressure_pa = _pascals(psi)
    if not math.isfinite(pressure_pa):
        return numbers.DASH
    return pressure_number(pressure_pa, most_pa if pressure_pa <= most_pa * _ALIKE else math.inf)


def _pascals(psi: Value) -> float:
    return to_base("pressure", float(psi), "psi") if isinstance(psi, int | float) else math.inf
