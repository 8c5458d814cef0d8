"""What a sheet of cards shows is what each of its cards shows alone, seen as a picture.

Text that is read out of a PDF reads well where a letter's shape is missing from the font that the file carries.
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from flask import Flask
from PIL import Image

from webapp.cards.pages.card import CardView
from webapp.cards.rendering import moulds, renderer
from webapp.cards.rendering.fragments import Fragment
from webapp.cards.rendering.moulds import Moulds
from webapp.cards.rendering.sheets import _corner_mm, lay_fragments
from webapp.cards.rendering.sizes import CARD_SIZES, SHEET_SIZES

MakeCard = Callable[..., CardView]
#: Ten a millimetre, so that every card of a sheet begins at a whole one.
DOTS_A_MM, DOTS_AN_INCH = 10, 254
TILE = 20
#: Of a tile of 2 mm by 2 mm: about a small letter's ink.
LEAST_MISSING = 0.05


@pytest.fixture(autouse=True)
def _in_app(app: Flask, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    if shutil.which("pdftoppm") is None:
        if os.environ.get("CI") == "true":
            pytest.fail("pdftoppm is missing: install poppler-utils")
        pytest.skip("pdftoppm is not installed (poppler-utils)")
    monkeypatch.setattr(moulds, "moulds", Moulds())
    with app.app_context():
        yield


def picture(pdf: bytes) -> np.ndarray:
    """Return a PDF's first page as its printer would ink it: 0 white, 1 black."""
    command = ["pdftoppm", "-r", str(DOTS_AN_INCH), "-gray", "-singlefile", "-"]
    done = subprocess.run(command, input=pdf, capture_output=True, check=True)
    return 1.0 - np.asarray(Image.open(io.BytesIO(done.stdout)), dtype=float) / 255.0


def tiles(ink: np.ndarray, height: int, width: int) -> np.ndarray:
    """Return the share of ink of every tile of the upper left of a picture."""
    rows, columns = height // TILE, width // TILE
    return ink[: rows * TILE, : columns * TILE].reshape(rows, TILE, columns, TILE).mean(axis=(1, 3))


def differing(one: np.ndarray, other: np.ndarray, height: int, width: int) -> list[tuple[int, int]]:
    """Return the tiles, row and column, that two pictures do not share, however one is moved by a dot."""
    share = tiles(other, height, width)
    moved = [np.roll(one, (down, right), axis=(0, 1)) for down in (-1, 0, 1) for right in (-1, 0, 1)]
    apart = np.min([np.abs(tiles(picture, height, width) - share) for picture in moved], axis=0)
    return [(int(row), int(column)) for row, column in np.argwhere(apart > LEAST_MISSING)]


@pytest.mark.parametrize(("card_size", "sheet_size"), [("a6", "a4-4"), ("62x100", "a4-8")])
def test_every_card_of_a_sheet_shows_the_ink_of_the_card_alone(
    make_card: MakeCard, card_size: str, sheet_size: str
) -> None:
    size, sheet = CARD_SIZES[card_size], SHEET_SIZES[sheet_size]
    # The second and third are the first one's, with another name set in its place.
    made = [make_card(("front",), bike=f"Heron {turn}") for turn in (1, 2, 3)]
    laid = [Fragment.from_bytes(renderer.print_fragment(card, size)) for card in made]
    whole = picture(lay_fragments(laid, sheet, "Cards", "en"))
    height, width = round(size.height_mm * DOTS_A_MM), round(size.width_mm * DOTS_A_MM)
    for place, card in enumerate(made):
        left, up = _corner_mm(sheet, place)
        top = round((sheet.height_mm - up - size.height_mm) * DOTS_A_MM)
        cell = whole[top:, round(left * DOTS_A_MM) :]
        alone = picture(renderer.print_card(card, size))
        assert tiles(alone, height, width).mean() > 0.03  # something is printed at all
        assert not differing(cell, alone, height, width), card.title


def test_a_letter_that_is_missing_is_noticed(make_card: MakeCard) -> None:
    whole = picture(renderer.print_card(make_card(("front",)), CARD_SIZES["a6"]))
    share = tiles(whole, 1480, 1050)
    row, column = (int(one) for one in np.argwhere((share > 0.15) & (share < 0.3))[-1])  # small print, by its ink
    torn = whole.copy()
    torn[row * TILE : (row + 1) * TILE, column * TILE : column * TILE + 12] = 0.0
    assert differing(torn, whole, 1480, 1050) == [(row, column)]
