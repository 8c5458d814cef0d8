"""The closed list of units that people may use, and their factors as pint gives them.

User text never reaches pint's parser: a unit is looked up here by its spelling, and only the names in this
file are handed to pint, once. Base units are those of the interface: kg, Pa, mm, °C, m, N*m, cm³, g.
"""

from __future__ import annotations

import functools
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from setup_rules.types.errors import UnknownUnitError

if TYPE_CHECKING:
    import pint

_making = threading.Lock()


def registry() -> pint.UnitRegistry[float]:
    """Return the one unit registry, made when it is first needed: reading its definitions takes a fifth of a second."""
    with _making:  # two threads must not make one each: quantities of two registries do not mix
        return _registry()


@functools.cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()


def Quantity(magnitude: Any, unit_name: str) -> Any:  # noqa: N802 (it stands for pint's class)
    """Return a quantity of the one registry; `unit_name` is a name of this project's, never text that a user typed."""
    return registry().Quantity(magnitude, unit_name)


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit people write: its key, the name pint knows, the symbol shown, and other accepted spellings."""

    key: str
    pint_name: str
    symbol: str
    spellings: tuple[str, ...] = ()


UNITS: Final[dict[str, tuple[Unit, ...]]] = {
    "mass": (
        Unit("kg", "kilogram", "kg", ("kgs", "kilo", "kilos", "kilogram", "kilograms")),
        Unit("lb", "pound", "lb", ("lbs", "pound", "pounds")),
        Unit("st", "stone", "st", ("stone", "stones")),
    ),
    "pressure": (
        Unit("pa", "pascal", "Pa", ("pascal",)),
        Unit("psi", "psi", "psi", ("lbf/in2", "lbf/in²")),
        Unit("bar", "bar", "bar", ("bars",)),
        Unit("kpa", "kilopascal", "kPa", ("kilopascal",)),
    ),
    "length": (
        Unit("mm", "millimeter", "mm", ("millimetre", "millimetres", "millimeter", "millimeters")),
        Unit("cm", "centimeter", "cm", ("centimetre", "centimetres", "centimeter", "centimeters")),
        Unit("in", "inch", "in", ('"', "″", "inch", "inches")),
    ),
    "temperature": (
        Unit("c", "degree_Celsius", "°C", ("°c", "degc", "deg c", "celsius")),
        Unit("f", "degree_Fahrenheit", "°F", ("°f", "degf", "deg f", "fahrenheit")),
    ),
    "altitude": (
        Unit("m", "meter", "m", ("metre", "metres", "meter", "meters")),
        Unit("ft", "foot", "ft", ("'", "′", "foot", "feet")),
    ),
    "torque": (
        Unit("nm", "newton*meter", "N·m", ("n·m", "n*m", "n m")),
        Unit("lbfin", "pound_force*inch", "lbf·in", ("in-lb", "in·lb", "lbf in", "in lb", "inlb", "lb-in")),
        Unit("lbfft", "pound_force*foot", "lbf·ft", ("ft-lb", "ft·lb", "lbf ft", "ft lb", "ftlb", "lb-ft")),
    ),
    "volume": (
        Unit("cm3", "centimeter**3", "cm³", ("cm³", "cc", "ml")),
        Unit("in3", "inch**3", "in³", ("in³", "cu in")),
    ),
    "rate": (
        Unit("n_per_mm", "newton/millimeter", "N/mm", ("n/mm",)),
        Unit("lbf_per_in", "pound_force/inch", "lbf/in", ("lbf/in", "lb/in")),
    ),
    "force": (
        Unit("n", "newton", "N", ("newton", "newtons")),
        Unit("kgf", "kilogram_force", "kg", ("kgs", "kgf", "kilo", "kilos", "kilogram", "kilograms")),
        Unit("lbf", "pound_force", "lb", ("lbs", "lbf", "pound", "pounds")),
    ),
    "damping": (Unit("n_s_per_m", "newton*second/meter", "N·s/m", ("ns/m", "n·s/m", "n s/m")),),
    "time": (
        Unit("h", "hour", "h", ("hr", "hrs", "hour", "hours")),
        Unit("min", "minute", "min", ("mins", "minute", "minutes")),
        Unit("d", "day", "d", ("day", "days")),
    ),
    "angle": (Unit("deg", "degree", "°", ("°", "degree", "degrees")),),
    "share": (Unit("percent", "percent", "%", ("%", "per cent")),),
    "ratio": (),
    "count": (),
}


@functools.cache
def unit(kind: str, spelling: str) -> Unit:
    """Return the unit of `kind` that `spelling` (its key, symbol or another accepted spelling, any case) means.

    Raises
    ------
    UnknownUnitError
        When the spelling is not in the closed list of that kind.
    """
    wanted = spelling.strip().lower()
    for candidate in UNITS[kind]:
        if wanted in (candidate.key, candidate.symbol.lower(), *candidate.spellings):
            return candidate
    known = ", ".join(u.symbol for u in UNITS[kind]) or "none"
    raise UnknownUnitError(f"The unit {spelling[:20]!r} is not known for {kind}. Use one of: {known}.")


@functools.cache
def _scale(kind: str, key: str) -> tuple[float, float]:
    """Return (factor, offset) with base value = factor · value + offset, asked of pint once for each unit."""
    base = UNITS[kind][0].pint_name
    name = unit(kind, key).pint_name
    if base == name:
        return 1.0, 0.0
    if kind != "temperature":
        return float(Quantity(1.0, name).to(base).magnitude), 0.0
    at_zero = float(Quantity(0.0, name).to(base).magnitude)
    at_hundred = float(Quantity(100.0, name).to(base).magnitude)
    return (at_hundred - at_zero) / 100.0, at_zero


def to_base(kind: str, value: float, key: str) -> float:
    """Return `value` of the unit `key` in the base unit of `kind` (the first of its list in `UNITS`).

    Examples
    --------
    >>> round(to_base("pressure", 1.0, "psi"), 3)
    6894.757
    >>> round(to_base("temperature", 68.0, "f"), 9)
    20.0
    """
    factor, offset = _scale(kind, key)
    return factor * value + offset


def from_base(kind: str, value: float, key: str) -> float:
    """Return `value`, in the base unit of `kind`, in the unit `key`.

    Examples
    --------
    >>> round(from_base("mass", 100.0, "lb"), 4)
    220.4623
    """
    factor, offset = _scale(kind, key)
    return (value - offset) / factor


def convert(kind: str, value: float, from_key: str, to_key: str) -> float:
    """Return `value` of the unit `from_key` in the unit `to_key`, both of `kind`.

    Examples
    --------
    >>> convert("length", 2.0, "in", "mm")
    50.8
    """
    return from_base(kind, to_base(kind, value, from_key), to_key)


#: One pound-force per square inch in pascals: pound, standard gravity and inch are exact (NIST SP 811).
PSI_PA: Final = 0.453_592_37 * 9.806_65 / 0.0254**2
#: One pound-force per inch in newtons per metre: exact likewise.
LBF_PER_IN_N_PER_M: Final = 0.453_592_37 * 9.806_65 / 0.0254
