"""The part of the interface's description about a saved setup: checks, rides, changes and history."""

from __future__ import annotations

from typing import Any, Final

from setup_rules import SetupRequest
from setup_rules.parsing.correction_parsing import BOUNCE_CHECK_KEYS, RIDE_KEYS, SAG_CHECK_KEYS, Key
from setup_rules.types.limits import CORRECTION_LIMITS
from webapp.api.history_page import LAST, MOST, USUAL
from webapp.api.pages.coil_answers import PAST_COIL_FIELDS
from webapp.api.pages.openapi_parts import (
    CODE_PARAMETER,
    KEY_PARAMETER,
    LINKS,
    LOCATION_HEADER,
    answer,
    content,
    listed,
    record,
    refusals,
)
from webapp.api.pages.schemas import Schema, limit_schema, reference, request_schema
from webapp.api.pages.second_chamber_answers import PAST_SECOND_FIELDS

_NUMBER: Final[Schema] = {"type": "number"}
_MAYBE_NUMBER: Final[Schema] = {"type": ["number", "null"]}
_MAYBE_WHOLE: Final[Schema] = {"type": ["integer", "null"]}
_TEXT: Final[Schema] = {"type": "string"}

#: What a setup's answer carries besides, once a correction led to it.
NEXT_FIELDS: Final[dict[str, Schema]] = {
    "settled": {
        "type": ["boolean", "null"],
        "description": "After a sag check: whether the sag is within tolerance and nothing is left to do.",
    },
    "advice": {**listed(reference("Reason")), "description": "What to do next, and why."},
}
_BASE: Final[Schema] = {
    **limit_schema(CORRECTION_LIMITS["base_revision"]),
    "type": ["integer", "null"],
    "description": "The revision that you looked at: 409 if a newer one exists. Default: the newest.",
}
_ADDRESS: Final[Schema] = {"type": "string", "format": "uri"}
_NEXT: Final[Schema] = {
    "type": ["string", "null"],
    "format": "uri",
    "description": "Where the revisions after these are; null when there are none.",
}
_PAGE: Final[tuple[dict[str, Any], ...]] = (
    {
        "name": "after",
        "in": "query",
        "required": False,
        "description": "Start after this revision.",
        "schema": {"type": "integer", "minimum": 0, "maximum": LAST, "default": 0},
    },
    {
        "name": "limit",
        "in": "query",
        "required": False,
        "description": "How many revisions at most.",
        "schema": {"type": "integer", "minimum": 1, "maximum": MOST, "default": USUAL},
    },
)
_PAST_END_FIELDS: Final[dict[str, Schema]] = {
    "pressure_psi": _MAYBE_NUMBER,
    "pressure_bar": _MAYBE_NUMBER,
    "sag_target_mm": _NUMBER,
    "sag_expected_mm": _NUMBER,
    "sag_low_mm": _NUMBER,
    "sag_high_mm": _NUMBER,
    "measured_sag_mm": {
        **_MAYBE_NUMBER,
        "description": "Mean reading of the sag check that led to this revision [mm].",
    },
    "measured_at_psi": {**_MAYBE_NUMBER, "description": "Pressure at that reading, gauge [psi]."},
    "measured_on_ride_mm": {
        **_MAYBE_NUMBER,
        "description": "What that reading is on the ride, where the target is meant, read as the setup reads it [mm].",
    },
    "measured_place": {
        "enum": ["bench", "ride", None],
        "description": "Where it was read: where the spring was set, or elsewhere at that pressure.",
    },
    "rebound_clicks_out": _MAYBE_WHOLE,
    "compression_clicks_out": _MAYBE_WHOLE,
    "volume_spacers": {"type": "integer"},
    "travel_mm": _NUMBER,
}


def correction_schemas() -> dict[str, Schema]:
    """Return the component schemas of what is sent and answered about a saved setup."""
    end = {"anyOf": [reference("PastEnd"), {"type": "null"}]}
    revision = {
        "revision": {"type": "integer", "minimum": 1},
        "base_revision": _MAYBE_WHOLE,
        "created_at": {"type": "string", "format": "date-time"},
        "kind": {**_TEXT, "description": "What led to this revision: a short stable word."},
        "reason": _TEXT,
        **NEXT_FIELDS,
        "front": end,
        "rear": end,
    }
    revisions = listed(reference("Version"))
    return {
        "SagCheck": _body(SAG_CHECK_KEYS, "Sag readings at one set pressure, or with one coil main spring.")
        | {"anyOf": [{"required": ["pressure_psi"]}, {"required": ["spring_rate_n_per_mm"]}]},
        "BounceCheck": _body(BOUNCE_CHECK_KEYS, "What was seen after one firm push on the bike with the rider on it."),
        "Ride": _body(RIDE_KEYS, "What was felt on a ride; the answer is one change."),
        "Changes": _changes(),
        "PastEnd": record(
            _PAST_END_FIELDS | PAST_COIL_FIELDS | PAST_SECOND_FIELDS, *PAST_COIL_FIELDS, *PAST_SECOND_FIELDS
        ),
        "Version": record(revision),
        "History": record(
            {"code": _TEXT, "url": {"type": "string", "format": "uri"}, "revisions": revisions, "next": _NEXT}
        ),
    }


