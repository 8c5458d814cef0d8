"""What a manual says for a service, one line each: torques, oils by place, and intervals."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from setup_rules.types.limits import Limit, limit_of
from webapp.ground.fields.plain_number import plain_number
from webapp.ground.text.free_text import text_problem
from webapp.ground.text.i18n import gettext as _

MOST_LINES: Final = 12
LINE_LENGTH: Final = 80
#: Where lubricant goes. What is in the air chamber takes room from the air.
PLACES: Final = ("air", "left", "right", "damper", "other")
#: Kinds of service with an interval of their own.
SERVICES: Final = ("lower_legs", "air_spring", "damper", "full")
_TORQUE: Final = re.compile(r"(.+?)\s+([\d.,]+)\s*(?:-|–|to)\s*([\d.,]+)\s*(nm|n·m|lbfin|lbf·in|lbfft|lbf·ft)", re.I)
_MONTHS: Final = (1, 120)


@dataclass(frozen=True, slots=True)
class UnitTorque:
    """The manual's torque range of one fastener, in the manual's own unit."""

    part: str
    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True)
class UnitOil:
    """How much of what goes where [cm³]."""

    place: str
    amount_cm3: float
    what: str


@dataclass(frozen=True, slots=True)
class UnitInterval:
    """When a kind of service is due: riding hours, months, or whichever comes first; 0 is not given."""

    service: str
    hours: int
    months: int


def read_torque(line: str) -> UnitTorque:
    """Return the torque in a line such as `top cap 25-30 nm` (raises `ValueError` with a sentence)."""
    found = _TORQUE.fullmatch(line.strip())
    if not found:
        raise ValueError(_("“%(line)s” is not a torque such as: top cap 25-30 nm.", line=line[:40]))
    low, high = _within(found[2], limit_of("torque_nm")), _within(found[3], limit_of("torque_nm"))
    if low > high:
        raise ValueError(_("“%(line)s”: the range is turned round.", line=line[:40]))
    return UnitTorque(found[1].strip(" :"), low, high, found[4].lower().replace("·", ""))


def read_oil(line: str) -> UnitOil:
    """Return the oil in a line such as `left 10 fork oil` (raises `ValueError` with a sentence)."""
    place, _space, rest = line.strip().partition(" ")
    amount, _space, what = rest.strip().partition(" ")
    if place.lower() not in PLACES or not what.strip():
        message = _("“%(line)s” is not an amount such as: left 10 fork oil. First word: %(places)s.")
        raise ValueError(message % {"line": line[:40], "places": ", ".join(PLACES)})
    return UnitOil(place.lower(), _within(amount, limit_of("lubricant_cm3")), what.strip())


def read_interval(line: str) -> UnitInterval:
    """Return the interval in a line such as `full 200 h 12 months` (raises `ValueError` with a sentence)."""
    words = line.lower().replace("months", "mo").replace("month", "mo").split()
    numbers = dict(zip(words[2::2], words[1::2], strict=False))
    if len(words) not in (3, 5) or words[0] not in SERVICES or not set(numbers) <= {"h", "mo"}:
        message = _("“%(line)s” is not an interval such as: full 200 h 12 months. First word: %(kinds)s.")
        raise ValueError(message % {"line": line[:40], "kinds": ", ".join(SERVICES)})
    hours = round(_within(numbers["h"], limit_of("service_hours"))) if "h" in numbers else 0
    months = round(float(plain_number(numbers.get("mo", "0"))))
    if "mo" in numbers and not _MONTHS[0] <= months <= _MONTHS[1]:
        raise ValueError(_("Enter from %(low)d to %(high)d months.", low=_MONTHS[0], high=_MONTHS[1]))
    return UnitInterval(words[0], hours, months)


#: How each list of lines of a suspension unit is read.
READERS: Final[dict[str, Callable[[str], UnitTorque | UnitOil | UnitInterval]]] = {
    "torques": read_torque,
    "oils": read_oil,
    "intervals": read_interval,
}


def read_lines(raw: object, key: str) -> tuple[str, ...]:
    """Return the lines of one list, each of which can be read (raises `ValueError` with a sentence)."""
    if not isinstance(raw, list | tuple) or not all(isinstance(line, str) for line in raw):
        raise ValueError(_("Enter a list of texts."))
    lines = tuple(" ".join(line.split()) for line in raw if line.strip())
    if len(lines) > MOST_LINES:
        raise ValueError(_("Enter at most %(most)d lines.", most=MOST_LINES))
    for line in lines:
        if problem := text_problem(line, LINE_LENGTH):
            raise ValueError(problem)
        READERS[key](line)
    return lines


def split_lines(text: str) -> list[str]:
    """Return the lines in one cell or box, parted by bars or line breaks."""
    return [part.strip() for part in re.split(r"[|\n]", text) if part.strip()]


def join_lines(lines: tuple[str, ...] | list[str]) -> str:
    """Return lines as one cell or box."""
    return " | ".join(lines)


def _within(text: str, limit: Limit) -> float:
    value = float(plain_number(text))
    if not limit.holds(value):
        raise ValueError(limit.refusal(value))
    return value
