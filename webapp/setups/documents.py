"""A `Setup` as plain data and back, exactly: what is stored today must answer the same in years.

The shape follows the dataclasses of `setup_rules`. A field that a later version adds with a default is filled
from it when an older document is read; one without a default needs a migration of the stored documents.
"""

from __future__ import annotations

import functools
import types
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, Final, Literal, Union, get_args, get_origin

from cattrs import Converter

from setup_rules import Setup, request_data
from setup_rules.types.result import Note, TakenCheck
from webapp.setups.stored_notes import note_data, note_from_data

_SCALARS: Final = frozenset({float, int, str, bool, type(None)})


@dataclass(frozen=True, slots=True)
class SetupDocument:
    """The three parts that a revision stores: what was asked, what was measured, what was answered."""

    request: dict[str, Any]
    checks: list[Any]
    result: dict[str, Any]


def setup_document(setup: Setup) -> SetupDocument:
    """Return `setup` as plain data (numbers, texts, lists and mappings only)."""
    result = {f.name: _plain(getattr(setup, f.name)) for f in fields(setup) if f.name not in ("request", "checks")}
    checks = [_plain_check(taken) for taken in setup.checks]
    return SetupDocument(_plain_list(request_data(setup.request)), checks, result)


def setup_from_document(document: SetupDocument) -> Setup:
    """Return the setup that `setup_document` was given, equal to it in every field.

    Raises
    ------
    ValueError, KeyError, TypeError
        When the data is not such a document.
    """
    whole = {**document.result, "request": document.request, "checks": document.checks}
    return _READER.structure(whole, Setup)


def taken_checks(data: Sequence[Any]) -> tuple[TakenCheck, ...]:
    """Return the checks of a stored revision, without the rest of it (raises as `setup_from_document`)."""
    return tuple(_READER.structure(one, TakenCheck) for one in data)


def _plain_check(taken: TakenCheck) -> dict[str, Any]:
    data = {"check": _plain(taken.check), "request": _plain_list(request_data(taken.request))}
    data |= {"struck": True} if taken.struck else {}
    return data if taken.carried_mm is None else {**data, "carried_mm": taken.carried_mm}


@functools.cache
def _field_names(kind: Any) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind)) if is_dataclass(kind) else ()


def _plain(value: Any) -> Any:
    kind: Any = type(value)
    if kind in _SCALARS:
        return value
    if kind is Note:
        return note_data(value)
    if names := _field_names(kind):
        return {name: _plain(getattr(value, name)) for name in names}
    return _plain_list(value)


def _plain_list(value: Any) -> Any:
    if isinstance(value, tuple | list):
        if value and type(value[0]) is float:
            return list(value)  # a curve: hundreds of numbers that need no second look
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    return value


def _make_reader() -> Converter:
    """Return what turns plain data into the rules' types, a float from a whole number too, all else as it is."""
    reader = Converter(detailed_validation=False)
    # Stored words and plain values are not held against today's lists: an old document must be read for good.
    reader.register_structure_hook_func(_is_plain, lambda data, _kind: data)
    reader.register_structure_hook(Note, lambda data, _kind: note_from_data(data))
    return reader


def _is_plain(kind: Any) -> bool:
    """Return whether values of `kind` are stored as they are: words, counts, and unions of them but not of floats."""
    if get_origin(kind) in (Union, types.UnionType):
        return len(set(get_args(kind)) - {type(None)}) > 1
    return kind in (int, str, bool) or get_origin(kind) is Literal


_READER: Final = _make_reader()
