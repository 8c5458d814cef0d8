"""Numbers that people write in two parts: stones and pounds, halves as fractions, and the size of a shock.

Pure text work in linear time on a bounded text, like `read_number`, which reads everything else.
"""

from __future__ import annotations

import re
from typing import Final

from setup_rules.types.units import convert
from webapp.ground.fields.number_text import MAX_LENGTH, NumberText

#: One stone in pounds, exactly.
STONE_LB: Final = 14
_FRACTIONS: Final = {"¼": 0.25, "½": 0.5, "¾": 0.75, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875}
_STONES = re.compile(
    r"(?P<stones>[0-9]{1,3}) ?(?:st|stones?) ?,? ?(?P<pounds>[0-9]{1,3}(?:[.,][0-9]{1,3})?) ?(?:lbs?|pounds?)?",
    re.IGNORECASE,
)
_FRACTION = re.compile(
    r"(?:(?P<whole>[0-9]{1,4})(?: |-|(?=[¼½¾⅛⅜⅝⅞])))?"
    r"(?:(?P<sign>[¼½¾⅛⅜⅝⅞])|(?P<above>[1-9][0-9]?)/(?P<below>[1-9][0-9]?))"
    r"(?: ?(?P<unit>[A-Za-z]{1,10}|[\"″]))?"
)
_SIZE = re.compile(
    r"(?P<eye>[0-9]{1,4}(?:[.,][0-9]{1,3})?) ?(?P<eye_unit>mm|in|\")? ?[x×✕*] ?"
    r"(?P<stroke>[0-9]{1,3}(?:[.,][0-9]{1,3})?) ?(?P<unit>mm|in|\")?",
    re.IGNORECASE,
)
#: Eye-to-eye lengths of shocks [mm]; common practice, no source. A pair outside it is some other pair.
_EYE_TO_EYE_MM: Final = (90.0, 320.0)


def read_weight(text: str) -> NumberText | None:
    """Return a weight in stones and pounds as pounds, or one with a fraction; None for any other text.

    Examples
    --------
    >>> read_weight("12 st 7"), read_weight("12st 7lb").value
    (NumberText(value=175.0, unit='lb', may_be_thousands=False), 175.0)
    >>> read_weight("11½ st"), read_weight("12 st")
    (NumberText(value=11.5, unit='st', may_be_thousands=False), None)
    """
    plain = _plain(text)
    if found := _STONES.fullmatch(plain):
        pounds = _number(found["pounds"])
        return NumberText(STONE_LB * float(found["stones"]) + pounds, "lb") if pounds < STONE_LB else None
    return read_fraction(text)


def read_fraction(text: str) -> NumberText | None:
    """Return a number with a fraction, as inches of a tape or stones are read; None for any other text.

    Examples
    --------
    >>> read_fraction('1 3/8 in'), read_fraction('5/8"').value, read_fraction("1⅜").value, read_fraction("3/2")
    (NumberText(value=1.375, unit='in', may_be_thousands=False), 0.625, 1.375, None)
    """
    if (found := _FRACTION.fullmatch(_plain(text))) is None:
        return None
    part = _FRACTIONS[found["sign"]] if found["sign"] else int(found["above"]) / int(found["below"])
    return NumberText(float(found["whole"] or 0) + part, found["unit"] or "") if part < 1 else None


def read_shock_size(text: str, unit_key: str = "mm") -> NumberText | None:
    """Return the stroke of a shock's size, eye-to-eye × stroke; None for any other text.

    A pair without a unit is in `unit_key`, or in inches or millimetres where only that can be a shock.

    Examples
    --------
    >>> read_shock_size("210 × 55").value, read_shock_size("7.875x2.0")
    (55.0, NumberText(value=2.0, unit='in', may_be_thousands=False))
    >>> read_shock_size("55 x 210") is None
    True
    """
    found = _SIZE.fullmatch(_plain(text))
    if found is None:
        return None
    eye, stroke = _number(found["eye"]), _number(found["stroke"])
    typed = (found["unit"] or found["eye_unit"] or "").lower().replace('"', "in")
    units = [typed] if typed else [unit_key, *({"mm", "in"} - {unit_key})]
    for key in units:
        low, high = _EYE_TO_EYE_MM
        if low <= convert("length", eye, key, "mm") <= high and 2 * stroke < eye:
            return NumberText(stroke, key)
    return None


def _plain(text: str) -> str:
    """Return the text with single spaces, or nothing where it is too long to be looked at."""
    return " ".join(text.split()) if len(text) <= MAX_LENGTH else ""


def _number(text: str) -> float:
    return float(text.replace(",", "."))
