"""A card's HTML taken as a frame of tags and the texts in it: cards of the same frame are laid out alike."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

_TOKENS: Final = re.compile(r"<svg.*?</svg>|<[^>]*>|[^<]+", re.DOTALL)
_TAG: Final = re.compile(r"<(/?)(\w+)")
_PATH: Final = re.compile(r' d="([^"]*)"')
_CLASS: Final = re.compile(r' class="([^" ]*)')
#: Tags that text flows through; every other one begins and ends a paragraph.
_INLINE: Final = ("b", "span")
_CELLS: Final = ("td", "th")
#: Paragraphs beside the QR code.
_BESIDE: Final = ("code", "bench")
_NEVER_CLOSED: Final = ("br", "col", "svg")
#: Paragraphs that keep the line breaks of their text (`white-space: pre-line`).
_KEEP_LINES: Final = ("bench", "cautions", "service")
_BLANKS: Final = re.compile(r"[ \t\n\r\f]+")


@dataclass(frozen=True, slots=True)
class Text:
    """A text of a card: what it says, in which paragraph, what that is (its class, else its tag), and its own tag.

    Paragraphs of the same `room` are equally wide: the cells of a column, what stands beside the QR code.
    """

    text: str
    paragraph: int
    kind: str
    tag: str
    room: str
    in_head: bool

    @property
    def letters(self) -> str:
        """The text without what may be lost at the end of a line."""
        return "".join(self.text.split())


@dataclass(frozen=True, slots=True)
class Texts:
    """A card's frame, its texts in their order, and the path of its QR code ("" without one)."""

    frame: str
    texts: tuple[Text, ...]
    path: str


def read_texts(page: str) -> Texts:
    """Return the frame and the texts of a card's HTML page."""
    head, body = page[: page.index("<head")], page[page.index("<body") : page.index("</body>")]
    path = _PATH.search(body)
    frame = [head]
    texts = tuple(_Reader(frame).read(_PATH.sub("", body)))
    return Texts("".join(frame), texts, path[1] if path else "")


class _Reader:
    """Walks through a card's tags and texts, the way that it is nested known at each."""

    def __init__(self, frame: list[str]) -> None:
        self._frame = frame
        self._opened: list[tuple[str, str]] = []
        self._paragraph = self._column = 0

    def read(self, body: str) -> Iterator[Text]:
        """Yield the texts; put the tags, and a mark for each text, into the frame."""
        for token in _TOKENS.findall(body):
            if token.startswith("<"):
                self._frame.append(token)
                self._note(token)
            elif _BLANKS.fullmatch(token):
                self._frame.append(" ")
            else:
                self._frame.append("\0")
                yield self._text(token)

    def _note(self, token: str) -> None:
        """Note a tag: what is open as pairs of tag and class, or tag; where a paragraph ends; the table's column."""
        found = _TAG.match(token)
        assert found is not None  # noqa: S101 - every token that begins so is a tag
        closes, tag = found.groups()
        if closes:
            self._opened.pop()
        elif tag not in _NEVER_CLOSED:
            named = _CLASS.search(token)
            self._opened.append((tag, named[1] if named else tag))
            self._column = 0 if tag == "tr" else self._column + (tag in _CELLS)
        self._paragraph += tag not in _INLINE

    def _text(self, token: str) -> Text:
        kind = next((name for tag, name in reversed(self._opened) if tag not in _INLINE), "")
        in_head = any(tag == "thead" for tag, _name in self._opened)
        room = f"column {self._column}" if kind == "td" else "beside" if kind in _BESIDE else str(self._paragraph)
        return Text(_as_drawn(token, kind), self._paragraph, kind, self._opened[-1][0], room, in_head)


def _as_drawn(token: str, kind: str) -> str:
    """Return a text with its blanks as they are drawn."""
    text = html.unescape(token)
    if kind not in _KEEP_LINES:
        return _BLANKS.sub(" ", text)
    return "\n".join(_BLANKS.sub(" ", line).strip(" ") for line in text.split("\n"))
