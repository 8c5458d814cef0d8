"""The drawing of a finished card: where each text and the QR code stand in it, and how others take their places."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

_TEXT: Final = re.compile(r"BT\n1 0 0 -1 (\S+) (\S+) Tm\n/(\w+) (\S+) Tf\n(\[[^\]\n]*\]) TJ\nET\n")
_BEGIN: Final = "BT\n"
_NOTHING: Final = "BT\nET\n"
#: The code's strokes, after a first move that draws nothing.
_CODE: Final = re.compile(r"(?<=\n0 0 m\n)(?:\S+ \S+ m\n\S+ \S+ l\n)+")
_PEN: Final = re.compile(r"([Mm])([\d.]+) ([\d.]+)h([\d.]+)")
_GLYPHS: Final = re.compile(r"<([0-9a-f]+)>")
_UNICODE: Final = re.compile(rb"<([0-9a-f]{4})> <([0-9a-f]*)>")

Change = tuple[int, int, str]


class NoMouldError(ValueError):
    """A finished card cannot serve as a mould, or no mould can take a card."""


@dataclass(frozen=True, slots=True)
class Run:
    """A text as it is drawn: where it begins [CSS px], its font and size, and where that stands in the drawing."""

    x: float
    y: str
    font: str
    size: str
    text: str
    begin: int
    end: int

    @property
    def letters(self) -> str:
        """The text without blanks."""
        return "".join(self.text.split())

    def moved(self, x: float, drawn: str) -> Change:
        """Return the change that draws other glyphs at `x` instead."""
        text = f"BT\n1 0 0 -1 {x:.6g} {self.y} Tm\n/{self.font} {self.size} Tf\n[{drawn}] TJ\nET\n"
        return self.begin, self.end, text


def read_letters(to_unicode: bytes) -> dict[str, str]:
    """Return what each glyph says, by its number in hex."""
    return {
        glyph.decode(): bytes.fromhex(text.decode()).decode("utf-16-be") for glyph, text in _UNICODE.findall(to_unicode)
    }


def read_runs(drawing: str, letters: Mapping[str, Mapping[str, str]]) -> list[Run]:
    """Return the texts of a drawing in their order (NoMouldError where one is drawn in a way of its own)."""
    found = list(_TEXT.finditer(drawing))
    if len(found) + drawing.count(_NOTHING) != drawing.count(_BEGIN):
        raise NoMouldError("a text is drawn in several fonts, raised, or not at all")
    return [
        Run(float(one[1]), one[2], one[3], one[4], _say(one[5], letters[one[3]]), one.start(), one.end())
        for one in found
    ]


def _say(array: str, letters: Mapping[str, str]) -> str:
    glyphs = "".join(_GLYPHS.findall(array))
    return "".join(letters[glyphs[at : at + 4]] for at in range(0, len(glyphs), 4))


def find_code(drawing: str, path: str) -> tuple[int, int]:
    """Return where the strokes of the QR code of this path begin and end in a drawing."""
    found = list(_CODE.finditer(drawing))
    if len(found) != 1 or found[0][0] != draw_code(path):
        raise NoMouldError("the code is not found")
    return found[0].span()


def draw_code(path: str) -> str:
    """Return the strokes of an SVG path as `qr.py` makes it: moves, each with one line to the right."""
    drawn: list[str] = []
    x, y = 0.0, 0.0
    for kind, right, down, length in _PEN.findall(path):
        x, y = (float(right), float(down)) if kind == "M" else (x + float(right), y + float(down))
        drawn.append(f"{x:g} {y:g} m\n{x + float(length):g} {y:g} l\n")
        x += float(length)
    return "".join(drawn)


def change_drawing(drawing: str, changes: Iterable[Change]) -> str:
    """Return a drawing with some of its parts replaced."""
    parts, at = [], 0
    for begin, end, new in sorted(changes):
        parts += [drawing[at:begin], new]
        at = end
    return "".join([*parts, drawing[at:]])
