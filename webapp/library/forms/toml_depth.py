"""How deep a TOML file nests and how much it holds, found before it is parsed: parsing costs far more than counting."""

from __future__ import annotations

import re
from typing import Final

#: The most dots in one key and the most brackets within each other; a library needs one and three.
MOST_DOTS: Final = 4
MOST_BRACKETS: Final = 8
#: The most lines, values and brackets in one file: the parser takes a second or two for as many, and 4,000 forks with
#: a chart each need no more.
MOST_PARTS: Final = 200_000
_PART_SIGNS: Final = "\n=,[{"
#: The most tables, which cost the parser most of all: ten for each of 4,000 forks.
MOST_TABLES: Final = 40_000

# Each of these matches from its first character on, ended or not, so that no text is looked at twice.
_TEXTS_AND_COMMENTS: Final = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+"{0,5}'
    r"|'''(?:[^']|'(?!''))*+'{0,5}"
    r'|"(?:[^"\\\n]|\\[^\n])*+"?'
    r"|'[^'\n]*+'?"
    r"|#[^\n]*+",
    re.DOTALL,
)
_DEEP_KEY: Final = re.compile(rf"(?:\.[^.,=\n\[\]{{}}]*+){{{MOST_DOTS + 1}}}")
_BRACKET: Final = re.compile(r"[\[\]{}]")


def is_too_much(text: str) -> bool:
    """Return whether a TOML text holds more lines and values than is worth the wait.

    Examples
    --------
    >>> is_too_much("a = [1, 2]"), is_too_much("[" + "1," * 200_001 + "]")
    (False, True)
    """
    return sum(text.count(sign) for sign in _PART_SIGNS) > MOST_PARTS or text.count("\n[") > MOST_TABLES


def is_too_deep(text: str) -> bool:
    """Return whether a TOML text nests deeper than any library.

    Examples
    --------
    >>> is_too_deep('name = "a.b.c.d.e.f.g"'), is_too_deep("a.b.c.d.e.f.g = 1"), is_too_deep("a = [[[[[[[[[1")
    (False, True, True)
    """
    bare = _TEXTS_AND_COMMENTS.sub("", text)
    if _DEEP_KEY.search(bare):
        return True
    depth = 0
    for bracket in _BRACKET.finditer(bare):
        depth = depth + 1 if bracket[0] in "[{" else max(depth - 1, 0)
        if depth > MOST_BRACKETS:
            return True
    return False
