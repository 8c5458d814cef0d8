"""The printed card as a file: one page of the right size, tagged, unscaled, self-contained, and never too full."""

from __future__ import annotations

import functools
import io
import itertools
import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
import zxingcpp
from flask import Flask
from pikepdf import Dictionary, Name, Object, Pdf
from PIL import Image

from tests.conftest import settings_in
from webapp import create_app
from webapp.cards.pages.card import CardView
from webapp.cards.pages.card_words import shop_line
from webapp.cards.rendering import renderer
from webapp.cards.rendering.errors import CardOverflowError
from webapp.cards.rendering.renderer import print_any, print_card
from webapp.cards.rendering.sizes import (
    CARD_SIZES,
    POINT_MM,
    SHEET_SIZES,
    CardSize,
    SheetSize,
    Step,
    card_size_of,
    find_size,
)
from webapp.ground.database.engine import database

SIZES = [*CARD_SIZES, *SHEET_SIZES]
ADDRESS = "https://CARDS.EXAMPLE/S/01110123456789ABCDEFGHJKMN"
MakeCard = Callable[..., CardView]
Rasterise = Callable[[bytes], list[Image.Image]]


@pytest.fixture(scope="module")
def printing_app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    """One app for all cards: printing reads templates and stores nothing."""
    app = create_app(settings_in(tmp_path_factory.mktemp("cards")))
    yield app
    with app.app_context():
        database.engine.dispose()


@pytest.fixture(autouse=True)
def _in_app(printing_app: Flask) -> Iterator[None]:
    with printing_app.app_context():
        yield


#: A side of a card, printed once for all tests and sheets that only read it.
printed_card = functools.cache(print_card)


@functools.cache
def printed(card: CardView, size: CardSize | SheetSize) -> bytes:
    """Return what `print_any` does, once for all tests that only read it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(renderer, "print_card", printed_card)
        return print_any(card, size)


@pytest.fixture(params=SIZES)
def size(request: pytest.FixtureRequest) -> CardSize | SheetSize:
    """Every size that is printed, one after the other."""
    return find_size(request.param)


def _is_slow_to_read(name: str) -> bool:
    found = find_size(name)
    return isinstance(found, SheetSize) and found.places > 2


@pytest.fixture(
    params=[pytest.param(name, marks=[pytest.mark.long] if _is_slow_to_read(name) else []) for name in SIZES]
)
def read_size(request: pytest.FixtureRequest) -> CardSize | SheetSize:
    """Every size; a sheet of many is long, as the reader's time grows with the square of its cards: 5 s for eight."""
    return find_size(request.param)


def opened(pdf: bytes) -> Pdf:
    """Return `pdf`, open for a look."""
    return Pdf.open(io.BytesIO(pdf))


def tags(element: Object) -> Iterator[Object]:
    """Yield every structure element below `element`, itself first."""
    yield element
    for kid in element.get("/K", []):
        if isinstance(kid, Dictionary) and kid.get("/Type") == Name.StructElem:
            yield from tags(kid)


def marked_parts(element: Object) -> int:
    """Count the pieces of page content that the elements below `element` own."""
    return sum(
        isinstance(kid, int) or (isinstance(kid, Dictionary) and kid.get("/Type") == Name.MCR)
        for tag in tags(element)
        for kid in tag.get("/K", [])
    )


