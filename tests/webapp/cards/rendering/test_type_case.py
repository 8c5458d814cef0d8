"""The card's letters as set here are where WeasyPrint puts them: glyphs, widths and what stands closer together."""

from __future__ import annotations

import io
import random
import re
from html import escape

import pytest
from pikepdf import Pdf

from webapp.cards.rendering.moulds import type_case
from webapp.cards.rendering.pdf import write_card
from webapp.cards.rendering.type_case import CannotSetError

_TEXT = re.compile(r"(\[.*?\]) TJ")
_PART = re.compile(r"<([0-9a-f]+)>|(-?[\d.]+)")


def positions(array: str) -> list[tuple[str, float]]:
    """Return the glyphs of a text array, each with what is taken off after it [thousandths]."""
    found: list[tuple[str, float]] = []
    for glyphs, less in _PART.findall(array):
        if less:
            found[-1] = (found[-1][0], found[-1][1] + float(less))
        found += [(glyphs[at : at + 4], 0.0) for at in range(0, len(glyphs), 4)]
    return found


@pytest.mark.parametrize("weight", ["700", "500"])
def test_random_texts_are_set_as_weasyprint_sets_them(weight: str) -> None:
    face = dict(zip(("700", "500"), type_case().faces.values(), strict=True))[weight]
    draw = random.Random(3)
    texts: list[str] = []
    while len(texts) < 30:
        text = " ".join("".join(draw.choices(face.letters, k=24)).split())
        try:
            face.lay(text)
        except CannotSetError:
            continue
        texts.append(text)
    lines = "".join(f'<p style="font-weight:{weight}">{escape(text)}</p>' for text in texts)
    with Pdf.open(io.BytesIO(write_card(f"<html lang=en><title>-</title><body>{lines}"))) as card:
        drawn = _TEXT.findall(card.pages[0].Contents.read_bytes().decode("latin-1"))
    assert len(drawn) == len(texts)
    for text, theirs in zip(texts, drawn, strict=True):
        ours, expected = positions(face.lay(text)[0])[:-1], positions(theirs)[:-1]
        assert [glyph for glyph, _less in ours] == [glyph for glyph, _less in expected], text
        assert [less for _glyph, less in ours] == pytest.approx([less for _glyph, less in expected], abs=1.01), text


@pytest.mark.parametrize("text", ["fi", "Ĳ", "⁄", "ŵ", "e\u0301", "\n"])
def test_what_is_more_than_letters_side_by_side_is_refused(text: str) -> None:
    for face in type_case().faces.values():
        with pytest.raises(CannotSetError):
            face.lay(text)


def test_a_wider_text_is_wider() -> None:
    for face in type_case().faces.values():
        assert face.lay("AVA")[1] < face.lay("AHA")[1] < face.lay("AHHA")[1]
