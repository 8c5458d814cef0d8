"""Finished cards laid on larger sheets with marks to cut along: all of pikepdf. The cards keep their tags."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from typing import Any, Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Pdf, String

from webapp.cards.rendering.sizes import CARD_SIZES, POINT_MM, SheetSize

#: Length of a cut mark, its distance from the card's corner, and its line width [mm].
MARK_MM: Final = 5.0
GAP_MM: Final = 1.5
LINE_MM: Final = 0.1
#: What office printers leave white at a sheet's edge [mm] (common practice, no source).
UNPRINTED_MM: Final = 4.2


def lay_on_sheets(cards: Sequence[bytes], size: SheetSize, title: str, language: str) -> bytes:
    """Return a tagged PDF of `size` sheets that carry `cards`, each a one-page PDF, row by row.

    Parameters
    ----------
    cards : sequence of bytes
        At least one finished card of the size that the sheet carries.
    title, language : str
        The document's title and its language tag, such as "en".
    """
    sheets = Pdf.new()
    document = sheets.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Document, K=Array()))
    parents: list[tuple[int, Object]] = []
    for first in range(0, len(cards), size.places):
        page = _add_page(sheets, size)
        for place, card in enumerate(cards[first : first + size.places]):
            form, tree, owners = _take_card(sheets, card)
            _place(page, form, place, _corner_mm(size, place))
            form.StructParents = len(parents)
            parents.append((len(parents), owners))
            _graft(tree, document, page, form)
            _name_apart(tree, f"card{len(parents)}-")
        page.contents_add(_marks(size), prepend=False)
    _finish(sheets, document, parents, title, language)
    written = io.BytesIO()
    sheets.save(written, deterministic_id=True)
    return written.getvalue()


def _add_page(sheets: Pdf, size: SheetSize) -> pikepdf.Page:
    page = sheets.add_blank_page(page_size=(size.width_mm / POINT_MM, size.height_mm / POINT_MM))
    page.obj.Resources = Dictionary(XObject=Dictionary())
    return page


def _take_card(sheets: Pdf, card: bytes) -> tuple[Object, Object, Object]:
    """Copy a card into `sheets`: its drawing as a form, its tag tree's top, and the owner of each marked part."""
    with Pdf.open(io.BytesIO(card)) as source:
        form = sheets.copy_foreign(source.pages[0].as_form_xobject())
        root = sheets.copy_foreign(source.Root.StructTreeRoot)
    return form, root.K[0], root.ParentTree.Nums[1]


def _corner_mm(size: SheetSize, place: int) -> tuple[float, float]:
    """Return the lower left corner [mm] of the card at `place`, counted row by row from the upper left."""
    card = CARD_SIZES[size.card]
    left = (size.width_mm - size.columns * card.width_mm) / 2
    bottom = (size.height_mm - size.rows * card.height_mm) / 2
    row, column = divmod(place, size.columns)
    return left + column * card.width_mm, bottom + (size.rows - 1 - row) * card.height_mm


def _place(page: pikepdf.Page, form: Object, place: int, corner_mm: tuple[float, float]) -> None:
    name = f"/Card{place}"
    page.obj.Resources.XObject[name] = form
    x, y = (length / POINT_MM for length in corner_mm)
    page.contents_add(f"q 1 0 0 1 {x:.4f} {y:.4f} cm {name} Do Q\n".encode(), prepend=False)


def _graft(tree: Object, document: Object, page: pikepdf.Page, form: Object) -> None:
    """Hang a card's tags below `document`, each marked part now found in `form` on `page`."""
    tree.S = Name.Part
    tree.P = document
    document.K.append(tree)
    for element in _elements(tree):
        element.Pg = page.obj
        kids = element.get("/K", Array())
        element.K = Array([_part(kid, page, form) for kid in kids])