def _body(keys: dict[str, Key], description: str) -> Schema:
    return {
        "type": "object",
        "description": description,
        "properties": {name: _key_schema(key) for name, key in keys.items()} | {"base_revision": _BASE},
        "required": [name for name, key in keys.items() if key.needed],
        "additionalProperties": False,
    }


def _key_schema(key: Key) -> Schema:
    one = _plain_schema(key)
    text = key.text if key.limit is None else f"{key.text} {one['description']}"
    if key.most:
        return {"type": ["array", "null"], "items": one, "maxItems": key.most, "description": text}
    schema = {**one, "description": text}
    if not key.needed:
        schema["type"] = [schema["type"], "null"]
        if "enum" in schema:
            schema["enum"] = [*schema["enum"], None]
    return schema


def _plain_schema(key: Key) -> Schema:
    if key.limit is not None:
        return limit_schema(key.limit)
    return {"type": "string", "enum": list(key.choices)} if key.choices else {"type": "boolean"}


_OWNER_LINK: Final[dict[str, Any]] = {
    "name": "Setup-Owner-Link",
    "in": "header",
    "required": False,
    "description": "The owner's link, given when the setup was made: rider and kit weight can be changed with it.",
    "schema": {"type": "string"},
}


def _weight_now(properties: dict[str, Schema]) -> Schema:
    said = (
        "The rider's weight that was saved. Needed beside `rider_mass_kg` and `kit_mass_kg`, unless the header "
        "Setup-Owner-Link holds "
        "the owner's link; few wrong ones are answered in a day."
    )
    return {**properties["rider_mass_kg"], "type": ["number", "null"], "description": said}


def _changes() -> Schema:
    """Return the schema of a what-if: the keys of a request, none of them needed, ends and places only in part."""
    properties = request_schema(SetupRequest)["properties"]
    parts = ("bench", "ride", "front", "rear")
    for name in parts:
        properties[name] = {"type": ["object", "null"], "description": f"The keys of {name} that change."}
    save: Schema = {"type": ["boolean", "null"], "default": False, "description": "Save it as a new revision."}
    return {
        "type": "object",
        "description": "The keys of a setup's request that change; null sets a key back to its default.",
        "properties": properties | {"save": save, "base_revision": _BASE, "rider_mass_now_kg": _weight_now(properties)},
        "additionalProperties": False,
    }


def correction_paths() -> dict[str, Any]:
    """Return the paths below a saved setup."""
    base = "/api/v1/setups/{code}"
    history = {
        "operationId": "showHistory",
        "summary": "Get what changed, when and why",
        "parameters": [CODE_PARAMETER, *_PAGE],
        "responses": {"200": answer("Revisions, oldest first, and where there are more.", "History")}
        | refusals("404", "410", "422", "429", "503"),
    }
    what_if = _posting("changeSetup", "Preview a change to a setup; save it on request", "Changes")
    what_if["parameters"].append(_OWNER_LINK)
    what_if["responses"]["200"] = answer("Computed and not saved.", "Setup")
    return {
        f"{base}/sag-checks": {"post": _posting("checkSag", "Correct the pressure by measured sag", "SagCheck")},
        f"{base}/bounce-checks": {
            "post": _posting("checkBounce", "Correct the rebound after one firm push", "BounceCheck")
        },
        f"{base}/rides": {"post": _posting("reportRide", "Suggest one change after a ride", "Ride")},
        f"{base}/what-if": {"post": what_if},
        f"{base}/revisions": {"get": history},
    }


def _posting(operation: str, summary: str, schema: str) -> dict[str, Any]:
    saved = answer("Saved as a new revision, with `settled` and `advice`.", "Setup")
    saved |= {"headers": LOCATION_HEADER, "links": LINKS}
    return {
        "operationId": operation,
        "summary": summary,
        "parameters": [CODE_PARAMETER, KEY_PARAMETER],
        "requestBody": {"required": True, "content": content(schema)},
        "responses": {"201": saved} | refusals("404", "409", "410", "413", "415", "422", "429", "503"),
    }
