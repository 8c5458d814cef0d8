"""What differs between a thing in a shop's file and the same thing here, told without its link."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l

Kind = Literal["setup", "unit", "record", "bike"]
_KINDS: Final = {"setup": _l("setup"), "unit": _l("fork or shock"), "record": _l("service record"), "bike": _l("bike")}
#: What differs in a record, in a word; the first that fits is told.
_RECORD_PARTS: Final = (
    (("bike_label", "unit_label", "customer_reference", "spring_end"), _l("what it is called")),
    (("state", "closed_at", "setup_revision"), _l("open or closed")),
    (("as_found",), _l("as received")),
    (("steps",), _l("steps")),
    (("as_left", "next_due_on", "next_due_hours"), _l("final settings")),
    (("draft", "setup_code"), _l("its setup")),
    (("opened_at", "closing_key"), _l("another record with this code")),
    (("changes",), _l("history")),
)
#: What no change of a record touches.
_FIXED: Final = (
    *("short_code", "bike_label", "unit_label", "customer_reference", "spring_end", "opened_at", "closing_key"),
)


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that is not added: its kind, what the shop calls it, its short code ("": none), and what differs."""

    kind: Kind
    name: str
    short_code: str
    what: str

    def __str__(self) -> str:
        told = {"kind": _KINDS[self.kind], "name": self.name or _("no name"), "what": self.what}
        if not self.short_code:
            return _("%(kind)s “%(name)s”: %(what)s", **told)
        return _("%(kind)s “%(name)s” (%(short_code)s): %(what)s", short_code=self.short_code, **told)


def setup_differs(data: Mapping[str, Any], what: str) -> Difference:
    """Name a setup by the bike's label in its newest version; the code of its link opens it and is not told."""
    label = data["revisions"][-1]["bike_label"] if data["revisions"] else ""
    return Difference("setup", label, data["short_code"] or "", what)


def unit_differs(data: Mapping[str, Any]) -> Difference:
    """Name a fork or shock."""
    return Difference("unit", data["name"], "", _("contents"))


def bike_differs(data: Mapping[str, Any]) -> Difference:
    """Name a bike by its number and label; its tag opens a page and is not told."""
    name = " · ".join(text for text in (data["number"], data["label"]) if text)
    return Difference("bike", name, "", _("contents"))


def record_differs(data: Mapping[str, Any], what: str) -> Difference:
    """Name a service record by its labels."""
    name = " · ".join(text for text in (data["bike_label"], data["customer_reference"]) if text)
    return Difference("record", name, data["short_code"], what)


def compare_setups(here: Mapping[str, Any], there: Mapping[str, Any], owner: int | None, shop_id: int) -> str:
    """Return in a word what differs in what both have, "" where one merely goes on from the other.

    `owner` is the shop that the setup belongs to here.
    """
    if owner != shop_id:
        return _("belongs to no shop here") if owner is None else _("belongs to another shop")
    if there["deleted_at"] is not None:
        return _("deleted there")
    if here["short_code"] != there["short_code"]:
        return _("short code")
    if here["owner_key_hash"] != there["owner_key_hash"]:
        return _("owner's link")
    if here["created_at"] != there["created_at"] or not there["revisions"] or not here["revisions"]:
        return _("another setup with this link")
    for mine, theirs in zip(here["revisions"], there["revisions"], strict=False):
        if mine != theirs:
            return _("contents of version %(number)d", number=theirs["number"])
    return ""


def compare_records(here: Mapping[str, Any], there: Mapping[str, Any], *, of_gone_setup: bool) -> str:
    """Return in a word what differs in a record, "" for nothing; with which setup matters only while its link works."""
    mine, theirs = _without_names(here), _without_names(there)
    if of_gone_setup:
        mine["setup_code"] = theirs["setup_code"]
    for names, told in _RECORD_PARTS:
        if any(mine[name] != theirs[name] for name in names):
            return str(told)
    return ""


def goes_on(earlier: Mapping[str, Any], later: Mapping[str, Any]) -> bool:
    """Return whether `later` is `earlier` with more done to it.

    Whatever changes a record adds a line to its history, and closed ones do not change. So one that has no line of
    its own has nothing of its own.
    """
    lines, more = _without_names(earlier)["changes"], _without_names(later)["changes"]
    same = all(earlier[name] == later[name] for name in _FIXED)
    return same and earlier["state"] == "open" and len(more) > len(lines) and more[: len(lines)] == lines


def _without_names(record: Mapping[str, Any]) -> dict[str, Any]:
    """Return a record without who did what: an account may have another login here."""
    changes = [{k: v for k, v in one.items() if k != "made_by"} for one in record["changes"]]
    return {k: v for k, v in record.items() if k not in ("opened_by", "closed_by")} | {"changes": changes}
