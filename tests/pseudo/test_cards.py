"""Cards in the invented language: every size on one page, nothing cut off at its edge, every word through the door."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from typing import Any, Final

import pytest
import zxingcpp
from flask import Flask
from pikepdf import Pdf

from tests.kept.unpack import BASE_URL, read_manifest, unpack
from tests.pseudo.catalogue import PseudoTexts, settings
from tests.pseudo.visible import texts_outside
from tests.pseudo.walk import KNOWN
from tests.webapp.cards.rendering.conftest import rasterise as rasterise
from webapp import create_app
from webapp.cards.rendering import renderer
from webapp.cards.rendering.sizes import CARD_SIZES, SHEET_SIZES

SIZES: Final = (*CARD_SIZES, *SHEET_SIZES)
#: Both ends and a ride, a fork with compression, and the setup that has a back.
CARDS: Final = (("both", "front"), ("chart", "front"), ("serviced", "both"))


@pytest.fixture(scope="module")
def kept_app(texts: PseudoTexts, tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """The kept folder's setups, in the invented language."""
    folder = unpack(tmp_path_factory.mktemp("cards") / "data")
    return create_app(settings(DATA=str(folder), PUBLIC_BASE_URL=BASE_URL))


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The pages that are handed to the PDF library, as they are."""
    pages: list[str] = []
    write = renderer._write

    def keep(html: str, styles: tuple[str, ...]) -> bytes:
        pages.append(html)
        return write(html, styles)

    monkeypatch.setattr(renderer, "_write", keep)
    return pages


def _said(setup: str, side: str, size: str) -> Any:
    """A case; a sheet says what its card says, so that one sheet of two cards speaks for those of more."""
    is_more_of_the_same = setup != "both" and size in SHEET_SIZES and size != "letter-2"
    return pytest.param(size, setup, side, marks=[pytest.mark.long] if is_more_of_the_same else [])


@pytest.mark.parametrize(
    ("size", "setup", "side"), [_said(setup, side, size) for setup, side in CARDS for size in SIZES]
)
def test_a_card_says_nothing_from_outside_the_door_and_fits(
    kept_app: Flask, written: list[str], rasterise: object, size: str, setup: str, side: str
) -> None:
    code = read_manifest()["setups"][setup]["code"]
    answer = kept_app.test_client().get(f"/s/{code}/card.pdf?size={size}&side={side}")
    assert answer.status_code == 200, answer.text
    sides = 2 if side == "both" else 1
    with Pdf.open(io.BytesIO(answer.data)) as pdf:
        assert len(pdf.pages) == sides
        assert "«" in str(pdf.docinfo["/Title"])
        assert str(pdf.Root.Lang) == "en"
    assert len(written) >= sides
    assert not [text for page in written for text in texts_outside(page, KNOWN)]
    assert not beyond_the_edge(answer.data)
    found = [one.text.upper() for page in rasterise(answer.data) for one in zxingcpp.read_barcodes(page)]  # type: ignore[operator]
    assert found
    assert all(text.endswith(f"/S/{code}") for text in found)


def beyond_the_edge(pdf: bytes) -> list[str]:
    """Return the words of a PDF that reach over its edge."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed (poppler-utils)")
    told = subprocess.run(["pdftotext", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True).stdout.decode()
    over, width, height, words = [], 0.0, 0.0, 0
    for found in re.finditer(r'<page width="([\d.]+)" height="([\d.]+)"|<word ([^>]*)>([^<]*)</word>', told):
        if found[1]:
            width, height = float(found[1]), float(found[2])
            continue
        words += 1
        left, top, right, bottom = (float(one) for one in re.findall(r'"(-?[\d.]+)"', found[3]))
        if left < 0 or top < 0 or right > width or bottom > height:
            over.append(found[4])
    assert words > 10
    return over
