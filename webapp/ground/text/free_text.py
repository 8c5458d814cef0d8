"""The two free texts of a setup, their bounds and what is refused in them; numbers as exact text."""

from __future__ import annotations

import unicodedata
from typing import Final

from webapp.ground.text.i18n import gettext as _

#: Longest texts that still fit their place on an A6 card.
BIKE_LABEL_LENGTH: Final = 60
SERVICE_NOTE_LENGTH: Final = 200

# Invisible marks that turn the reading direction round could make a card say something else than was typed.
_DIRECTION_MARKS: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_REFUSED_CATEGORIES: Final = frozenset({"Cc", "Cs", "Cn", "Co", "Zl", "Zp"})


def text_problem(text: str, length: int) -> str | None:
    """Return what is wrong with a one-line `text` of at most `length` characters, or None."""
    if any(c in _DIRECTION_MARKS or unicodedata.category(c) in _REFUSED_CATEGORIES for c in text):
        return _("Use letters, digits and signs on one line. Control characters are not allowed.")
    if len(text) > length:
        return _("Use at most %(length)d characters. This text has %(found)d.", length=length, found=len(text))
    return None


def search_text(text: str) -> str:
    """Return what is looked for where `text` was typed: at most 200 characters, none that no stored text can have.

    PostgreSQL refuses to compare with a zero byte.

    Examples
    --------
    >>> search_text(" Heron\\0 4 ")
    'Heron 4'
    """
    return "".join(c for c in text if unicodedata.category(c) not in _REFUSED_CATEGORIES).strip()[:200]


def exact_number(value: float) -> str:
    """Return the shortest text that our own readers take back as the same number: ungrouped, without an exponent.

    Examples
    --------
    >>> exact_number(140.0), exact_number(0.1), exact_number(80.125)
    ('140', '0.1', '80.1250')
    """
    if value == int(value):
        return str(int(value))
    text = repr(float(value))
    # Three decimals behind a point could have been meant as thousands; one more zero says that they were not.
    return f"{text}0" if len(text.partition(".")[2]) == 3 else text
