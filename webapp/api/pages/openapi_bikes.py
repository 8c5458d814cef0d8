"""The part of the interface's description about a shop's bikes, for tools with a token of the shop."""

from __future__ import annotations

from typing import Any, Final

from setup_rules import FrontEnd, RearEnd, SetupRequest
from setup_rules.types.limits import CORRECTION_LIMITS
from setup_rules.types.spring_memory import BIKE_EVENTS
from webapp.api.bike_query import LAST, MOST, USUAL
from webapp.api.pages.openapi_parts import KEY_PARAMETER, LINKS, LOCATION_HEADER, answer, content, listed, record
from webapp.api.pages.openapi_parts import refusals as usual_refusals
from webapp.api.pages.schemas import Schema, limit_schema, reference, request_schema, text_schema
from webapp.demo_day.bike import NUMBER_LONGEST, OF_BIKE
from webapp.demo_day.parsing import STANDING_LIMITS
from webapp.ground.link_codes import ALPHABET, CODE_LENGTH
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH

_TEXT: Final[Schema] = {"type": "string"}
_MAYBE_TEXT: Final[Schema] = {"type": ["string", "null"]}
_NUMBER: Final[Schema] = {"type": "number"}
_CODE: Final[Schema] = {"type": "string", "pattern": f"^[{ALPHABET}]{{{CODE_LENGTH}}}$"}
_END: Final[Schema] = {"enum": ["front", "rear"]}
_TOKEN: Final[list[dict[str, list[str]]]] = [{"shopToken": []}]
_BIKE_PARAMETER: Final[dict[str, Any]] = {
    "name": "bike",
    "in": "path",
    "required": True,
    "description": "As POST of a bike answered it.",
    "schema": {"type": "integer", "minimum": 1},
}
#: The scheme that every operation on bikes asks for.
SECURITY_SCHEMES: Final[dict[str, Any]] = {
    "shopToken": {
        "type": "http",
        "scheme": "bearer",
        "description": "An access key of the shop, made on its page Access keys or on the command line; shown once.",
    }
}
_LINKS: Final[dict[str, Any]] = {
    operation: {"operationId": operation, "parameters": {"bike": "$response.body#/bike"}}
    for operation in ("showBike", "setUpBike", "confirmStanding", "reportBikeEvent")
}


def bike_paths() -> dict[str, Any]:
    """Return the paths of bikes."""
    return {
        "/api/v1/bikes": {"get": _list(), "post": _creation()},
        "/api/v1/bikes/{bike}": {"get": _operation("showBike", "Get a bike", None, answer("The bike.", "Bike"), "200")},
        "/api/v1/bikes/{bike}/setups": {"post": _set_up()},
        "/api/v1/bikes/{bike}/standing": {
            "post": _operation(
                "confirmStanding",
                "Say what was set on a bike: nothing else moves what stands on it",
                "BikeStanding",
                answer("Written down.", "Bike"),
                "200",
            )
        },
        "/api/v1/bikes/{bike}/events": {
            "post": _operation(
                "reportBikeEvent",
                "Say what happened to a spring: its memory is widened or ended",
                "BikeEvent",
                answer("Written down.", "Bike"),
                "200",
                "409",
            )
        },
    }


def _refusals(*statuses: str) -> dict[str, Any]:
    own = {
        "401": answer("No access key of a shop, or one that was revoked.", "Errors"),
        "403": answer("The account that made this access key is closed.", "Errors"),
    }
    here = usual_refusals(*statuses)
    if "404" in here:
        here["404"] = answer("The shop of this access key has no such bike.", "Errors")
    return own | here


def _operation(
    name: str, summary: str, body: str | None, found: dict[str, Any], status: str, *more: str
) -> dict[str, Any]:
    operation: dict[str, Any] = {
        "operationId": name,
        "summary": summary,
        "security": _TOKEN,
        "parameters": [_BIKE_PARAMETER],
        "responses": {status: found}
        | _refusals("404", *more, *(("413", "415", "422") if body else ()), *("410",) * (name == "confirmStanding"))
        | usual_refusals("429", "503"),
    }
    if body:
        operation["requestBody"] = {"required": True, "content": content(body)}
    return operation


def _list() -> dict[str, Any]:
    page = answer("The bike looked up, or so many bikes in the order in which they were added.", "Bikes")
    return {
        "operationId": "listBikes",
        "summary": "Get the shop's bikes page by page, or the one with a number or tag",
        "security": _TOKEN,
        "parameters": [
            _query("after", "Start after this bike.", {"type": "integer", "minimum": 0, "maximum": LAST, "default": 0}),
            _query("limit", "How many at most.", {"type": "integer", "minimum": 1, "maximum": MOST, "default": USUAL}),
            _query("number", "The bike with this number, as on its tag; not with `tag`.", _TEXT),
            _query("tag", "The bike whose QR code carries this; not with `number`.", _TEXT),
        ],
        "responses": {"200": answer(f"The bike looked up, or {page}.", "Bikes")}
        | _refusals("404", "422", "429", "503"),
    }


def _query(name: str, description: str, schema: Schema) -> dict[str, Any]:
    return {"name": name, "in": "query", "required": False, "description": description, "schema": schema}


def _creation() -> dict[str, Any]:
    created = {**answer("Added.", "Bike"), "headers": LOCATION_HEADER, "links": _LINKS}
    return {
        "operationId": "createBike",
        "summary": "Add a bike to the shop",
        "security": _TOKEN,
        "parameters": [KEY_PARAMETER],
        "requestBody": {"required": True, "content": content("NewBike")},
        "responses": {"201": created} | _refusals("409", "413", "415", "422", "429", "503"),
    }


