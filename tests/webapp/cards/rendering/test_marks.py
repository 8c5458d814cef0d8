"""Cut marks stand where cards end, inside what printers print, and never on a card's own text."""

from __future__ import annotations

import pytest

from webapp.cards.rendering.sheets import UNPRINTED_MM, _corner_mm, _mark_lines
from webapp.cards.rendering.sizes import CARD_SIZES, SHEET_SIZES, SheetSize


@pytest.fixture(params=[*SHEET_SIZES])
def sheet(request: pytest.FixtureRequest) -> SheetSize:
    """Every sheet, one after the other."""
    return SHEET_SIZES[request.param]


def edges(sheet: SheetSize) -> tuple[set[float], set[float]]:
    """Return where cards begin and end, across and up [mm], from where each card is laid."""
    card = CARD_SIZES[sheet.card]
    corners = [_corner_mm(sheet, place) for place in range(sheet.places)]
    across = {round(x + part, 3) for x, _y in corners for part in (0, card.width_mm)}
    up = {round(y + part, 3) for _x, y in corners for part in (0, card.height_mm)}
    return across, up


def test_every_mark_lies_along_an_edge_of_a_card(sheet: SheetSize) -> None:
    across, up = edges(sheet)
    for x1, y1, x2, y2 in _mark_lines(sheet):
        assert (round(x1, 3) in across) if x1 == x2 else (y1 == y2 and round(y1, 3) in up)


def test_every_edge_that_is_cut_has_a_mark_that_printers_print(sheet: SheetSize) -> None:
    across, up = edges(sheet)
    low, right, high = UNPRINTED_MM, sheet.width_mm - UNPRINTED_MM, sheet.height_mm - UNPRINTED_MM
    seen_across = {round(x1, 3) for x1, y1, x2, y2 in _mark_lines(sheet) if x1 == x2 and seen(y1, y2, low, high)}
    seen_up = {round(y1, 3) for x1, y1, x2, y2 in _mark_lines(sheet) if y1 == y2 and seen(x1, x2, low, right)}
    inside = {x for x in across if 1 <= x <= sheet.width_mm - 1}, {y for y in up if 1 <= y <= sheet.height_mm - 1}
    assert seen_across >= inside[0]
    assert seen_up >= inside[1]


def seen(one: float, other: float, low: float, high: float) -> bool:
    """Return whether a line shows at least 3 mm between two bounds."""
    return min(max(one, other), high) - max(min(one, other), low) >= 3
