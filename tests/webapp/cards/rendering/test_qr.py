"""The code on a card: readable by another maker's decoder, small enough, and safe between threads."""

from __future__ import annotations

import random
import re
from concurrent.futures import ThreadPoolExecutor

import pytest
import zxingcpp
from PIL import Image
from qrcode import QRCode
from qrcode.constants import ERROR_CORRECT_M

from webapp.cards.rendering.qr import QUIET_MODULES, SMALLEST_MODULE_MM, AddressTooLongError, QrCode, draw_qr
from webapp.cards.rendering.qr_masks import QuickQRCode

ADDRESS = "https://CARDS.EXAMPLE/S/01110123456789ABCDEFGHJKMN"


def paint(code: QrCode) -> Image.Image:
    """Paint a path's strokes one pixel a module; enlarged, so that a decoder sees whole modules."""
    picture = Image.new("L", (code.side, code.side), 255)
    x = y = 0
    for move, a, b, run in re.findall(r"([Mm])(-?\d+) (\d+)(?:\.5)?h(\d+)", code.path):
        x, y = (int(a), int(b)) if move == "M" else (x + int(a), y)
        for _step in range(int(run)):
            picture.putpixel((x, y), 0)
            x += 1
    return picture.resize((code.side * 6, code.side * 6), Image.Resampling.NEAREST)


def test_the_drawn_path_decodes_to_the_address() -> None:
    found = zxingcpp.read_barcodes(paint(draw_qr(ADDRESS, 28)))
    assert [code.text for code in found] == [ADDRESS]


def test_the_code_has_error_level_m() -> None:
    (found,) = zxingcpp.read_barcodes(paint(draw_qr(ADDRESS, 28)))
    assert found.ec_level == "M"


def test_the_quiet_zone_is_four_modules_on_every_side() -> None:
    code = draw_qr(ADDRESS, 28)
    picture = paint(code).resize((code.side, code.side), Image.Resampling.NEAREST)
    dark = picture.point(lambda value: 255 - value).getbbox()
    assert dark == (QUIET_MODULES, QUIET_MODULES, code.side - QUIET_MODULES, code.side - QUIET_MODULES)


def test_capitals_take_fewer_modules_than_small_letters() -> None:
    assert draw_qr(ADDRESS, 28).side < draw_qr(ADDRESS.lower(), 28).side


def test_a_module_is_wide_enough_to_scan_at_every_printed_size() -> None:
    assert draw_qr(ADDRESS, 22).module_mm(22) >= SMALLEST_MODULE_MM


def test_an_address_too_long_for_the_size_is_refused_with_what_to_do() -> None:
    with pytest.raises(AddressTooLongError, match="Set a shorter PUBLIC_BASE_URL"):
        draw_qr("https://example.org/" + "long-path/" * 40, 22)


def test_many_threads_draw_the_same_codes_as_one() -> None:
    addresses = [f"https://CARDS.EXAMPLE/S/{n:026d}" for n in range(24)]
    alone = [draw_qr(address, 28) for address in addresses]
    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(lambda address: draw_qr(address, 28), addresses))
    assert together == alone


def test_the_whole_code_is_one_stroked_path() -> None:
    path = draw_qr(ADDRESS, 28).path
    assert re.fullmatch(r"(M\d+ \d+\.5h\d+(m\d+ 0h\d+)*)+", path)
    assert len(path) < 2500


@pytest.mark.parametrize("length", [20, 45, 60, 120, 400])
def test_the_mask_is_the_one_that_the_library_would_take(length: int) -> None:
    letters = random.Random(length)
    for _turn in range(8):
        address = "https://CARDS.EXAMPLE/S/" + "".join(letters.choices("0123456789ABCDEFGHJKMNPQRSTVWXYZ", k=length))
        plain = QRCode(error_correction=ERROR_CORRECT_M, border=QUIET_MODULES)
        quick = QuickQRCode(error_correction=ERROR_CORRECT_M, border=QUIET_MODULES)
        for symbol in (plain, quick):
            symbol.add_data(address.encode(), optimize=8)
            symbol.make(fit=True)
        assert quick.get_matrix() == plain.get_matrix()
