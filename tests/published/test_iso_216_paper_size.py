"""Card and sheet sizes against the paper standards.

Source: ISO 216 (A4 210 × 297 mm, A6 105 × 148 mm, each half of the size before, rounded down) and ANSI Y14.1 size A, US
Letter (8.5 × 11 in).

Confirmed: the A series recomputed here from A0 by halving; both standards remembered, their texts not opened here.

Tolerance: none, the sizes are whole millimetres or exact inches.
"""

from __future__ import annotations

import pytest

from webapp.cards.rendering.sizes import CARD_SIZES, POINT_MM, SHEET_SIZES


def halved(times: int) -> tuple[int, int]:
    """Return the A-series size (width, height) [mm] after halving A0's 841 × 1189 mm."""
    width, height = 841, 1189
    for _ in range(times):
        width, height = height // 2, width
    return width, height


def test_the_card_is_a6() -> None:
    assert (CARD_SIZES["a6"].width_mm, CARD_SIZES["a6"].height_mm) == halved(6) == (105, 148)


@pytest.mark.parametrize("name", ["a4", "a4-4"])
def test_a4_sheets_are_a4_either_way_up(name: str) -> None:
    sheet = SHEET_SIZES[name]
    assert tuple(sorted((sheet.width_mm, sheet.height_mm))) == halved(4) == (210, 297)


@pytest.mark.parametrize("name", ["letter", "letter-2"])
def test_letter_sheets_are_eight_and_a_half_by_eleven_inches_either_way_up(name: str) -> None:
    sheet = SHEET_SIZES[name]
    short, long = sorted((sheet.width_mm, sheet.height_mm))
    assert short / 25.4 == pytest.approx(8.5, abs=1e-12)
    assert long / 25.4 == pytest.approx(11.0, abs=1e-12)


def test_the_inch_label_is_four_by_six_inches() -> None:
    label = CARD_SIZES["4x6"]
    assert label.width_mm / 25.4 == pytest.approx(4.0, abs=1e-12)
    assert label.height_mm / 25.4 == pytest.approx(6.0, abs=1e-12)


def test_a_typographic_point_is_a_seventy_second_of_an_inch() -> None:
    assert abs(POINT_MM * 72 - 25.4) < 1e-12
