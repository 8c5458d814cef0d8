"""What no value in a shop's file may be, wherever it stands: what no database or page of ours could take."""

from __future__ import annotations

from typing import Any, Final

from webapp.moving.shape import wrong_place

#: How deep lists and mappings lie in each other at most; what we write needs about half of it.
DEEPEST: Final = 40
#: The largest whole number: any reader of JSON still takes it exactly.
LARGEST: Final = 2**53
_LONGEST_PLACE: Final = 100


def check_plain(value: Any, place: str = "", depth: int = 0) -> None:
    """Return when nothing in `value` is nested too deeply, too large a number, or no text that can be stored.

    Raises
    ------
    ShopFileError
        With the first place that is.
    """
    if isinstance(value, str):
        good = _is_text(value)
    elif isinstance(value, int):
        good = abs(value) <= LARGEST
    elif isinstance(value, dict | list):
        good = depth < DEEPEST
        for name, item in _items(value) if good else ():
            if not _is_text(name):
                raise wrong_place(place or "file")
            if type(item) is not float:  # nearly all of a file is curves, and its reader took finite numbers only
                check_plain(item, _join(place, name, listed=isinstance(value, list)), depth + 1)
    else:
        good = True
    if not good:
        raise wrong_place(place or "file")


def _items(value: Any) -> Any:
    return value.items() if isinstance(value, dict) else ((str(n), item) for n, item in enumerate(value))


def _join(place: str, name: str, *, listed: bool) -> str:
    """Return where an item stands, in words that a terminal can show: a file may call its keys anything."""
    if len(place) > _LONGEST_PLACE:
        return place
    if not (listed or (name.isascii() and name.isidentifier())):
        name = "?"
    if listed:
        return f"{place}[{name}]"
    return f"{place}.{name}" if place else name


def _is_text(text: str) -> bool:
    """Return whether a text can be stored: PostgreSQL takes no zero byte, and half a character has no UTF-8."""
    return "\0" not in text and not any("\ud800" <= char <= "\udfff" for char in text)
