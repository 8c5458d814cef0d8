"""Whole numbers in addresses and hidden fields: plain digits, few of them, or no number at all.

Whatever is sent there, nothing raises: Python refuses to convert thousands of digits, and SQLite takes 64 bits.
"""

from __future__ import annotations

import re
from typing import Final

from flask import Flask
from werkzeug.routing import IntegerConverter, ValidationError

#: The most digits that are read: far more revisions, pages and rows than there can be.
DIGITS: Final = 9
_WHOLE: Final = re.compile(rf"0|[1-9][0-9]{{0,{DIGITS - 1}}}", re.ASCII)
#: The most digits of a number in a path; 18 of them fit into 64 bits.
_PATH_DIGITS: Final = 18


def read_whole_number(text: str | None, low: int = 1) -> int | None:
    """Return the whole number that `text` is, None where it is no plain number from `low` to 999,999,999.

    Examples
    --------
    >>> read_whole_number("12"), read_whole_number("0"), read_whole_number("0", low=0), read_whole_number("9" * 5000)
    (12, None, 0, None)
    """
    if text is None or not _WHOLE.fullmatch(text):
        return None
    number = int(text)
    return number if number >= low else None


class PathNumber(IntegerConverter):
    """A whole number in a path; a longer one than any row can have is a page that does not exist."""

    regex = "[0-9]+"  # the converter's own takes the digits of every script

    def to_python(self, value: str) -> int:
        """Return the number.

        Raises
        ------
        werkzeug.routing.ValidationError
            When it has too many digits.
        """
        if len(value) > _PATH_DIGITS:
            raise ValidationError
        return int(super().to_python(value))


def install(app: Flask) -> None:
    """Bound the numbers in the paths of `app`; views are registered after this."""
    app.url_map.converters["int"] = PathNumber
