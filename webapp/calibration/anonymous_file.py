"""A shop's judged first checks as a file that it can give away, and several such files read back.

A row is one bike: its class, whether the range held, and what pressure it needs over what was expected, so coarse that
many riders share it. There is no weight, pressure, sag, date, link or name in it, and neither is how far the factor may
be off: that follows from the load, and told the weight to half of what was unknown (`test_weight_attack`). Rows are
sorted, so their order says nothing either; a class with few checks is left out.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from setup_rules.inference.calibration import LARGEST_FACTOR
from setup_rules.inference.checked_guess import CheckedGuess
from setup_rules.inference.class_shift import SPRING_CLASSES
from webapp.ground.text.i18n import gettext as _

COLUMNS: Final = ("spring_class", "held", "factor")
FIRST_LINE: Final = "# setup-card calibration 1"
#: The step in which factors are written, and the bounds within which they are written and taken in.
_STEP: Final = 0.05
_BOUNDS: Final = (1.0 / LARGEST_FACTOR, LARGEST_FACTOR)
#: A class with fewer checks than this is left out.
LEAST_CHECKS: Final = 5
#: The longest file that is taken in [bytes] and the most rows of it.
MOST_BYTES: Final = 2_000_000
MOST_ROWS: Final = 50_000


class CalibrationFileError(ValueError):
    """A file is no file of this kind; its text says what to do."""


@dataclass(frozen=True, slots=True)
class AnonymousCheck:
    """One row: a class, whether the range held, and the pressure that this bike needs over our estimate."""

    spring_class: str
    held: bool
    factor: float


def anonymous_checks(judged: Iterable[CheckedGuess]) -> list[AnonymousCheck]:
    """Return what may leave the shop of its judged checks: rounded, sorted, without what was entered or is rare."""
    rows = [AnonymousCheck(one.spring_class, one.held, _coarse(one.factor)) for one in judged if one.of_class]
    count = Counter(row.spring_class for row in rows)
    kept = (row for row in rows if count[row.spring_class] >= LEAST_CHECKS)
    return sorted(kept, key=lambda row: (row.spring_class, row.factor, row.held))


def _coarse(factor: float) -> float:
    low, high = _BOUNDS
    return round(_STEP * round(min(max(factor, low), high) / _STEP), 2)


def write_file(rows: Sequence[AnonymousCheck]) -> str:
    """Return rows as text: what the columns mean, their names, one line a bike."""
    text = io.StringIO()
    text.writelines(f"{line}\n" for line in (FIRST_LINE, *(f"# {line}" for line in _head())))
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow((row.spring_class, "yes" if row.held else "no", f"{row.factor:.2f}"))
    return text.getvalue()


def _head() -> tuple[str, ...]:
    """Return what the file says of itself, one line each."""
    return (
        _("The first sag check of each bike, without weights, pressures, dates, links or names. Rows are sorted."),
        _("spring_class: fork with its stanchion in mm and negative spring, or shock"),
        _("held: whether the sag was inside the 90 % range that was expected at the pressure that was set"),
        _("factor: pressure that this bike needs over the pressure of our estimate, in steps of 0.05"),
        _("Classes with fewer than %(least)d bikes are left out.", least=LEAST_CHECKS),
    )


def read_file(content: bytes) -> list[AnonymousCheck]:
    """Return the rows of a file.

    Raises
    ------
    CalibrationFileError
        When it is too long, no such file, or a row of it is not as `write_file` writes it.
    """
    if len(content) > MOST_BYTES:
        raise CalibrationFileError(_("The file is too large: at most %(most)d MB.", most=MOST_BYTES // 1_000_000))
    try:
        lines = content.decode("utf-8").splitlines()
    except UnicodeDecodeError:
        lines = []
    if not lines or lines[0].strip() != FIRST_LINE:
        raise CalibrationFileError(_("This is not a file of “setup-card calibration”."))
    numbered = [(number, line) for number, line in enumerate(lines, 1) if line.strip() and not line.startswith("#")]
    if not numbered or tuple(numbered[0][1].split(",")) != COLUMNS or len(numbered) > MOST_ROWS + 1:
        raise CalibrationFileError(_("The columns have to be %(columns)s.", columns=", ".join(COLUMNS)))
    return [_read_row(number, line) for number, line in numbered[1:]]


def _read_row(number: int, line: str) -> AnonymousCheck:
    values = dict(zip(COLUMNS, line.split(","), strict=False))
    try:
        name, held = values["spring_class"], {"yes": True, "no": False}[values["held"]]
        factor = _read_factor(values["factor"])
        if name not in SPRING_CLASSES or line.count(",") != len(COLUMNS) - 1:
            raise ValueError(name)
    except (KeyError, ValueError):
        raise CalibrationFileError(_("Line %(number)d cannot be read.", number=number)) from None
    return AnonymousCheck(name, held, factor)


def _read_factor(text: str) -> float:
    value, (low, high) = float(text), _BOUNDS
    if not low <= value <= high:  # false for a NaN
        raise ValueError(text)
    return value
