"""A `Setup` as plain data and back, exactly: what is stored today must answer the same in years.

The shape follows the dataclasses of `setup_rules`. A field that a later version adds with a default is filled
from it when an older document is read; one without a default needs a migration of the stored documents.
"""

from __future__ import annotations

import functools
import types
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, Final, Literal, Union, get_args, get_origin, get_type_hints

from setup_rules import Setup, SetupRequest, request_data
from setup_rules.types.result import Note, TakenCheck
from webapp.setups.stored_notes import note_data, note_from_data

Reader = Callable[[Any], Any]
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
    return SetupDocument(_listed(request_data(setup.request)), checks, result)


def setup_from_document(document: SetupDocument) -> Setup:
    """Return the setup that `setup_document` was given, equal to it in every field.

    Raises
    ------
    ValueError, KeyError, TypeError
        When the data is not such a document.
    """
    whole = {**document.result, "request": document.request, "checks": document.checks}
    setup: Setup = _reader(Setup)(whole)
    return setup


def request_from_document(data: Mapping[str, Any]) -> SetupRequest:
    """Return the stored request, without holding it against today's limits."""
    request: SetupRequest = _reader(SetupRequest)(data)
    return request


def _plain_check(taken: TakenCheck) -> dict[str, Any]:
    return {"check": _plain(taken.check), "request": _listed(request_data(taken.request))}


@functools.cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind)) if is_dataclass(kind) else ()


def _plain(value: Any) -> Any:
    kind: Any = type(value)
    if kind in _SCALARS:
        return value
    if kind is Note:
        return note_data(value)
    if names := _names(kind):
        return {name: _plain(getattr(value, name)) for name in names}
    return _listed(value)


def _listed(value: Any) -> Any:
    if isinstance(value, tuple | list):
        if value and type(value[0]) is float:
            return list(value)  # a curve: hundreds of numbers that need no second look
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    return value


@functools.cache
def _reader(kind: Any) -> Reader:
    """Return the function that turns plain data into `kind`; built once for each type."""
    if kind is Note:
        return note_from_data
    if is_dataclass(kind) and isinstance(kind, type):
        return _record_reader(kind)
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _optional_reader(kind)
    if origin is tuple:
        return _tuple_reader(get_args(kind))
    if kind is float:
        return _as_float
    if kind in (int, str, bool) or origin in (Literal, dict):
        return _as_it_is
    raise TypeError(f"A stored setup cannot hold {kind!r}. Teach `webapp.setups.documents` to read it.")


def _record_reader(kind: type) -> Reader:
    hints = get_type_hints(kind)
    readers = {f.name: _reader(hints[f.name]) for f in fields(kind)}

    def read(data: Any) -> Any:
        return kind(**{name: readers[name](value) for name, value in data.items() if name in readers})

    return read


def _optional_reader(kind: Any) -> Reader:
    inner = [option for option in get_args(kind) if option is not type(None)]
    if len(inner) != 1:
        return _as_it_is  # a union of plain numbers and texts; a union of records would not be told apart
    reader = _reader(inner[0])
    return lambda data: None if data is None else reader(data)


def _tuple_reader(kinds: tuple[Any, ...]) -> Reader:
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        if kinds[0] is float:
            return lambda data: tuple(map(float, data))
        each = _reader(kinds[0])
        return lambda data: tuple([each(item) for item in data])
    readers = [_reader(kind) for kind in kinds]
    return lambda data: tuple([read(item) for read, item in zip(readers, data, strict=True)])


def _as_float(data: Any) -> Any:
    return float(data)


def _as_it_is(data: Any) -> Any:
    return data
