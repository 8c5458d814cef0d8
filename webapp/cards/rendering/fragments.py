"""A finished card taken apart once, so that it goes onto any sheet by renumbering alone. With `type_case.py`: pikepdf.

Imposed object by object, a card's eighty tags cost more than fetching it. Here its objects become texts with gaps for
numbers; `sheets.py` fills them in. Fonts are known by what they hold, so that cards that share one carry it once.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from pikepdf import Array, Dictionary, Name, Object, Pdf, Stream, String

#: Gaps that are no object of the card: the page and the document that it is laid in, its place among all cards of the
#: file, and what its names begin with.
PAGE, DOCUMENT, PLACE, NAMES = -1, -2, -3, -4
#: The first objects of each fragment: its drawing, the top of its tags, and the list of who owns each marked part.
FORM, TREE, OWNERS = 0, 1, 2
_PLACE_MARK: Final = 987_654_321
_NAME_MARK: Final = "card-name-mark-"
#: A text in brackets or in hex, which is left alone, or a reference, or one of the marks.
_GAPS: Final = re.compile(rf"\(((?:\\.|[^\\()])*)\)|<[0-9a-fA-F]*>|\b([0-9]+) 0 R|\b{_PLACE_MARK}\b")

Parts = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Fragment:
    """A card in parts: texts with gaps by object, streams of those that have one, and marks of what cards can share."""

    objects: tuple[Parts, ...]
    streams: dict[int, bytes]
    shared: dict[int, str]

    def to_bytes(self) -> bytes:
        """Return the fragment as one piece, to be kept."""
        places: list[tuple[int, int]] = [(number, len(body)) for number, body in self.streams.items()]
        head = json.dumps([self.objects, places, list(self.shared.items())], separators=(",", ":")).encode()
        return b"%d\n" % len(head) + head + b"".join(self.streams.values())

    @classmethod
    def from_bytes(cls, kept: bytes) -> Fragment:
        """Return what `to_bytes` made one piece of."""
        length, _line, _rest = kept.partition(b"\n")
        begin = len(length) + 1
        at = begin + int(length)
        objects, places, shared = json.loads(kept[begin:at])
        streams = {}
        for number, size in places:
            streams[number] = kept[at : at + size]
            at += size
        return cls(tuple(tuple(one) for one in objects), streams, dict(shared))


def take_apart(card: bytes) -> Fragment:
    """Return a finished card, a tagged PDF of one page, as a fragment."""
    with Pdf.open(io.BytesIO(card)) as source:
        page, document = (source.make_indirect(Dictionary()) for _turn in range(2))
        form = source.make_indirect(source.pages[0].as_form_xobject())
        form.write(zlib.compress(form.read_bytes()), filter=Name.FlateDecode)
        root = source.Root.StructTreeRoot
        tree, owners = root.K[0], source.make_indirect(root.ParentTree.Nums[1])
        _graft(tree, document, page, form)
        form.StructParents = _PLACE_MARK
        return _Reader(source, page, document).read(form, tree, owners)


class _Reader:
    """Walks from a few objects to all that they lead to and gives each its number in the fragment."""

    def __init__(self, source: Pdf, page: Object, document: Object) -> None:
        self._source = source
        self._numbers = {page.objgen[0]: PAGE, document.objgen[0]: DOCUMENT}
        self._waiting: list[Object] = []

    def read(self, *tops: Object) -> Fragment:
        """Return the fragment of the objects that `tops` lead to."""
        for top in tops:
            self._number(top)
        objects: list[Parts] = []
        streams: dict[int, bytes] = {}
        while len(objects) < len(self._waiting):
            one = self._waiting[len(objects)]
            if isinstance(one, Stream):
                streams[len(objects)] = one.read_raw_bytes()
            objects.append(tuple(self._parts(_text(one))))
        return Fragment(tuple(objects), streams, _shared(objects, streams, self._fonts(tops[0])))

    def _number(self, one: Object) -> int:
        key = one.objgen[0]
        if key not in self._numbers:
            self._numbers[key] = len(self._waiting)
            self._waiting.append(one)
        return self._numbers[key]

    def _parts(self, text: str) -> Iterator[str | int]:
        at = 0
        for found in _GAPS.finditer(text):
            if found[2]:
                gap, end = self._number(self._source.get_object(int(found[2]), 0)), found.end()
            elif found[0] == str(_PLACE_MARK):
                gap, end = PLACE, found.end()
            elif (found[1] or "").startswith(_NAME_MARK):
                yield text[at : found.start() + 1]
                yield NAMES
                at = found.start() + 1 + len(_NAME_MARK)
                continue
            else:
                continue
            yield text[at : found.start()]
            yield gap
            at = end
        yield text[at:]

    def _fonts(self, form: Object) -> list[int]:
        return [self._number(font) for font in form.Resources.get("/Font", Dictionary()).values() if font.is_indirect]


def _text(one: Object) -> str:
    """Return an object as it stands in a file; of a stream, its dictionary."""
    if isinstance(one, Stream):
        kept = Dictionary({key: value for key, value in one.stream_dict.items() if key != "/Length"})
        kept.Length = len(one.read_raw_bytes())
        return kept.unparse().decode("latin-1")
    return one.unparse(resolved=True).decode("latin-1")


def _shared(objects: list[Parts], streams: dict[int, bytes], fonts: list[int]) -> dict[int, str]:
    """Return a mark of what it holds for each object that fonts are made of."""
    marks: dict[int, str] = {}

    def mark(number: int) -> str:
        if number not in marks:
            whole = hashlib.sha256(streams.get(number, b""))
            for part in objects[number]:
                whole.update((part if isinstance(part, str) else mark(part)).encode("latin-1"))
            marks[number] = whole.hexdigest()[:32]
        return marks[number]

    for font in fonts:
        mark(font)
    return marks


def _graft(tree: Object, document: Object, page: Object, form: Object) -> None:
    """Hang a card's tags below `document`, each marked part now found in `form` on `page`, each name with a mark."""
    tree.S = Name.Part
    tree.P = document
    for element in _elements(tree):
        element.Pg = page
        element.K = Array([_part(kid, page, form) for kid in element.get("/K", Array())])
        _mark_names(element)


def _mark_names(element: Object) -> None:
    """Mark the names by which a table's cells find their heads: two cards use the same ones."""
    if "/ID" in element:
        element.ID = String(_NAME_MARK + str(element.ID))
    attributes = element.get("/A", Dictionary())
    if "/Headers" in attributes:
        attributes.Headers = Array([String(_NAME_MARK + str(head)) for head in attributes.Headers])


def _elements(element: Object) -> Iterator[Object]:
    yield element
    for kid in element.get("/K", Array()):
        if isinstance(kid, Dictionary) and kid.get("/Type") == Name.StructElem:
            yield from _elements(kid)


def _part(kid: Any, page: Object, form: Object) -> Any:
    """Return a kid of a tag; a bare number, a marked part of the page, becomes the same part of the form."""
    if isinstance(kid, int):
        return Dictionary(Type=Name.MCR, Pg=page, Stm=form, MCID=kid)
    return kid