def _set_up() -> dict[str, Any]:
    made = {**answer("Computed and saved.", "BikeSetup"), "links": LINKS}
    owner_link = {"description": "The owner's page of the setup; shown this once.", "schema": {"type": "string"}}
    made["headers"] = {"Setup-Owner-Link": owner_link} | LOCATION_HEADER
    operation = _operation("setUpBike", "Save the setup of a rider on a bike", "BikeRider", made, "201", "409", "410")
    operation["parameters"] = [_BIKE_PARAMETER, KEY_PARAMETER]
    return operation


def bike_schemas(setup: Schema) -> dict[str, Schema]:
    """Return the schemas of bikes; `setup` is that of a setup's answer."""
    change = record({"end": _END, "what": {"enum": list(STANDING_LIMITS)}, "before": _maybe(_NUMBER), "after": _NUMBER})
    changes = {**listed(change), "description": "What to set otherwise than it stands; before: null where unknown."}
    more = {"bike": {"type": "integer"}, "changes": changes}
    return {
        "NewBike": _new_bike(),
        "BikeFront": _end_schema(FrontEnd, "fork", "travel_mm"),
        "BikeRear": _end_schema(RearEnd, "shock", "stroke_mm"),
        "BikeRider": _rider(),
        "BikeStanding": _standing(),
        "BikeEvent": _event(),
        "Bike": _bike(),
        "Bikes": _bikes(),
        "BikeEnd": _bike_end(),
        "BikeSetup": {**setup, "properties": setup["properties"] | more, "required": [*setup["required"], *more]},
    }


def _maybe(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}


def _new_bike() -> Schema:
    whole = request_schema(SetupRequest)["properties"]
    ends = {"front": _maybe(reference("BikeFront")), "rear": _maybe(reference("BikeRear"))}
    style = {**whole["riding_style"], "description": "What the bike is usually ridden for."}
    properties = {
        "number": {"type": "string", "minLength": 1, "maxLength": NUMBER_LONGEST, "description": "As on its tag."},
        "label": text_schema("What the bike is called; no person's name.", BIKE_LABEL_LENGTH),
        "riding_style": style,
        "bike_mass_kg": whole["bike_mass_kg"],
        **ends,
    }
    return {"type": "object", "properties": properties, "required": ["number"], "additionalProperties": False}


def _end_schema(kind: type, name: str, needed: str) -> Schema:
    schema = request_schema(kind, {"unit": {**_MAYBE_TEXT, "description": f"Name of a {name} in the shop's library."}})
    # With a fork or shock of the library that comes in one travel, the travel need not be said.
    return {**schema, "required": [one for one in schema["required"] if one != needed]}


def _rider() -> Schema:
    schema = request_schema(SetupRequest)
    properties = {key: value for key, value in schema["properties"].items() if key not in OF_BIKE}
    description = "A rider on a bike: all of a setup's request but the bike. The style may be left to the bike."
    return {**schema, "properties": properties, "required": ["rider_mass_kg"], "description": description}


def _standing() -> Schema:
    end = {
        "type": ["object", "null"],
        "properties": {key: _maybe(limit_schema(limit)) for key, limit in STANDING_LIMITS.items()},
        "additionalProperties": False,
    }
    setup = {**_MAYBE_TEXT, "description": "Code of a setup made on this bike: all of it was set."}
    return {
        "type": "object",
        "properties": {"setup": setup, "front": end, "rear": end},
        "additionalProperties": False,
    }


def _event() -> Schema:
    fitted = {
        "type": ["object", "null"],
        "description": (
            "What is fitted to this end now: keys of the end for another travel or other spacers, all of it for "
            "another spring."
        ),
    }
    version = {**limit_schema(CORRECTION_LIMITS["base_revision"]), "type": ["integer", "null"]}
    version["description"] = "The bike's version that you looked at: 409 where a newer one exists."
    return {
        "type": "object",
        "properties": {"end": _END, "event": {"enum": list(BIKE_EVENTS)}, "fitted": fitted, "version": version},
        "required": ["end", "event"],
        "additionalProperties": False,
    }


def _bike() -> Schema:
    end = _maybe(reference("BikeEnd"))
    return record(
        {
            "bike": {"type": "integer", "minimum": 1},
            "tag": {**_CODE, "description": "What the QR code of the bike carries."},
            "number": _TEXT,
            "label": _TEXT,
            "version": {"type": "integer", "minimum": 1},
            "riding_style": _TEXT,
            "bike_mass_kg": _NUMBER,
            "front": end,
            "rear": end,
            "stands_since": {**_MAYBE_TEXT, "description": "When it was last said what stands on the bike."},
        }
    )


def _bikes() -> Schema:
    following: Schema = {**_MAYBE_TEXT, "format": "uri", "description": "Where the bikes after these are, or null."}
    return record({"bikes": listed(reference("Bike")), "next": following})


def _bike_end() -> Schema:
    standing = _maybe(
        record(
            {key: _maybe({"type": "integer"} if limit.whole else _NUMBER) for key, limit in STANDING_LIMITS.items()},
            "second_pressure_psi",
        )
    )
    learned = record({"riders": {"type": "integer"}, "pressure_from_typical_percent": {"type": "integer"}})
    about = "From how many riders' checks, and how much more or less pressure than typical it needs."
    fitted = {"type": "object", "description": "The end as a setup's request describes it."}
    return record(
        {
            "fitted": fitted,
            "unit": _MAYBE_TEXT,
            "standing": standing,
            "learned": {**_maybe(learned), "description": about},
        }
    )