@functools.cache
def read_aloud(pdf: bytes) -> str:
    """Return the text of `pdf` in the order of its tags, as a screen reader says it."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(pdf)
        file.flush()
        done = subprocess.run(["pdfinfo", "-struct-text", file.name], capture_output=True, check=True)
    texts = re.findall(r'^ *"(.*)"$', done.stdout.decode(), re.MULTILINE)
    return " ".join(" ".join(texts).replace("\u00a0", " ").split())


def test_a_card_is_one_page_of_its_size(make_card: MakeCard, size: CardSize | SheetSize) -> None:
    pdf = opened(printed(make_card(), size))
    assert len(pdf.pages) == 1
    left, bottom, right, top = (float(value) * POINT_MM for value in pdf.pages[0].mediabox)
    assert (left, bottom) == (0, 0)
    assert (right, top) == pytest.approx((size.width_mm, size.height_mm), abs=0.1)


def test_the_default_card_is_iso_216_a6(make_card: MakeCard) -> None:
    pdf = opened(printed_card(make_card(), CARD_SIZES["a6"]))
    width, height = (float(value) * POINT_MM for value in pdf.pages[0].mediabox[2:])
    assert (width, height) == pytest.approx((105, 148), abs=0.1)


def test_a_card_is_tagged_titled_and_says_its_language(make_card: MakeCard, size: CardSize | SheetSize) -> None:
    card = make_card()
    pdf = opened(printed(card, size))
    assert pdf.Root.MarkInfo.Marked
    assert str(pdf.Root.Lang) == "en"
    assert str(pdf.docinfo.Title) == card.title
    assert pdf.Root.ViewerPreferences.DisplayDocTitle
    with pdf.open_metadata() as metadata:
        assert metadata["pdfuaid:part"] == "1"
        assert metadata["dc:title"] == card.title


def test_readers_are_asked_to_print_at_full_size(make_card: MakeCard, size: CardSize | SheetSize) -> None:
    pdf = opened(printed(make_card(), size))
    assert pdf.Root.ViewerPreferences.PrintScaling == "/None"


def test_a_screen_reader_finds_heading_table_heads_and_the_code(
    make_card: MakeCard, size: CardSize | SheetSize
) -> None:
    pdf = opened(printed(make_card(), size))
    found = list(tags(pdf.Root.StructTreeRoot.K[0]))
    kinds = [str(element.S) for element in found]
    cards = size.places if isinstance(size, SheetSize) else 1
    assert kinds.count("/H1") == kinds.count("/Table") == kinds.count("/Figure") == cards
    # The smallest label leaves out the row to write the measured sag into.
    assert kinds.count("/TH") >= (7 if card_size_of(size).name == "62x100" else 8) * cards
    (figure, *_rest) = [element for element in found if Name.Figure == element.S]
    assert "QR" in str(figure.Alt)


def test_every_marked_part_of_a_sheet_belongs_to_a_tag(make_card: MakeCard) -> None:
    card = make_card()
    one = opened(printed_card(card, CARD_SIZES["a6"]))
    four = opened(printed(card, SHEET_SIZES["a4-4"]))
    in_one = marked_parts(one.Root.StructTreeRoot.K[0])
    assert in_one > 40
    assert marked_parts(four.Root.StructTreeRoot.K[0]) == 4 * in_one
    owners = four.Root.StructTreeRoot.ParentTree.Nums
    assert [int(owners[n]) for n in range(0, 8, 2)] == [0, 1, 2, 3]
    assert all(len(owners[n]) == in_one for n in range(1, 8, 2))


def test_the_heads_of_two_cards_on_a_sheet_keep_names_apart(make_card: MakeCard) -> None:
    pdf = opened(printed(make_card(), SHEET_SIZES["letter-2"]))
    names = [str(tag.ID) for tag in tags(pdf.Root.StructTreeRoot.K[0]) if "/ID" in tag]
    assert names
    assert len(names) == len(set(names))


def test_only_the_bundled_font_is_used_and_it_is_embedded(make_card: MakeCard) -> None:
    pdf = opened(printed_card(make_card(bike="Čáp 29, přední"), CARD_SIZES["a6"]))
    fonts = list(pdf.pages[0].Resources.Font.values())
    assert {str(font.BaseFont).partition("+")[2].partition("-")[0] for font in fonts} == {"Card"}
    for font in fonts:
        descriptor = font.DescendantFonts[0].FontDescriptor
        assert "/FontFile2" in descriptor or "/FontFile3" in descriptor


@pytest.mark.parametrize("ends", [("front",), ("rear",), ("front", "rear")])
def test_the_printed_code_decodes_to_the_address(
    make_card: MakeCard, size: CardSize | SheetSize, ends: tuple[str, ...], rasterise: Rasterise
) -> None:
    (page,) = rasterise(printed(make_card(ends), size))
    copies = size.places if isinstance(size, SheetSize) else 1
    assert [code.text for code in zxingcpp.read_barcodes(page)] == [ADDRESS] * copies


def test_the_longest_card_fits_one_page_of_every_size_and_decodes(
    longest_card: CardView, size: CardSize | SheetSize, rasterise: Rasterise
) -> None:
    (page,) = rasterise(printed(longest_card, size))
    assert {code.text for code in zxingcpp.read_barcodes(page)} == {ADDRESS}


def test_even_the_tightest_card_says_all_that_must_be_known_at_the_bike(
    longest_card: CardView, read_size: CardSize | SheetSize
) -> None:
    words = read_aloud(printed(longest_card, read_size))
    pressures = [part.value for cell in longest_card.rows[0].cells for part in cell.parts]
    ranges = [cell.remark.short for cell in longest_card.rows[0].cells]
    sags = [f"{cell.parts[0].value} mm" for cell in longest_card.rows[1].cells]
    clicks = [f"{cell.parts[0].value} {cell.parts[0].unit}" for cell in longest_card.rows[2].cells]
    fixed = ["140 mm", "55 mm", "2026-03-14, version 3", "20 °C, 300 m", "50 mm when printed", "check yours"]
    for wanted in (*pressures, *ranges, *sags, *clicks, *fixed, "from fully closed", "follow the manual", "cautions"):
        assert wanted in words
    for group in longest_card.code.split():
        assert group in words


def test_even_the_tightest_card_says_which_shop_it_is_from_and_spells_out_a_caution(
    longest_card: CardView, read_size: CardSize | SheetSize
) -> None:
    line = shop_line("Lantern Lane Cycles", "01632 960 100", "MR")
    words = read_aloud(printed(replace(longest_card, shop=line), read_size))
    assert line in words
    assert "likely range" in words
    assert " ".join(longest_card.cautions[0].split()[:6]) in words
    for cell in next(row for row in longest_card.rows if row.label.short == "Maximum").cells:
        assert f"{cell.parts[0].value} {cell.parts[0].unit}" in words


@pytest.mark.parametrize("name", ["a6", "4x6"])
def test_the_minimum_and_long_remarks_give_way_before_any_caution_does(name: str) -> None:
    steps = CARD_SIZES[name].steps
    fewer = [step for step in steps if step.cautions < steps[0].cautions]
    assert steps[0].extra
    assert fewer
    assert all(step.short and not step.extra for step in fewer)


@pytest.mark.parametrize("shop", ["", shop_line("W" * 60, "0" * 24, "WWWW")])
def test_nothing_is_printed_within_two_millimetres_of_the_edge(
    longest_card: CardView, rasterise: Rasterise, shop: str
) -> None:
    for card_size in CARD_SIZES.values():
        (page,) = rasterise(printed_card(replace(longest_card, shop=shop), card_size))
        ink = page.convert("L").point(lambda value: 255 if value < 128 else 0).getbbox()
        assert ink is not None
        left, top, right, bottom = ink
        edge = 2 / 25.4 * 150
        assert min(left, top, page.width - right, page.height - bottom) >= edge, card_size.name


def test_the_check_line_is_fifty_millimetres_long(make_card: MakeCard, rasterise: Rasterise) -> None:
    for card_size in CARD_SIZES.values():
        (page,) = rasterise(printed_card(make_card(), card_size))
        grey = page.convert("L")
        wanted = 50 / 25.4 * 150
        lengths = [run for y in range(grey.height // 2, grey.height) for run in _dark_runs(grey, y)]
        assert any(abs(run - wanted) <= 2 for run in lengths), card_size.name


def _dark_runs(grey: Image.Image, y: int) -> Iterator[int]:
    length = 0
    for x in range(grey.width):
        if grey.getpixel((x, y)) < 160:  # type: ignore[operator]
            length += 1
            continue
        if length:
            yield length
        length = 0


def word_boxes(pdf: bytes) -> list[tuple[str, float, float, float, float]]:
    """Return (word, left, top, right, bottom) in points of every word on the first page, as poppler finds them."""
    done = subprocess.run(["pdftotext", "-bbox", "-l", "1", "-", "-"], input=pdf, capture_output=True, check=True)
    found = re.findall(
        r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>', done.stdout.decode()
    )
    return [(word, *(float(value) for value in box)) for *box, word in found]


@pytest.mark.parametrize("name", sorted(CARD_SIZES))
@pytest.mark.parametrize("address", [ADDRESS, ""])
def test_no_word_is_printed_over_another(make_card: MakeCard, name: str, address: str) -> None:
    """A shop's name, phone and initials ran over the line of 50 mm on the small label."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed (poppler-utils)")
    shop = "Lantern Lane Cycles and Suspension Workshop · 01632 960123 · set by LL"
    card = replace(make_card(("rear",), address=address), shop=shop)
    boxes = word_boxes(printed_card(card, CARD_SIZES[name]))
    assert any(word == "960123" for word, *_box in boxes)
    for (one, *a), (other, *b) in itertools.combinations(boxes, 2):
        wide, high = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
        # Boxes are as tall as the font, not the letters: lines of one paragraph touch a little.
        assert wide <= 0 or high <= 0.45 * min(a[3] - a[1], b[3] - b[1]), (one, other)


