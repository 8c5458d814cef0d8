"""Tells quickly that a page surely has no error in its HTML: it is so plainly written that nothing is left to rules.

All that HTML's parsing rules would close, open or move by themselves is refused here, so that only html5lib can say
whether it was an error. Seven times as quick, and so for nearly every page of ours.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Final


def _names(text: str) -> frozenset[str]:
    return frozenset(text.split())


_VOID: Final = _names("br hr img input link meta source wbr col")
_HEAD: Final = _names("title meta link script style base noscript")
_WITHOUT_SCRIPT: Final = _names("link meta style")
#: What may stand in a paragraph, or a heading; the others end a paragraph.
_PHRASING: Final = _names(
    "a abbr b bdi br button cite code data dfn em i img input kbd label mark meter output progress q s samp script "
    "select small span strong sub sup svg textarea time u var wbr"
)
_FLOW: Final = _PHRASING | _names(
    "address article aside blockquote details dialog div dl fieldset figcaption figure footer form h1 h2 h3 h4 h5 h6 "
    "header hr legend main nav ol p pre section summary table template ul datalist"
)
#: Where these stand, and nothing else.
_ONLY_IN: Final = {
    "html": ("",),
    **dict.fromkeys(("head", "body"), ("html",)),
    "li": ("ul", "ol"),
    **dict.fromkeys(("dt", "dd"), ("dl", "div")),
    "option": ("select", "optgroup", "datalist"),
    "optgroup": ("select",),
    **dict.fromkeys(("caption", "thead", "tbody", "tfoot", "colgroup"), ("table",)),
    "col": ("colgroup",),
    "tr": ("thead", "tbody", "tfoot"),
    **dict.fromkeys(("td", "th"), ("tr",)),
}
#: What holds nothing but these, and blanks between them.
_HOLDS: Final = _names("table thead tbody tfoot tr colgroup html head noscript select optgroup ul ol")
_TEXT_ONLY: Final = _names("title textarea option script style")
_DRAWING: Final = _names("g path line rect circle ellipse polyline polygon text tspan title desc defs use")
_NOT_IN_ITSELF: Final = _names("a button form label option p table h1 h2 h3 h4 h5 h6")
_HEADINGS: Final = _names("h1 h2 h3 h4 h5 h6")

_ATTRIBUTE: Final = r"[a-zA-Z][\w:.-]*(?:=\"[^\"]*\")?"
_TAG: Final = re.compile(rf"<(/?)([a-zA-Z][a-zA-Z0-9]*)((?:\s+{_ATTRIBUTE})*)\s*(/?)>")
_NAME: Final = re.compile(r"\s([a-zA-Z][\w:.-]*)(?:=\"[^\"]*\")?")
_AMPERSAND: Final = re.compile(r"&(?!(?:amp|lt|gt|quot|nbsp|middot|times|shy|#39|#34);)")
_ODD: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufdd0-\ufdef\ufffe\uffff\ud800-\udfff\U0001fffe-\U0010ffff]")
_BEGIN: Final = re.compile(r"\s*<!doctype html>\s*(?=<html\b)", re.IGNORECASE)


@dataclass
class _Reader:
    """Where in a page the reading is: the elements that are open, outermost first."""

    open: list[str] = field(default_factory=lambda: [""])
    seen: set[str] = field(default_factory=set)

    def opens(self, name: str, *, closed: bool) -> bool:
        """Take a start tag, and return whether it may stand here."""
        inner = self.open[-1]
        if "svg" in self.open:
            if name not in _DRAWING or inner in ("title", "desc"):
                return False
        elif not self._may_stand(name, inner) or (closed and name not in _VOID):
            return False
        self.seen.add(name)
        if not closed and name not in _VOID:
            self.open.append(name)
        return True

    def _may_stand(self, name: str, inner: str) -> bool:
        if inner in _TEXT_ONLY or (name in ("html", "head", "body") and name in self.seen):
            return False
        if name in _ONLY_IN:
            return inner in _ONLY_IN[name] and (name != "body" or "head" in self.seen)
        if inner in ("head", "noscript"):
            return name in (_HEAD if inner == "head" else _WITHOUT_SCRIPT)
        if inner in _HOLDS or name not in _FLOW or "body" not in self.open:
            return False
        if name in _NOT_IN_ITSELF and name in self.open:
            return False
        in_line = "p" in self.open or _HEADINGS & {*self.open}
        return not in_line or name in _PHRASING

    def closes(self, name: str) -> bool:
        """Take an end tag, and return whether it ends what was opened last."""
        return len(self.open) > 1 and self.open.pop() == name

    def holds(self, text: str) -> bool:
        """Return whether this text may stand here."""
        if "<" in text or (self.open[-1] not in ("script", "style") and "&" in text and _AMPERSAND.search(text)):
            return False
        return self.open[-1] not in ("", *_HOLDS) or not text.strip()


def is_plainly_right(page: str) -> bool:
    """Return whether a page surely has no error; False says nothing."""
    begin = _BEGIN.match(page)
    if begin is None or _ODD.search(page):
        return False
    reader, place = _Reader(), begin.end()
    for tag in _TAG.finditer(page, place):
        end, name, attributes, closed = tag.groups()
        if not reader.holds(page[place : tag.start()]):
            return False
        if attributes and not _are_right(attributes):
            return False
        if not (reader.closes(name) if end and not attributes else not end and reader.opens(name, closed=bool(closed))):
            return False
        place = tag.end()
    return reader.open == [""] and not page[place:].strip() and "body" in reader.seen


def _are_right(attributes: str) -> bool:
    names = [name.lower() for name in _NAME.findall(attributes)]
    return len(names) == len(set(names)) and ("&" not in attributes or not _AMPERSAND.search(attributes))
