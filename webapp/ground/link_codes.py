"""The codes in links: 26 characters of Crockford's base32, 130 random bits, easy to read and type."""

from __future__ import annotations

import re
import secrets
from typing import Final

ALPHABET: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
CODE_LENGTH: Final = 26
#: Longest text that is looked at; a card's whole address is far shorter.
TEXT_LIMIT: Final = 500

_LOOK_ALIKES: Final = str.maketrans("ILO", "110")
_LINK: Final = re.compile(r"/s/([^/?#]+)", re.IGNORECASE)
_SHAPE: Final = re.compile(f"[{ALPHABET}]{{{CODE_LENGTH}}}")


class CodeError(ValueError):
    """A text is not a code and holds none."""


def new_code() -> str:
    """Return a fresh code of 26 characters with 130 bits from the system's secret source."""
    return _code_of_bits(secrets.randbits(5 * CODE_LENGTH))


def code_of_bytes(data: bytes) -> str:
    """Return the code that the last 130 bits of `data` spell."""
    return _code_of_bits(int.from_bytes(data))


def _code_of_bits(bits: int) -> str:
    return "".join(ALPHABET[bits >> 5 * place & 31] for place in range(CODE_LENGTH))


def normalise(text: str) -> str:
    """Return the code that `text` means, in its one stored form.

    Either case is read, I and L mean 1, O means 0, spaces and hyphens are dropped, and a whole card link
    gives its code.

    Raises
    ------
    CodeError
        When no code can be read from the text.

    Examples
    --------
    >>> normalise("https://cards.example/S/olil0-12345 6789abcdefghjkmn")
    '01110123456789ABCDEFGHJKMN'
    """
    if len(text) > TEXT_LIMIT:
        raise CodeError("This text is too long for a code or a card link.")
    link = _LINK.search(text)
    bare = (link.group(1) if link else text).replace("-", "").replace("%20", "")
    code = "".join(bare.split())
    if not code.isascii():
        raise CodeError("A code has only the letters A to Z and the digits 0 to 9.")
    code = code.upper().translate(_LOOK_ALIKES)
    if not _SHAPE.fullmatch(code):
        raise CodeError(f"A code has {CODE_LENGTH} letters and digits, without the letter U.")
    return code


def spaced(code: str) -> str:
    """Return `code` in groups for reading aloud and typing.

    Examples
    --------
    >>> spaced("01110123456789ABCDEFGHJKMN")
    '01110 12345 6789A BCDEF GHJKMN'
    """
    groups = [code[start : start + 5] for start in range(0, 20, 5)]
    return " ".join([*groups, code[20:]])