def test_a_card_that_fits_no_step_is_refused_and_never_two_pages(longest_card: CardView) -> None:
    tiny = CardSize("62x100", CARD_SIZES["62x100"].label, 62, 100, 22, (Step("fit-0", 6),), compact=True)
    with pytest.raises(CardOverflowError, match="does not fit one page"):
        print_card(longest_card, tiny)


def test_a_label_with_markup_is_printed_as_typed_and_fetches_nothing(
    make_card: MakeCard, caplog: pytest.LogCaptureFixture
) -> None:
    card = make_card(bike='<img src="file:///etc/hostname">', service="<style>@import 'https://example.com/x'</style>")
    pdf = opened(printed_card(card, CARD_SIZES["a6"]))
    assert "<img src=" in str(pdf.docinfo.Title)
    assert [str(tag.S) for tag in tags(pdf.Root.StructTreeRoot.K[0])].count("/Figure") == 1
    assert not [record for record in caplog.records if "example.com" in record.getMessage()]


@pytest.mark.parametrize(
    "address",
    [
        "https://example.com/x.css",
        "http://card.invalid/print.css",
        "https://card.invalid/print.css/../../secret",
        "https://card.invalid.example.com/print.css",
        "file:///etc/hostname",
        "data:text/css,*{color:red}",
        "ftp://card.invalid/print.css",
    ],
)
def test_every_address_outside_memory_is_refused(address: str) -> None:
    from weasyprint.urls import FatalURLFetchingError

    from webapp.cards.rendering.pdf import MemoryFetcher

    fetcher = MemoryFetcher({"print.css": (b"*{}", "text/css")})
    with pytest.raises(FatalURLFetchingError, match="may not fetch"):
        fetcher.fetch(address)
    assert fetcher.fetch("https://card.invalid/print.css").read() == b"*{}"


def test_a_page_that_asks_for_a_file_from_outside_is_not_printed() -> None:
    from weasyprint.urls import FatalURLFetchingError

    from webapp.cards.rendering.pdf import write_card

    with pytest.raises(FatalURLFetchingError):
        write_card(
            '<html lang="en"><title>x</title><body><img src="file:///etc/hostname" alt="x"></body></html>',
            ["print.css"],
        )


def test_the_same_card_is_drawn_the_same_every_time(make_card: MakeCard) -> None:
    first, second = (opened(print_card(make_card(), CARD_SIZES["a6"])) for _ in range(2))
    drawings = [pdf.pages[0].Contents.read_bytes() for pdf in (first, second)]
    assert drawings[0] == drawings[1]


def test_a_card_without_an_address_has_no_code_and_says_why(
    make_card: MakeCard, read_size: CardSize | SheetSize
) -> None:
    pdf = printed(make_card(address=""), read_size)
    document = opened(pdf)
    assert "/Figure" not in [str(element.S) for element in tags(document.Root.StructTreeRoot.K[0])]
    assert "No QR code" in read_aloud(pdf)
