"""JSON schemas of the interface, made from the dataclasses and limits that the validation itself reads."""

from __future__ import annotations

import types
from dataclasses import MISSING, Field, asdict, fields, is_dataclass
from typing import Any, Final, Literal, Union, get_args, get_origin, get_type_hints

from setup_rules.types.limits import LEAST_PUSHES, LIMITS, MOST_PUSHES, MOST_RATES, Limit
from setup_rules.types.request import BROUGHT_BY_BIKE
from webapp.ground.text.sentences import say

Schema = dict[str, Any]

#: What stands in a request but is never sent: a shop puts it there, or the rules keep it with a scale reading.
_PUT_IN_BY_SHOPS: Final = frozenset({"shop_checks", "weighed_kg", "weighed_stance"})
#: Rows of a leverage table and of a unit's chart, as `setup_rules.types.request` takes them.
_TABLE_ROWS: Final = (2, 200)
_CHART_ROWS: Final = (2, 60)
_RATES: Final = "stocked_rates_n_per_mm"

#: Lists of a spring test: the limit of one entry, and what the list holds.
_LISTS: Final = {
    "compression_mm": ("compression_mm", "Compressions of the pushes from full extension [mm], rising."),
    "force_down_n": ("push_n", "Forces held at these compressions, going down [N], rising."),
    "force_up_n": ("push_n", "Forces held at the same compressions, coming up [N], rising."),
}


def request_schema(kind: type, extra: Schema | None = None) -> Schema:
    """Return the schema of one request dataclass; nested ones are referred to by their name."""
    hints = get_type_hints(kind)
    put_in = BROUGHT_BY_BIKE | _PUT_IN_BY_SHOPS
    properties = {f.name: _property(f, hints[f.name]) for f in fields(kind) if f.name not in put_in}
    required = [f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING]
    return {
        "type": "object",
        "description": " ".join((kind.__doc__ or "").split()),
        "properties": properties | (extra or {}),
        "required": required,
        "additionalProperties": False,
    }


def reference(name: str) -> Schema:
    """Return a reference to the component schema `name`."""
    return {"$ref": f"#/components/schemas/{name}"}


def _property(spec: Field[Any], hint: Any) -> Schema:
    kinds = [option for option in _options(hint) if option is not type(None)]
    kind = kinds[0]
    if isinstance(kind, type) and is_dataclass(kind):
        return _nest_schema(kind, nullable=len(_options(hint)) > len(kinds))
    schema = _plain(spec.name, kind)
    if spec.default not in (MISSING, None):
        schema["default"] = spec.default
    # The validation reads a null as "not given", so a field with a default may be null.
    if spec.default is not MISSING and isinstance(schema.get("type"), str):
        schema["type"] = [schema["type"], "null"]
        if "enum" in schema:
            schema["enum"] = [*schema["enum"], None]
    return schema


def _options(hint: Any) -> tuple[Any, ...]:
    return get_args(hint) if get_origin(hint) in (Union, types.UnionType) else (hint,)


def _nest_schema(kind: type, *, nullable: bool) -> Schema:
    if nullable:
        return {"anyOf": [reference(kind.__name__), {"type": "null"}]}
    return {"anyOf": [reference(kind.__name__), {"type": "null"}], "default": asdict(kind())}


def _plain(name: str, kind: Any) -> Schema:
    if get_origin(kind) is Literal:
        return {"type": "string", "enum": list(get_args(kind))}
    if name in _LISTS:
        limit = limit_schema(LIMITS[_LISTS[name][0]])
        rows = {"minItems": LEAST_PUSHES, "maxItems": MOST_PUSHES}
        return {"type": "array", **rows, "description": _LISTS[name][1], "items": limit}
    if name == "leverage_table":
        return _leverage_table()
    if name == "chart":
        return _chart()
    if name == "rebound_points":
        return _rebound_points()
    if name == _RATES:
        return _rates()
    return limit_schema(LIMITS[name])


def limit_schema(limit: Limit) -> Schema:
    """Return the schema of a bounded number, its unit and the reason for its bounds in the description."""
    unit = f" [{limit.unit}]" if limit.unit else ""
    return {
        "type": "integer" if limit.whole else "number",
        "minimum": limit.low,
        "maximum": limit.high,
        "description": f"{say(limit.label)}{unit}. {say(limit.reason)}",
    }


def _leverage_table() -> Schema:
    position: Schema = {"type": "number", "description": "Stroke position [mm]."}
    text = "Leverage ratio over the whole stroke: rising pairs of stroke position [mm] and ratio."
    return _pairs(position, limit_schema(LIMITS["leverage_start"]), _TABLE_ROWS, text)


def _chart() -> Schema:
    mass: Schema = {"type": "number", "description": "Rider mass [kg], as defined in the chart."}
    pressure: Schema = {"type": "number", "description": "Pressure [psi, gauge]."}
    text = "The printed chart of the fork or shock: pairs of rider mass [kg] and pressure [psi, gauge], both rising."
    return _pairs(mass, pressure, _CHART_ROWS, text)


def _rebound_points() -> Schema:
    text = "Two known points of the rebound damper. The second is further out and has less damping."
    return _pairs(limit_schema(LIMITS["damper_clicks"]), limit_schema(LIMITS["damper_n_s_per_m"]), (2, 2), text)


def _rates() -> Schema:
    text = "Rates of the coil springs that you can get [N/mm]."
    return {"type": "array", "maxItems": MOST_RATES, "description": text, "items": limit_schema(LIMITS[_RATES])}


def _pairs(first: Schema, second: Schema, rows: tuple[int, int], description: str) -> Schema:
    return {
        "type": "array",
        "minItems": rows[0],
        "maxItems": rows[1],
        "description": description,
        "items": {"type": "array", "prefixItems": [first, second], "minItems": 2, "maxItems": 2},
    }


def text_schema(description: str, length: int) -> Schema:
    """Return the schema of a one-line text of at most `length` characters."""
    return {"type": ["string", "null"], "maxLength": length, "default": "", "description": description}
