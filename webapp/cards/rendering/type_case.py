"""The card's own letters as numbers: which glyph a character is, how wide, and how much closer to the one before.

Enough to set a short line as WeasyPrint would; what needs more (letters joined into one, marks on letters, other fonts)
is refused here and left to it.
"""

from __future__ import annotations

import functools
import io
import unicodedata
from importlib import resources
from typing import Any, Final

from fontTools.ttLib import TTFont
from pikepdf import Object, Pdf

from webapp.cards.rendering.pdf import write_card

#: The weights that a card is set in, with the file of each.
_FILES: Final = {"700": "card-latin-bold.ttf", "500": "card-latin-medium.ttf"}
#: Makes a fraction of the figures beside it.
_FRACTION: Final = "\N{FRACTION SLASH}"


class CannotSetError(ValueError):
    """A text needs more than letters one after the other."""


class Face:
    """One font: lays out a line of text, in thousandths of the letter size."""

    def __init__(self, file: bytes) -> None:
        font = TTFont(io.BytesIO(file))
        scale = 1000 / font["head"].unitsPerEm
        self._names: dict[str, str] = {chr(code): name for code, name in font.getBestCmap().items()}
        self._ids = {name: font.getGlyphID(name) for name in self._names.values()}
        self._widths = {name: font["hmtx"][name][0] * scale for name in self._ids}
        self._joined = _joined(font)
        self._kern = functools.cache(functools.partial(_kern, _kern_tables(font), scale))
        self.lay = functools.lru_cache(20_000)(self._lay)

    @property
    def letters(self) -> str:
        """All characters of the font."""
        return "".join(self._names)

    def _lay(self, text: str) -> tuple[str, float]:
        """Return a line as a PDF's text array, and its width [thousandths of the letter size].

        Raises
        ------
        CannotSetError
            When the font lacks a character, or letters would be joined or carry marks.
        """
        names = [self._name(letter) for letter in text]
        drawn, width = [], 0.0
        for at, name in enumerate(names):
            drawn.append(f"{self._ids[name]:04x}")
            width += self._widths[name]
            if at + 1 < len(names) and (kern := self._pair(name, names[at + 1])):
                drawn.append(f">{-kern:g}<")
                width += kern
        return f"<{''.join(drawn)}>", width

    def _name(self, letter: str) -> str:
        if letter not in self._names or letter == _FRACTION or unicodedata.category(letter)[0] in "MC":
            raise CannotSetError(f"U+{ord(letter):04X} is not one of the card's plain letters.")
        return self._names[letter]

    def _pair(self, left: str, right: str) -> float:
        if (left, right) in self._joined:
            raise CannotSetError(f"{left} and {right} are joined into one.")
        return self._kern(left, right)


def _joined(font: Any) -> frozenset[tuple[str, str]]:
    """Return the pairs of glyphs that the font may draw as one."""
    tables = [table for lookup in font["GSUB"].table.LookupList.Lookup for table in lookup.SubTable]
    found = [table.ligatures for table in tables if hasattr(table, "ligatures")]
    return frozenset((first, one.Component[0]) for each in found for first, many in each.items() for one in many)


def _kern_tables(font: Any) -> list[list[Any]]:
    table = font["GPOS"].table
    kinds = [record.Feature for record in table.FeatureList.FeatureRecord if record.FeatureTag == "kern"]
    used = sorted({index for kind in kinds for index in kind.LookupListIndex})
    return [table.LookupList.Lookup[index].SubTable for index in used]


def _kern(lookups: list[list[Any]], scale: float, left: str, right: str) -> float:
    """Return how much is added between two glyphs: of each lookup the first table that says something about them."""
    said = ((_said(table, left, right) for table in tables) for tables in lookups)
    return scale * sum(next((value for value in each if value is not None), 0) for each in said)


def _said(table: Any, left: str, right: str) -> int | None:
    """Return what a pair table says about two glyphs, None where it says nothing (OpenType: PairPos, both formats)."""
    if left not in table.Coverage.glyphs:
        return None
    if table.Format == 1:
        pairs = table.PairSet[table.Coverage.glyphs.index(left)].PairValueRecord
        found = next((pair.Value1 for pair in pairs if pair.SecondGlyph == right), None)
        return None if found is None else int(getattr(found, "XAdvance", 0))
    column = table.ClassDef2.classDefs.get(right, 0)
    if not column:
        return None
    row = table.ClassDef1.classDefs.get(left, 0)
    return int(getattr(table.Class1Record[row].Class2Record[column].Value1, "XAdvance", 0) or 0)


class TypeCase:
    """Both weights of the card's letters, whole: their faces and their font objects, by the names that PDFs give them.

    Set once by WeasyPrint, so that the names and the glyph numbers are those of every card that it makes.
    """

    def __init__(self) -> None:
        folder = resources.files("webapp") / "static" / "fonts"
        faces = {weight: Face((folder / name).read_bytes()) for weight, name in _FILES.items()}
        lines = (f'<p style="font-weight:{weight}">{_spaced(face.letters)}</p>' for weight, face in faces.items())
        self._pdf = Pdf.open(io.BytesIO(write_card(f"<html lang=en><title>-</title><body>{''.join(lines)}")))
        bold_first = sorted(self._fonts().items(), key=lambda one: "Bold" not in str(one[1].BaseFont))
        self.faces = dict(zip((name[1:] for name, _font in bold_first), faces.values(), strict=True))

    def _fonts(self) -> dict[str, Object]:
        return _fonts_of(self._pdf)

    def give_fonts(self, card: bytes) -> tuple[bytes, dict[str, bytes]]:
        """Return a card with the whole fonts instead of a few of their letters, and its own ToUnicode maps by font."""
        with Pdf.open(io.BytesIO(card)) as owner:
            own = _fonts_of(owner)
            maps = {name[1:]: font.ToUnicode.read_bytes() for name, font in own.items()}
            for name in own.keys() & self._fonts().keys():
                owner.pages[0].Resources.Font[name] = owner.copy_foreign(self._fonts()[name])
            owner.save(whole := io.BytesIO())
        return whole.getvalue(), maps


def _fonts_of(pdf: Pdf) -> dict[str, Object]:
    return dict(pdf.pages[0].Resources.Font.items())


def _spaced(letters: str) -> str:
    plain = (letter for letter in letters if unicodedata.category(letter)[0] not in "MC" and letter not in "<&")
    return " ".join(["&lt;", "&amp;", "a\N{NO-BREAK SPACE}a", *plain])
