"""What no value in a shop's file may be, wherever it stands: what no database or page of ours could take."""

from __future__ import annotations

from typing import Any, Final

from webapp.moving.shape import wrong_place

#: How deep lists and mappings lie in each other at most; what we write needs about half of it.
DEEPEST: Final = 40
#: The largest whole number: any reader of JSON still takes it exactly.
LARGEST: Final = 2**53
#: Names and numbers that tell where something stands, the outermost first.
_TOLD: Final = 12


def check_plain(data: Any) -> None:
    """Return when nothing in `data` is nested too deeply, too large a number, or no text that can be stored.

    Raises
    ------
    ShopFileError
        With the first place that is.
    """
    found = _find_wrong(data, 0)
    if found is not None:
        raise wrong_place(_tell_place(found[::-1][:_TOLD]) or "file")


def _find_wrong(value: Any, depth: int) -> list[str | int] | None:
    """Return where a wrong value is, the innermost name first, None where there is none.

    Nearly all of a file is curves: their floats are passed by, since their reader took finite numbers only.
    """
    if isinstance(value, str):
        return None if _is_text(value) else []
    if isinstance(value, int):
        return None if abs(value) <= LARGEST else []
    if not isinstance(value, dict | list):
        return None
    if depth >= DEEPEST:
        return []
    if isinstance(value, dict) and not all(map(_is_text, value)):
        return []
    for name, item in value.items() if isinstance(value, dict) else enumerate(value):
        if type(item) is not float and (found := _find_wrong(item, depth + 1)) is not None:
            return [*found, name]
    return None


def _tell_place(names: list[str | int]) -> str:
    """Return where something stands, in signs that a terminal shows: a file may call its keys anything."""
    told = ""
    for name in names:
        if isinstance(name, int):
            told += f"[{name}]"
        else:
            shown = name[:40] if name.isascii() and name.isidentifier() else "?"
            told += f".{shown}" if told else shown
    return told


def _is_text(text: str) -> bool:
    """Return whether a text can be stored: PostgreSQL takes no zero byte, and half a character has no UTF-8."""
    return "\0" not in text and (text.isascii() or not any("\ud800" <= char <= "\udfff" for char in text))
