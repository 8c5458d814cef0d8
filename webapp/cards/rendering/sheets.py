"""Finished cards laid on larger sheets with marks to cut along. The cards keep their tags, and share their fonts."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from typing import Final
from xml.sax.saxutils import escape

from webapp.cards.rendering.fragments import DOCUMENT, FORM, NAMES, OWNERS, PAGE, PLACE, TREE, Fragment, take_apart
from webapp.cards.rendering.sizes import CARD_SIZES, POINT_MM, SheetSize

#: Length of a cut mark, its distance from the card's corner, and its line width [mm].
MARK_MM: Final = 5.0
GAP_MM: Final = 1.5
LINE_MM: Final = 0.1
#: What office printers leave white at a sheet's edge [mm] (common practice, no source).
UNPRINTED_MM: Final = 4.2
#: What says that a file is tagged for everybody (PDF/UA-1) and what it is called (XMP).
_METADATA: Final = (
    '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?><x:xmpmeta xmlns:x="adobe:ns:meta/">'
    '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    '<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" '
    'xmlns:dc="http://purl.org/dc/elements/1.1/"><pdfuaid:part>1</pdfuaid:part>'
    '<dc:title><rdf:Alt><rdf:li xml:lang="x-default">%s</rdf:li></rdf:Alt></dc:title>'
    '</rdf:Description></rdf:RDF></x:xmpmeta><?xpacket end="r"?>'
)


def lay_on_sheets(cards: Sequence[bytes], size: SheetSize, title: str, language: str) -> bytes:
    """Return a tagged PDF of `size` sheets that carry `cards`, each a one-page PDF, row by row.

    Parameters
    ----------
    cards : sequence of bytes
        At least one finished card of the size that the sheet carries.
    title, language : str
        The document's title and its language tag, such as "en".
    """
    known = {card: take_apart(card) for card in dict.fromkeys(cards)}
    return lay_fragments([known[card] for card in cards], size, title, language)


def lay_fragments(cards: Iterable[Fragment], size: SheetSize, title: str, language: str) -> bytes:
    """Return what `lay_on_sheets` does, of cards that were taken apart before."""
    file = _File()
    catalogue, pages, document, root = (file.reserve() for _turn in range(4))
    sheet, sheets, tops, owners = 0, [], [], []
    drawn: list[tuple[int, int]] = []
    for number, card in enumerate(cards):
        if number % size.places == 0:
            _close_sheet(file, sheet, pages, drawn, size)
            sheet, drawn = file.reserve(), []
            sheets.append(sheet)
        placed = _place(file, card, number, sheet, document)
        drawn.append((number % size.places, placed(FORM)))
        tops.append(placed(TREE))
        owners.append(placed(OWNERS))
    _close_sheet(file, sheet, pages, drawn, size)
    file.put(pages, f"<</Type/Pages/Count {len(sheets)}/Kids[{_refs(sheets)}]>>")
    file.put(document, f"<</Type/StructElem/S/Document/P {root} 0 R/K[{_refs(tops)}]>>")
    numbers = " ".join(f"{place} {owner} 0 R" for place, owner in enumerate(owners))
    tree = f"<</Type/StructTreeRoot/K[{document} 0 R]/ParentTree<</Nums[{numbers}]>>/ParentTreeNextKey {len(owners)}>>"
    file.put(root, tree)
    metadata = (_METADATA % escape(title)).encode()
    file.put(meta := file.reserve(), f"<</Type/Metadata/Subtype/XML/Length {len(metadata)}>>", metadata)
    file.put(info := file.reserve(), f"<</Title {_string(title)}>>")
    viewer = "/ViewerPreferences<</DisplayDocTitle true/PrintScaling/None>>/MarkInfo<</Marked true>>"
    where = f"/Pages {pages} 0 R/StructTreeRoot {root} 0 R/Metadata {meta} 0 R"
    file.put(catalogue, f"<</Type/Catalog{where}/Lang {_string(language)}{viewer}>>")
    return file.end(catalogue, info)


class _File:
    """A PDF file as it is written, object by object."""

    def __init__(self) -> None:
        self._body = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
        self._offsets: list[int] = [0]
        self.shared: dict[str, int] = {}

    def reserve(self) -> int:
        """Return the number of an object that is written later."""
        self._offsets.append(0)
        return len(self._offsets) - 1

    def put(self, number: int, text: str, stream: bytes | None = None) -> None:
        """Write an object."""
        self._offsets[number] = len(self._body)
        self._body += f"{number} 0 obj\n{text}\n".encode("latin-1")
        if stream is not None:
            self._body += b"stream\n"
            self._body += stream
            self._body += b"\nendstream\n"
        self._body += b"endobj\n"

    def end(self, catalogue: int, info: int) -> bytes:
        """Return the whole file; the same content gives the same bytes."""
        mark = hashlib.sha256(self._body).hexdigest()[:32]
        at = len(self._body)
        table = "".join(f"{offset:010d} 00000 n \n" for offset in self._offsets[1:])
        count = len(self._offsets)
        self._body += f"xref\n0 {count}\n0000000000 65535 f \n{table}trailer\n".encode()
        self._body += f"<</Size {count}/Root {catalogue} 0 R/Info {info} 0 R/ID[<{mark}><{mark}>]>>\n".encode()
        self._body += f"startxref\n{at}\n%%EOF\n".encode()
        return bytes(self._body)


class _Numbers:
    """The numbers that a card's objects have in a file; what is shared has them once."""

    def __init__(self, file: _File, card: Fragment) -> None:
        self.new: list[int] = []
        self._known: dict[int, int] = {}
        for number in range(len(card.objects)):
            mark = card.shared.get(number)
            if mark is not None and mark in file.shared:
                self._known[number] = file.shared[mark]
                continue
            self._known[number] = file.reserve()
            self.new.append(number)
            if mark is not None:
                file.shared[mark] = self._known[number]

    def __call__(self, number: int) -> int:
        return self._known[number]


