"""Quantities in the units of the reader's device: pressures with the other unit beside, sag, temperature, altitude."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from setup_rules.messages import rounding
from setup_rules.types.units import convert
from webapp.ground.device_units import device_units
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _


@dataclass(frozen=True, slots=True)
class Shown:
    """A quantity in the device's unit, and in another one for a pump or ruler of the other kind, with its unit.

    `number` is the quantity as a number: of a pressure that of `value`, so that differences are those of what is shown.
    """

    value: str
    unit: str
    second: str
    number: float

    @property
    def short(self) -> str:
        """The quantity with its unit."""
        return f"{self.value} {self.unit}"


def _psi_range(low_pa: float, high_pa: float, most_pa: float) -> str:  # noqa: ARG001 likewise
    return numbers.psi_range(low_pa, high_pa)


_ONE: Final[dict[str, tuple[str, Callable[[float, float], str]]]] = {
    "psi": ("psi", numbers.psi),
    "bar": ("bar", numbers.bar),
    "kpa": ("kPa", numbers.kpa),
}
_RANGES: Final[dict[str, Callable[[float, float, float], str]]] = {
    "psi": _psi_range,
    "bar": numbers.bar_range,
    "kpa": numbers.kpa_range,
}


def _units() -> tuple[str, str]:
    first = device_units().pressure
    return first, "bar" if first == "psi" else "psi"


def pressure_text(pressure_pa: float, most_pa: float = math.inf) -> Shown:
    """Return a gauge pressure [Pa] in both units, rounded above no maximum `most_pa` [Pa]."""
    (unit, say), (other, say_other) = (_ONE[key] for key in _units())
    value = say(pressure_pa, most_pa)
    return Shown(value, unit, f"{say_other(pressure_pa, most_pa)} {other}", float(value.replace(",", ".")))


def pressure_number(pressure_pa: float, most_pa: float = math.inf) -> str:
    """Return a gauge pressure [Pa] in the device's unit, without it, rounded above no maximum `most_pa` [Pa]."""
    return _ONE[device_units().pressure][1](pressure_pa, most_pa)


def pressure_words(pressure_pa: float, most_pa: float = math.inf) -> str:
    """Return a gauge pressure [Pa] in both units, for the pump of either kind.

    Examples
    --------
    >>> pressure_words(633_000.0)
    '92 psi (6.3 bar)'
    """
    text = pressure_text(pressure_pa, most_pa)
    return f"{text.short} ({text.second})"


def pressure_ranges(low_pa: float, high_pa: float, most_pa: float = math.inf) -> tuple[str, str]:
    """Return a range of gauge pressures [Pa] in the device's unit and in the other one, each with its unit."""
    first, second = (_RANGES[key](low_pa, high_pa, most_pa) for key in _units())
    return first, second


def length_text(length_mm: float) -> Shown:
    """Return a length that is measured [mm] in the device's unit; in inches the millimetres stand beside it."""
    if device_units().length == "mm":
        return Shown(numbers.halves(length_mm), "mm", "", length_mm)
    return Shown(numbers.number(length_mm / 25.4, 2), "in", f"{numbers.halves(length_mm)} mm", length_mm / 25.4)


def length_words(length_mm: float) -> str:
    """Return a length that is measured [mm] with its unit; in inches the millimetres stand beside it.

    Examples
    --------
    >>> length_words(33.8)
    '34 mm'
    """
    shown = length_text(length_mm)
    return f"{shown.short} ({shown.second})" if shown.second else shown.short


def sag_words(sag_mm: float, share: float) -> str:
    """Return a sag [mm] with its unit and its share of the travel [%].

    Examples
    --------
    >>> sag_words(33.8, 22.5)
    '34 mm (22.5 %)'
    """
    shown = length_text(sag_mm)
    return f"{shown.short} ({', '.join(filter(None, (shown.second, f'{numbers.halves(share)} %')))})"


def length_span(low_mm: float, high_mm: float, dash: str = numbers.DASH) -> str:
    """Return two lengths [mm] as one range with `dash` between, with the unit as in `length_words`.

    Examples
    --------
    >>> length_span(31.0, 37.0), length_span(31.0, 37.0, " to ")
    ('31–37 mm', '31 to 37 mm')
    """
    low, high = length_text(low_mm), length_text(high_mm)
    millimetres = f"{_between(numbers.halves(low_mm), numbers.halves(high_mm), dash)} mm"
    return f"{_between(low.value, high.value, dash)} {high.unit} ({millimetres})" if high.second else millimetres


def _between(low: str, high: str, dash: str) -> str:
    return low if low == high else f"{low}{dash}{high}"


def temperature_words(celsius: float) -> str:
    """Return a temperature [°C] in the device's unit.

    Examples
    --------
    >>> temperature_words(20.0)
    '20 °C'
    """
    if device_units().temperature == "c":
        return _("%(celsius)s °C", celsius=numbers.halves(celsius))
    return _("%(fahrenheit)s °F", fahrenheit=numbers.number(convert("temperature", celsius, "c", "f")))


def altitude_words(altitude_m: float) -> str:
    """Return an altitude [m] in the device's unit."""
    if device_units().altitude == "m":
        return _("%(metres)s m", metres=numbers.number(altitude_m))
    return _("%(feet)s ft", feet=numbers.number(convert("altitude", altitude_m, "m", "ft")))


def air_words(celsius: float, altitude_m: float) -> str:
    """Return temperature [°C] and altitude [m] of a place in the device's units."""
    return f"{temperature_words(celsius)}, {altitude_words(altitude_m)}"


def mass_text(mass_kg: float) -> Shown:
    """Return a mass [kg] in the device's unit, stones as pounds: nobody weighs a bag in stones."""
    if device_units().mass == "kg":
        return Shown(numbers.halves(mass_kg), "kg", "", rounding.halves(mass_kg))
    pounds = rounding.whole(convert("mass", mass_kg, "kg", "lb"))
    return Shown(numbers.general(pounds), "lb", "", pounds)


def mass_words(mass_kg: float) -> str:
    """Return that mass with its unit."""
    return mass_text(mass_kg).short
