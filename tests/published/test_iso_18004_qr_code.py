"""The card's QR code against the symbol's standard.

Source: ISO/IEC 18004: side 17 + 4·version modules, quiet zone of 4 modules, and the byte capacity of versions 1 to 5 at
level M (14, 26, 42, 62, 84).

Confirmed: sides and capacities remembered; each symbol is drawn and read back here with `zxing-cpp`, an independent
reader, which also names the level. The standard's text was not opened here.

Tolerance: none, modules are counted and texts compared whole.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
import zxingcpp

from webapp.cards.rendering.qr import QUIET_MODULES, QrCode, draw_qr

CAPACITY_BYTES = {1: 14, 2: 26, 3: 42, 4: 62, 5: 84}


def raster(code: QrCode, pixels: int = 4) -> np.ndarray:
    """Return the drawn path as a grey image, `pixels` a module: the reader sees what the printer sees."""
    dark = np.zeros((code.side, code.side), dtype=bool)
    x = y = 0
    for mark, across, down, length in re.findall(r"([Mm])(-?\d+) (-?[\d.]+)h(\d+)", code.path):
        x, y = (int(across), int(float(down))) if mark == "M" else (x + int(across), y)
        dark[y, x : x + int(length)] = True
        x += int(length)
    grey = np.where(dark, 0, 255).astype(np.uint8)
    return np.kron(grey, np.ones((pixels, pixels), dtype=np.uint8))


@pytest.mark.parametrize(("version", "size"), CAPACITY_BYTES.items())
def test_a_symbol_filled_to_its_capacity_has_the_side_of_its_version(version: int, size: int) -> None:
    code = draw_qr("x" * size, 28)
    assert code.side - 2 * QUIET_MODULES == 17 + 4 * version


@pytest.mark.parametrize(("version", "size"), CAPACITY_BYTES.items())
def test_one_byte_more_takes_the_next_version(version: int, size: int) -> None:
    assert draw_qr("x" * (size + 1), 28).side - 2 * QUIET_MODULES == 17 + 4 * (version + 1)


def test_the_quiet_zone_is_four_light_modules_on_every_side() -> None:
    grey = raster(draw_qr("https://cards.example/S/01110123456789ABCDEFGHJKMN", 28), pixels=1)
    assert QUIET_MODULES == 4
    for edge in (grey[:4], grey[-4:], grey[:, :4], grey[:, -4:]):
        assert edge.min() == 255
    assert grey[4, 4] == grey[-5, 4] == grey[4, -5] == 0


@pytest.mark.parametrize(
    "address",
    ["https://cards.example/S/01110123456789ABCDEFGHJKMN", "http://192.168.0.12:8000/S/7ZZZZZZZZZZZZZZZZZZZZZZZZZ"],
)
def test_an_independent_reader_reads_the_address_at_level_m(address: str) -> None:
    found = zxingcpp.read_barcodes(raster(draw_qr(address, 28)))
    assert [one.text for one in found] == [address]
    assert found[0].ec_level == "M"


def test_level_m_survives_a_blot_over_a_twentieth_of_the_symbol() -> None:
    # Level M recovers about 15 % of the codewords; 5 % of the area in one place stays well inside.
    address = "https://cards.example/S/01110123456789ABCDEFGHJKMN"
    code = draw_qr(address, 28)
    grey = raster(code)
    blot = int(4 * (code.side - 2 * QUIET_MODULES) * 0.05**0.5)
    middle = grey.shape[0] // 2
    grey[middle : middle + blot, middle : middle + blot] = 0
    assert [one.text for one in zxingcpp.read_barcodes(grey)] == [address]
