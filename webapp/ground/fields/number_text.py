"""One number as a person types it, perhaps with its unit: read it, or say in one word why it cannot be read.

Pure text work in linear time: the length is bounded first and no part of the pattern can match what its
neighbour matches, so that no text makes it go back and forth.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from typing import Final

#: Longer than any number with its unit; what is longer is not looked at.
MAX_LENGTH: Final = 40

_NUMBER = re.compile(
    r"(?P<sign>[+\-−]?)"
    r"(?P<whole>[0-9]{0,12})"
    r"(?:(?P<mark>[.,])(?P<part>[0-9]{0,12}))?"
    r"\s{0,3}"
    r"(?P<unit>(?:[^\W\d_]|[°%\"'″′]).{0,20})?"
)
_EXPONENT = re.compile(r"[eE][+\-−]?[0-9]")


class Fault(Enum):
    """Why a text is not read as a number."""

    TOO_LONG = "too long"
    INVISIBLE = "invisible character"
    OTHER_DIGITS = "digits of another script"
    EXPONENT = "power of ten"
    THOUSANDS = "comma that may group thousands"
    NOT_A_NUMBER = "not a number"


class NumberTextError(ValueError):
    """A text that is not read as a number; `fault` says why."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.value)
        self.fault = fault


@dataclass(frozen=True, slots=True)
class NumberText:
    """A number as typed: its value, the unit's text ("" if none), and whether "1.234" may have meant 1234."""

    value: float
    unit: str = ""
    may_be_thousands: bool = False


def read_number(text: str) -> NumberText:
    """Return the number in `text`, comma or point as the decimal sign, with the text of a unit behind it.

    Raises
    ------
    NumberTextError
        When the text is not one plain number with at most one unit, or when it can be read in two ways.

    Examples
    --------
    >>> read_number(" 12,5 st ")
    NumberText(value=12.5, unit='st', may_be_thousands=False)
    """
    stripped = text.strip() if len(text) <= 4 * MAX_LENGTH else text
    if len(stripped) > MAX_LENGTH:
        raise NumberTextError(Fault.TOO_LONG)
    found = _NUMBER.fullmatch(stripped)
    if found is None or not (found["whole"] or found["part"]):
        raise NumberTextError(_fault_of(stripped))
    unit = found["unit"] or ""
    if unit and _EXPONENT.match(unit):
        raise NumberTextError(Fault.EXPONENT)
    grouped = _could_be_grouped(found["whole"], found["part"])
    if grouped and found["mark"] == ",":
        raise NumberTextError(Fault.THOUSANDS)
    value = float(f"{found['whole'] or 0}.{found['part'] or 0}")
    negative = found["sign"] not in ("", "+") and value != 0.0
    return NumberText(-value if negative else value, unit, grouped)


def _could_be_grouped(whole: str, part: str | None) -> bool:
    """Return whether a decimal sign stands where a thousands sign would: 1,234 but neither 0,125 nor 1234,567."""
    return part is not None and len(part) == 3 and 1 <= len(whole) <= 3 and whole[0] != "0"


def _fault_of(text: str) -> Fault:
    if any(not (c.isprintable() or c.isspace()) or c in "\x1c\x1d\x1e\x1f" for c in text):
        return Fault.INVISIBLE
    if any(c.isdecimal() and not c.isascii() for c in text):
        return Fault.OTHER_DIGITS
    return Fault.NOT_A_NUMBER
