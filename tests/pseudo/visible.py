"""What a person can see or hear of a page: its text, labels, titles, the drawings' words, the description."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import Any, Final

from tests.pseudo.catalogue import outside

_SILENT: Final = frozenset({"script", "style"})
_SAID: Final = ("aria-label", "title", "alt", "placeholder", "aria-description", "aria-valuetext", "label")
#: What is read as one piece: brackets must close inside it.
_BLOCKS: Final = frozenset(
    {"title", "p", "li", "h1", "h2", "h3", "td", "th", "figcaption", "label", "legend", "button"}
)


class VisibleText(HTMLParser):
    """Collects the words of a page that stand outside the brackets, each with where it stands."""

    def __init__(self, known: tuple[re.Pattern[str], ...]) -> None:
        super().__init__(convert_charrefs=True)
        self._known = known
        self._open: list[str] = []
        self._depth = 0
        self.found: list[str] = []
        self.pieces = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at an element's spoken attributes."""
        given = dict(attrs)
        said = [(name, given.get(name)) for name in _SAID]
        if tag == "meta" and given.get("name") in ("description", "author", "keywords"):
            said.append(("content", given.get("content")))
        if tag == "input" and given.get("type") in ("submit", "button"):
            said.append(("value", given.get("value")))
        for name, value in said:
            self._look(f"{tag} {name}", value or "", inside=False)
        self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at the attributes of an element without content."""
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        """Leave an element, and those inside it that need no end."""
        while self._open and self._open.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        """Look at text."""
        if not _SILENT.intersection(self._open):
            self._look("/".join(self._open[-2:]), data, inside=True)

    def _look(self, where: str, text: str, *, inside: bool) -> None:
        if not text:
            return
        self.pieces += bool(text.strip())
        left, depth = outside(text, self._known, self._depth if inside else 0)
        if inside:
            self._depth = depth
        elif depth:
            left = [*left, f"brackets left open: {text}"]
        self.found += [f"{where}: {piece}" for piece in left]


def texts_outside(page: str, known: tuple[re.Pattern[str], ...]) -> list[str]:
    """Return where a page shows words that did not come through the door.

    Raises
    ------
    AssertionError
        When the page shows nothing at all.
    """
    reader = VisibleText(known)
    reader.feed(page)
    reader.close()
    assert reader.pieces, "the page shows nothing"
    return reader.found


def json_outside(
    value: Any, machine_keys: frozenset[str], known: tuple[re.Pattern[str], ...], key: str = ""
) -> list[str]:
    """Return the strings of an answer that are for people and did not come through the door."""
    if isinstance(value, dict):
        return [one for k, v in value.items() for one in json_outside(v, machine_keys, known, k)]
    if isinstance(value, list):
        return [one for v in value for one in json_outside(v, machine_keys, known, key)]
    if not isinstance(value, str) or key in machine_keys:
        return []
    return [f"{key}: {piece}" for piece in outside(value, known)[0]]
