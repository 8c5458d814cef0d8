"""Spoils what a relation says, wherever it is called from: the function's own code is exchanged, not a name for it."""

from __future__ import annotations

import dataclasses
import functools
import gc
import inspect
import types
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from tests.relations.rules import Rule

Call = Callable[[Callable[..., Any], tuple[Any, ...], dict[str, Any]], Any]
#: What stands for a function whose code was exchanged, by its dotted name.
ACTING: dict[str, tuple[Callable[..., Any], Call]] = {}
#: How a number, a count, a yes or no and a word are spoilt.
WAYS: Final = {
    "number": ("× 1.05", "× 0.95", "sign turned", "exponent"),
    "count": ("+ 1", "− 1"),
    "switch": ("turned",),
    "word": ("another word",),
}
#: The code that is put in a function's place.
PUT: Final = """
def put(*args, **kwargs):
    from tests.relations.spoiling import act
    return act({name!r}, args, kwargs)
"""
#: "exponent" leaves what is usual as it is and bends what lies away from it: value·(value/usual)^0.1.
BENT: Final = 0.1


@dataclass(frozen=True)
class Spoiling:
    """One way to spoil a rule: a part of its result ("" the whole, ".field", "[0]"), or two arguments swapped."""

    part: str = ""
    way: str = ""
    swapped: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{' ↔ '.join(self.swapped)}" if self.swapped else f"{self.part} {self.way}".strip()


def act(name: str, args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
    """Do what was put in a function's place."""
    original, call = ACTING[name]
    return call(original, args, kwargs)


def put_in_place(rule: Rule, call: Call) -> None:
    """Let every caller of a rule get what `call` makes of it, whatever name they know it by."""
    function = rule.function
    original = types.FunctionType(
        function.__code__, function.__globals__, function.__name__, function.__defaults__, function.__closure__
    )
    original.__kwdefaults__ = function.__kwdefaults__
    ACTING[rule.name] = original, call
    made: dict[str, Any] = {}
    exec(PUT.format(name=rule.name), made)  # noqa: S102 - four lines of our own
    function.__code__ = made["put"].__code__
    function.__defaults__ = function.__kwdefaults__ = None


@functools.cache
def product_caches() -> list[Any]:
    """Return every cache of the product, looked for once: everything has been imported when tests are collected."""
    caches = (one for one in gc.get_objects() if isinstance(one, functools._lru_cache_wrapper))
    return [one for one in caches if (one.__module__ or "").startswith(("setup_rules", "webapp"))]


def forget_answers() -> None:
    """Empty every cache of the product."""
    for cache in product_caches():
        cache.cache_clear()


def parts_of(result: Any) -> dict[str, Any]:
    """Return the parts of a result that can be spoilt, each with its value."""
    if dataclasses.is_dataclass(result):
        inside = {f".{one.name}": getattr(result, one.name) for one in dataclasses.fields(result)}
    elif isinstance(result, tuple):
        inside = {f"[{place}]": value for place, value in enumerate(result)}
        for place, value in enumerate(result):
            if dataclasses.is_dataclass(value):
                inside |= {f"[{place}]{part}": one for part, one in parts_of(value).items()}
    else:
        inside = {"": result}
    return {part: value for part, value in inside.items() if kind_of(value)}


def kind_of(value: Any) -> str:
    """Return what kind of thing a value is, "" for what is not spoilt."""
    if isinstance(value, bool | np.bool_):
        return "switch"
    if isinstance(value, int):
        return "count"
    if isinstance(value, float | np.floating) or (isinstance(value, np.ndarray) and value.dtype.kind == "f"):
        return "number"
    return "word" if isinstance(value, str) else ""


def spoil(value: Any, way: str, usual: Any) -> Any:
    """Return one value spoilt; `usual` is the size of a number, or another word than this."""
    match way:
        case "× 1.05" | "× 0.95":
            return value * float(way[2:])
        case "sign turned":
            return -value
        case "exponent":
            return value * np.maximum(np.abs(value) / usual, 1e-9) ** BENT if usual else value
        case "+ 1" | "− 1":
            return value + (1 if way == "+ 1" else -1)
        case "turned":
            return not value
    return next((word for word in usual if word != value), f"not {value}")


def put_back(result: Any, part: str, value: Any) -> Any:
    """Return a result with one of its parts exchanged."""
    if not part:
        return value
    if part.startswith("["):
        place, inner = part[1:].split("]", 1)
        new = put_back(result[int(place)], inner, value)
        return tuple(new if i == int(place) else one for i, one in enumerate(result))
    return dataclasses.replace(result, **{part[1:]: value})


class Spoilt:
    """A rule with one spoiling, which remembers whether that ever made a difference."""

    def __init__(self, spoiling: Spoiling, usual: Any) -> None:
        self.spoiling = spoiling
        self.usual = usual
        self.changed = False

    def __call__(self, original: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
        right = original(*args, **kwargs)
        if self.spoiling.swapped:
            wrong = self.swap(original, args, kwargs)
        else:
            value = parts_of(right).get(self.spoiling.part)
            if value is None:
                return right
            wrong = put_back(right, self.spoiling.part, spoil(value, self.spoiling.way, self.usual))
        self.changed = self.changed or not same(right, wrong)  # compared until it does
        return wrong

    def swap(self, original: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
        """Return the result with two arguments turned; an error that this raises is a difference, too."""
        bound = inspect.signature(original).bind(*args, **kwargs)
        bound.apply_defaults()
        one, other = self.spoiling.swapped
        bound.arguments[one], bound.arguments[other] = bound.arguments[other], bound.arguments[one]
        try:
            return original(*bound.args, **bound.kwargs)
        except Exception:
            self.changed = True
            raise


def same(one: Any, other: Any) -> bool:
    """Return whether two results say the same, to rounding."""
    parts, others = parts_of(one), parts_of(other)
    return parts.keys() == others.keys() and all(_same_value(parts[part], others[part]) for part in parts)


def _same_value(one: Any, other: Any) -> bool:
    if kind_of(one) != "number" or kind_of(other) != "number":
        return bool(one == other)
    return np.shape(one) == np.shape(other) and bool(np.allclose(one, other, rtol=1e-12, atol=0.0, equal_nan=True))
