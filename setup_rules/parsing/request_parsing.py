"""Plain data, shaped like the JSON interface, to a request and back: every problem at once, never another error."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Mapping
from dataclasses import MISSING, fields
from typing import Any, Final, get_args

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed
from setup_rules.parsing.consistency import check_whole
from setup_rules.parsing.measured_parsing import keep_the_day, measured_problems
from setup_rules.parsing.shop_checks import read_shop_checks
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.limits import LIMITS, MOST_PUSHES, MOST_RATES, Limit
from setup_rules.types.request import (
    BROUGHT_BY_BIKE,
    ChartWeight,
    Conditions,
    Datum,
    FrontEnd,
    MainSpring,
    NegativeSize,
    NegativeSpring,
    Pairs,
    PushedAt,
    Rates,
    RearEnd,
    RidingStyle,
    SetupRequest,
    SpringTest,
    Stance,
)
from setup_rules.types.spring_memory import SpringMemory

_CHOICES: Final[dict[str, tuple[str, ...]]] = {
    "riding_style": get_args(RidingStyle),
    "stance": get_args(Stance),
    "weighed_stance": get_args(Stance),
    "at": get_args(PushedAt),
    "negative_spring": get_args(NegativeSpring),
    "negative_size": get_args(NegativeSize),
    "spring": get_args(MainSpring),
    "datum": get_args(Datum),
    "chart_weight": get_args(ChartWeight),
}


def read_request(data: Mapping[str, Any]) -> SetupRequest:
    """Build a `SetupRequest` from plain data shaped like the JSON interface.

    Parameters
    ----------
    data : mapping
        Keys as in `SetupRequest`, numbers in the unit that the key names; `ride` defaults to `bench`.

    Returns
    -------
    SetupRequest
        The request, every value inside `setup_rules.types.limits.LIMITS`.

    Raises
    ------
    RequestError
        With one `Problem` for each unknown key, missing key and value out of range.

    Examples
    --------
    >>> read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}).kit_mass_kg
    4.0
    """
    problems: list[Problem] = []
    values = _read_fields(SetupRequest, data, "", problems)
    check_whole(values, problems)
    if problems:
        raise RequestError(tuple(problems))
    values.setdefault("ride", values.get("bench", Conditions()))
    request = SetupRequest(**values)
    if unlike := measured_problems(request):
        raise RequestError(unlike)
    return keep_the_day(request)


def request_data(request: SetupRequest) -> dict[str, Any]:
    """Return `request` as plain data that `read_request` takes back unchanged; unknown (None) fields are left out."""
    return _plain(request)


def _plain(part: Any) -> dict[str, Any]:
    # Not dataclasses.asdict: it copies every leaf, and the leaves are numbers, texts and tuples of numbers.
    given = ((name, getattr(part, name)) for name in _names(part.__class__))
    nested = (Conditions, FrontEnd, RearEnd)
    return {name: _plain(v) if isinstance(v, nested) else v for name, v in given if v is not None}


@functools.cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind))


_NESTED: Final[dict[str, type]] = {
    "bench": Conditions,
    "ride": Conditions,
    "front": FrontEnd,
    "rear": RearEnd,
    "spring_test": SpringTest,
}
#: Lists of numbers, each with the limit of one entry.
_LISTS: Final = {"compression_mm": "compression_mm", "force_down_n": "push_n", "force_up_n": "push_n"}


def _read_fields(kind: type, data: Any, prefix: str, problems: list[Problem]) -> dict[str, Any]:
    if not isinstance(data, Mapping):
        problems.append(Problem(prefix.rstrip(".") or "body", Message.of("problem.no_object")))
        return {}
    known = {f.name: f for f in fields(kind)}
    for key in data:
        # What only a bike brings is passed on inside the rules, as it is; nobody writes it.
        if key not in known or (key in BROUGHT_BY_BIKE and not isinstance(data[key], SpringMemory)):
            problems.append(unknown_key(key, prefix))
    values: dict[str, Any] = {}
    for name, spec in known.items():
        raw = data.get(name)
        if raw is None:
            if spec.default is MISSING and spec.default_factory is MISSING:
                problems.append(
                    Problem(f"{prefix}{name}", Message.of("problem.needed", label=Message.of(f"label.{name}")))
                )
            continue
        if name in BROUGHT_BY_BIKE:
            values |= {name: raw} if isinstance(raw, SpringMemory) else {}
            continue
        value = _read_value(name, raw, f"{prefix}{name}", problems)
        if value is not None:
            values[name] = value
    return values


def _read_value(name: str, raw: Any, path: str, problems: list[Problem]) -> Any:
    if name in _NESTED:
        before = len(problems)
        values = _read_fields(_NESTED[name], raw, f"{path}.", problems)
        return _NESTED[name](**values) if len(problems) == before else None
    if name in _CHOICES:
        if isinstance(raw, str) and raw in _CHOICES[name]:
            return raw
        problems.append(Problem(path, unknown_choice(raw, _CHOICES[name])))
        return None
    if name in _LISTS:
        return _read_list(LIMITS[_LISTS[name]], raw, path, problems)
    if name == "leverage_table":
        return _read_table(raw, path, problems)
    if name == "chart":
        return _read_chart(raw, path, problems)
    if name == "rebound_points":
        return _read_points(raw, path, problems)
    if name == "stocked_rates_n_per_mm":
        return _read_rates(raw, path, problems)
    if name == "shop_checks":
        return read_shop_checks(raw, path, problems)
    return read_number(LIMITS[name], raw, path, problems)


def read_number(limit: Limit, raw: Any, path: str, problems: list[Problem]) -> float | int | None:
    """Return a number of plain data inside its limit, None after adding what is wrong with it to `problems`."""
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        problems.append(Problem(path, Message.of("problem.no_number", label=limit.label, found=shown(raw))))
        return None
    try:
        value = float(raw)
    except OverflowError:
        value = math.inf
    if not limit.holds(value):
        problems.append(Problem(path, limit.refusal(value)))
        return None
    if limit.whole and value != int(value):
        problems.append(Problem(path, Message.of("problem.not_whole", label=limit.label, value=as_typed(value))))
        return None
    return int(value) if limit.whole else value


def _read_list(limit: Limit, raw: Any, path: str, problems: list[Problem]) -> tuple[float, ...] | None:
    if not isinstance(raw, list | tuple):
        problems.append(Problem(path, Message.of("problem.no_list", found=shown(raw))))
        return None
    if len(raw) > MOST_PUSHES:
        said = Message.of("problem.list_too_long", count=len(raw), most=MOST_PUSHES)
        problems.append(Problem(path, said))
        return None
    before = len(problems)
    values = [read_number(limit, one, path, problems) for one in raw]
    return tuple(float(one) for one in values if one is not None) if len(problems) == before else None


def _read_table(raw: Any, path: str, problems: list[Problem]) -> Pairs | None:
    limit = LIMITS["leverage_start"]
    try:
        pairs = tuple(_pair(row) for row in raw)
    except (TypeError, ValueError, OverflowError):
        problems.append(Problem(path, Message.of("problem.leverage_pairs")))
        return None
    positions = [a for a, _ in pairs]
    if not 2 <= len(pairs) <= 200 or any(not b > a for a, b in itertools.pairwise(positions)):
        problems.append(Problem(path, Message.of("problem.leverage_rows")))
        return None
    for _, ratio in pairs:
        if not limit.holds(ratio):
            problems.append(Problem(path, limit.refusal(ratio)))
            return None
    return pairs


def _read_chart(raw: Any, path: str, problems: list[Problem]) -> Pairs | None:
    try:
        rows = tuple(_pair(row) for row in raw)
    except (TypeError, ValueError, OverflowError):
        problems.append(Problem(path, Message.of("problem.chart_pairs")))
        return None
    if not 2 <= len(rows) <= 60:
        problems.append(Problem(path, Message.of("problem.chart_rows", count=len(rows))))
        return None
    found = len(problems)
    for number, (mass, psi) in enumerate(rows, 1):
        for limit, value in ((LIMITS["rider_mass_kg"], mass), (LIMITS["max_pressure_psi"], psi)):
            if not min(limit.low, 5.0) <= value <= limit.high * 1.25:
                problems.append(
                    Problem(path, Message.of("problem.chart_row", row=number, problem=limit.refusal(value)))
                )
    for number, (before, after) in enumerate(itertools.pairwise(rows), 2):
        if not (after[0] > before[0] and after[1] > before[1]):
            problems.append(Problem(path, Message.of("problem.chart_order", row=number)))
    return rows if len(problems) == found else None


def _read_points(raw: Any, path: str, problems: list[Problem]) -> Pairs | None:
    try:
        points = tuple(_pair(row) for row in raw)
    except (TypeError, ValueError, OverflowError):
        points = ()
    if len(points) != 2:
        problems.append(Problem(path, Message.of("problem.damper_points")))
        return None
    for point in points:
        for name, value in zip(("damper_clicks", "damper_n_s_per_m"), point, strict=True):
            if not LIMITS[name].holds(value):
                problems.append(Problem(path, LIMITS[name].refusal(value)))
                return None
    if not (points[1][0] > points[0][0] and points[1][1] < points[0][1]):
        problems.append(Problem(path, Message.of("problem.damper_points_order")))
        return None
    return points


def _read_rates(raw: Any, path: str, problems: list[Problem]) -> Rates | None:
    """Return rates of springs rising, each once; an empty list means that none is stocked."""
    if not isinstance(raw, list | tuple):
        problems.append(Problem(path, Message.of("problem.no_list", found=shown(raw))))
        return None
    if len(raw) > MOST_RATES:
        problems.append(Problem(path, Message.of("problem.list_too_long", count=len(raw), most=MOST_RATES)))
        return None
    read = [read_number(LIMITS["stocked_rates_n_per_mm"], one, path, problems) for one in raw]
    rates = sorted({float(one) for one in read if one is not None})
    return tuple(rates) or None


def _pair(row: Any) -> tuple[float, float]:
    position, ratio = row
    if not all(isinstance(v, int | float) and not isinstance(v, bool) for v in (position, ratio)):
        raise TypeError("A leverage row holds two numbers.")
    return float(position), float(ratio)


def unknown_key(key: Any, prefix: str = "") -> Problem:
    """Return the refusal of a key that nothing is read from."""
    name = key if key and isinstance(key, str) else shown(key)
    return Problem(f"{prefix}{name}"[:120], Message.of("problem.unknown_key"))


def unknown_choice(raw: Any, choices: tuple[str, ...]) -> Message:
    """Return what is said of a value that is none of the choices."""
    return Message.of("problem.unknown_choice", found=shown(raw), choices=", ".join(choices))


def shown(raw: Any) -> str:
    """Return `raw` in signs that need no translation; nested and huge things short, since they may not end."""
    if isinstance(raw, str):
        return repr(raw if len(raw) <= 40 else raw[:37] + "...")
    if isinstance(raw, bool):
        return str(raw).lower()
    if isinstance(raw, float) or (isinstance(raw, int) and abs(raw) < 10**15):
        return repr(raw)
    if isinstance(raw, Mapping):
        return "{…}"
    if isinstance(raw, int):
        return f"{'−' if raw < 0 else ''}10^{math.log10(abs(raw)):.0f}"
    return "[…]" if isinstance(raw, list | tuple) else f"<{type(raw).__name__}>"