def _name_apart(tree: Object, prefix: str) -> None:
    """Put `prefix` before the names by which a table's cells find their heads: two cards use the same ones."""
    for element in _elements(tree):
        if "/ID" in element:
            element.ID = String(prefix + str(element.ID))
        attributes = element.get("/A", Dictionary())
        if "/Headers" in attributes:
            attributes.Headers = Array([String(prefix + str(head)) for head in attributes.Headers])


def _elements(element: Object) -> Iterator[Object]:
    yield element
    for kid in element.get("/K", Array()):
        if isinstance(kid, Dictionary) and kid.get("/Type") == Name.StructElem:
            yield from _elements(kid)


def _part(kid: Any, page: pikepdf.Page, form: Object) -> Any:
    """Return a kid of a tag; a bare number, a marked part of the page, becomes the same part of the form."""
    if isinstance(kid, int):
        return Dictionary(Type=Name.MCR, Pg=page.obj, Stm=form, MCID=kid)
    return kid


def _marks(size: SheetSize) -> bytes:
    """Return the drawing of the cut marks, as an artifact that is not read aloud."""
    lines = "".join(
        f"{x1 / POINT_MM:.3f} {y1 / POINT_MM:.3f} m {x2 / POINT_MM:.3f} {y2 / POINT_MM:.3f} l\n"
        for x1, y1, x2, y2 in _mark_lines(size)
    )
    return f"/Artifact BMC q {LINE_MM / POINT_MM:.3f} w\n{lines}S Q EMC\n".encode()


def _mark_lines(size: SheetSize) -> Iterator[tuple[float, float, float, float]]:
    """Yield the marks as lines [mm]: outside the block of cards where there is room for them, and between two cards."""
    card = CARD_SIZES[size.card]
    left, bottom = _corner_mm(size, (size.rows - 1) * size.columns)
    xs = [left + i * card.width_mm for i in range(size.columns + 1)]
    ys = [bottom + i * card.height_mm for i in range(size.rows + 1)]
    for x in xs:
        yield x, ys[0] - GAP_MM, x, ys[0] - GAP_MM - MARK_MM
        yield x, ys[-1] + GAP_MM, x, ys[-1] + GAP_MM + MARK_MM
    for y in ys:
        yield xs[0] - GAP_MM, y, xs[0] - GAP_MM - MARK_MM, y
        yield xs[-1] + GAP_MM, y, xs[-1] + GAP_MM + MARK_MM, y
    # Cards have margins of their own, which leave room for a line from edge to edge: between two of them, and along
    # an outer edge whose marks would fall where no printer prints.
    for x in xs if _is_tight(bottom) and not _is_sheets_edge(left) else xs[1:-1]:
        yield x, ys[0], x, ys[-1]
    for y in ys if _is_tight(left) and not _is_sheets_edge(bottom) else ys[1:-1]:
        yield xs[0], y, xs[-1], y


def _is_tight(margin_mm: float) -> bool:
    """Return whether marks beside the cards are lost in the margin that printers leave white."""
    return margin_mm < GAP_MM + MARK_MM + UNPRINTED_MM


def _is_sheets_edge(margin_mm: float) -> bool:
    """Return whether the cards end where the sheet ends, so that nothing is cut there."""
    return margin_mm < 1.0


def _finish(sheets: Pdf, document: Object, parents: list[tuple[int, Object]], title: str, language: str) -> None:
    numbers = Array([item for pair in parents for item in pair])
    root = sheets.make_indirect(
        Dictionary(
            Type=Name.StructTreeRoot,
            K=Array([document]),
            ParentTree=sheets.make_indirect(Dictionary(Nums=numbers)),
            ParentTreeNextKey=len(parents),
        )
    )
    document.P = root
    sheets.Root.StructTreeRoot = root
    sheets.Root.MarkInfo = Dictionary(Marked=True)
    sheets.Root.Lang = String(language)
    sheets.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True, PrintScaling=Name("/None"))
    with sheets.open_metadata(set_pikepdf_as_editor=False) as metadata:
        metadata["dc:title"] = title
        metadata["pdfuaid:part"] = "1"
    sheets.docinfo[Name.Title] = title
