"""A language that does not exist: every message accented, a third longer and in brackets. Only tests can switch it on.

What a page shows outside the brackets did not come through `webapp.ground.text.i18n`. Brackets and accents are such as
the card's own fonts hold, so that a card is set as one in a real language would be.
"""

from __future__ import annotations

import functools
import re
from gettext import NullTranslations
from typing import Any, Final

import flask_babel
import pytest

from webapp.ground.text import i18n

#: The English texts use neither.
OPEN, CLOSE = "«", "»"
#: How much longer than English a message is, brackets included.
LONGER: Final = 1.35
_ACCENTS: Final = str.maketrans("aceinouyszACEINOUYSZ", "áçéíñóúýšžÁÇÉÍÑÓÚÝŠŽ")
# What a message carries and nobody reads: fields of both kinds, doubled signs, and markup.
_KEPT: Final = re.compile(
    r"%\(\w+\)[-.\d]*[a-z]|%%|%[sd]|\{\w*\}|<[^<>]*>|&\w+;|https?://\S+|`[^`]*`|SETUP_CARD_\w+|\s+"
)
_LETTER: Final = re.compile(r"[^\W\d_]")


@functools.cache
def pseudo(message: str) -> str:
    """Return `message` accented, longer by 35 % and in brackets, its fields untouched.

    Examples
    --------
    >>> pseudo("Fork pressure: %(psi)s psi")
    '«Fóórk préésšúréé: %(psi)s psíí»'
    """
    parts: list[str] = []
    owed, end = 0.0, 0
    for kept in [*_KEPT.finditer(message), None]:
        start = len(message) if kept is None else kept.start()
        word, owed = _lengthen(message[end:start], owed)
        parts += [word, kept.group() if kept else ""]
        end = kept.end() if kept else end
    text = "".join(parts)
    missing = round(LONGER * len(message)) - len(text) - 2
    return f"{OPEN}{text}{' ' if missing > 3 else ''}{'ú' * (missing - (missing > 3))}{CLOSE}"


def _lengthen(word: str, owed: float) -> tuple[str, float]:
    """Return a word with vowels doubled as long as it owes length, as other languages' words are longer themselves."""
    letters = []
    owed += (LONGER - 1) * len(word)
    for letter in word.translate(_ACCENTS):
        letters.append(letter)
        if owed >= 1 and letter in "áéíóú":
            letters.append(letter)
            owed -= 1
    return "".join(letters), owed


class PseudoTexts(NullTranslations):
    """The catalogue of that language; `asked` holds every message that anybody asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[str] = set()

    def gettext(self, message: str) -> str:
        """Return the message in that language."""
        self.asked.add(message)
        return pseudo(message)

    def ngettext(self, singular: str, plural: str, n: int) -> str:
        """Return the form for one or for many."""
        self.asked.add(singular)
        return pseudo(singular if n == 1 else plural)


def switch_on(patch: pytest.MonkeyPatch) -> PseudoTexts:
    """Give every app and command the invented language instead of English, until `patch` is undone."""
    texts = PseudoTexts()
    patch.setattr(flask_babel.Domain, "get_translations", lambda _domain: texts)
    patch.setattr(i18n, "_load", lambda _folder, _name: texts)
    return texts


def outside(text: str, known: tuple[re.Pattern[str], ...] = (), depth: int = 0) -> tuple[list[str], int]:
    """Return the pieces of `text` that hold words but stand outside the brackets, and how deep its end lies in them.

    `known` are what may stand there: what people typed, units, codes.
    """
    pieces, here = [], ""
    for sign in text + OPEN:
        if sign in (OPEN, CLOSE):
            if depth <= 0:
                pieces.append(here)
            depth, here = depth + (1 if sign == OPEN else -1), ""
        else:
            here += sign
    return [left for piece in pieces if (left := _unknown(piece, known))], depth - 1


def _unknown(piece: str, known: tuple[re.Pattern[str], ...]) -> str:
    if not _LETTER.search(piece):  # what is known is replaced by spaces: no word can come of it
        return ""
    return _unknown_words(piece, known)


@functools.lru_cache(maxsize=50_000)
def _unknown_words(piece: str, known: tuple[re.Pattern[str], ...]) -> str:
    for pattern in known:
        piece = pattern.sub(" ", piece)
    return piece.strip() if _LETTER.search(piece) else ""


def settings(**more: Any) -> dict[str, Any]:
    """Return what an app of the walk is made with."""
    return {"TESTING": True, "RETENTION_DAYS": 36_500, "WTF_CSRF_ENABLED": False, "RATELIMIT_ENABLED": False, **more}
