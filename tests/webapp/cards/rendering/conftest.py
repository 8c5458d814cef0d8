"""Cards as people meet them, and a way to read what was printed."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from setup_rules import Setup, read_request, recommend
from setup_rules.messages.message import Message
from setup_rules.types.result import Note
from webapp.cards.pages.card import CardView, present_card
from webapp.cards.pages.card_words import link_words
from webapp.setups.revision import CardTexts, Revision

CODE = "01110123456789ABCDEFGHJKMN"
ADDRESS = f"https://CARDS.EXAMPLE/S/{CODE}"
MakeCard = Callable[..., CardView]
Rasterise = Callable[[bytes], list[Image.Image]]


@pytest.fixture
def make_card(whole_request: dict[str, Any]) -> MakeCard:
    """Build a card: `ends`, texts and further cautions by keyword, every other value as recommended."""

    def make(
        ends: tuple[str, ...] = ("front", "rear"),
        *,
        bike: str = "Bluebell 140, number 7",
        service: str = "",
        cautions: int = 0,
        compression: bool = False,
        later: bool = False,
        address: str = ADDRESS,
    ) -> CardView:
        data = {k: v for k, v in whole_request.items() if k not in ("front", "rear") or k in ends}
        if compression:
            data |= {end: {**data[end], "compression_clicks": 12} for end in ends}
        setup = _with_cautions(recommend(read_request(data)), cautions)
        saved = Revision(
            code=CODE,
            number=3,
            latest_number=3,
            created_at=datetime(2026, 3, 14, 9, 30, tzinfo=UTC),
            texts=CardTexts(bike, service),
            setup=setup,
            reason="",
        )
        return present_card(saved, address, link=link_words(dead=not address, later=later))

    return make


def _with_cautions(setup: Setup, count: int) -> Setup:
    text = "Caution {number}: a sentence as long as people write when they want to be understood by everybody, twice."
    more = tuple(Note(f"made_up_{n}", Message("", {"number": n}, text), end="rear") for n in range(count))
    return replace(setup, cautions=(*setup.cautions, *more))


@pytest.fixture
def longest_card(make_card: MakeCard) -> CardView:
    """The card that asks for the most room: both ends, the longest texts in the widest letters, many cautions."""
    return make_card(bike="W" * 60, service="M" * 200, cautions=6, compression=True, later=True)


@pytest.fixture
def rasterise(tmp_path: Path) -> Rasterise:
    """Turn a PDF into one picture a page at 150 dots per inch, as a printer or a phone would see it."""
    if shutil.which("pdftoppm") is None:
        if os.environ.get("CI") == "true":
            pytest.fail("pdftoppm is missing: install poppler-utils")
        pytest.skip("pdftoppm is not installed (poppler-utils)")

    def turn(pdf: bytes) -> list[Image.Image]:
        subprocess.run(["pdftoppm", "-r", "150", "-", str(tmp_path / "page")], input=pdf, check=True)
        pages = []
        # One file a page: several pictures in one stream are no file format, and the reader goes back to the first.
        for file in sorted(tmp_path.glob("page-*.ppm")):
            with Image.open(file) as page:
                page.load()
            pages.append(page)
            file.unlink()
        return pages

    return turn