def _place(file: _File, card: Fragment, place: int, sheet: int, document: int) -> _Numbers:
    """Write a card's objects, every gap filled in, and return their numbers."""
    numbers = _Numbers(file, card)
    gaps = {PAGE: f"{sheet} 0 R", DOCUMENT: f"{document} 0 R", PLACE: str(place), NAMES: f"card{place}-"}
    gaps |= {number: f"{numbers(number)} 0 R" for number in range(len(card.objects))}
    for number in numbers.new:
        text = "".join(part if isinstance(part, str) else gaps[part] for part in card.objects[number])
        file.put(numbers(number), text, card.streams.get(number))
    return numbers


def _close_sheet(file: _File, sheet: int, pages: int, drawn: Sequence[tuple[int, int]], size: SheetSize) -> None:
    """Write a sheet with its cards and marks."""
    if not drawn:
        return
    lines = []
    for place, _form in drawn:
        x, y = (length / POINT_MM for length in _corner_mm(size, place))
        lines.append(f"q 1 0 0 1 {x:.4f} {y:.4f} cm /Card{place} Do Q\n")
    content = "".join(lines).encode() + _marks(size)
    file.put(drawing := file.reserve(), f"<</Length {len(content)}>>", content)
    box = f"[0 0 {size.width_mm / POINT_MM:.4f} {size.height_mm / POINT_MM:.4f}]"
    forms = "".join(f"/Card{place} {form} 0 R" for place, form in drawn)
    resources = f"/Resources<</XObject<<{forms}>> >>"
    file.put(sheet, f"<</Type/Page/Parent {pages} 0 R/MediaBox{box}{resources}/Contents {drawing} 0 R>>")


def _refs(numbers: Sequence[int]) -> str:
    return " ".join(f"{number} 0 R" for number in numbers)


def _string(text: str) -> str:
    return f"<FEFF{text.encode('utf-16-be').hex()}>"


def _corner_mm(size: SheetSize, place: int) -> tuple[float, float]:
    """Return the lower left corner [mm] of the card at `place`, counted row by row from the upper left."""
    card = CARD_SIZES[size.card]
    left = (size.width_mm - size.columns * card.width_mm) / 2
    bottom = (size.height_mm - size.rows * card.height_mm) / 2
    row, column = divmod(place, size.columns)
    return left + column * card.width_mm, bottom + (size.rows - 1 - row) * card.height_mm


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
