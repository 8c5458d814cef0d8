"""The OpenAPI 3.1 document of the JSON interface."""

from __future__ import annotations

from typing import Any, Final

from setup_rules import Conditions, FrontEnd, RearEnd, SetupRequest
from webapp import links
from webapp.codes import ALPHABET, CODE_LENGTH
from webapp.presenters.schemas import Schema, reference, request_schema, text_schema
from webapp.texts import BIKE_LABEL_LENGTH, SERVICE_NOTE_LENGTH

_NUMBER: Final[Schema] = {"type": "number"}
_CLICKS: Final[Schema] = {"type": ["integer", "null"]}
_TEXT: Final[Schema] = {"type": "string"}

_END_FIELDS: Final[dict[str, Schema]] = {
    "pressure_psi": {**_NUMBER, "description": "Start pressure at the bench, gauge, chambers equalised [psi]."},
    "pressure_bar": {**_NUMBER, "description": "The same [bar]."},
    "pressure_low_psi": {**_NUMBER, "description": "Low end of the band that holds in 90 % of cases [psi]."},
    "pressure_high_psi": {**_NUMBER, "description": "High end of that band [psi]."},
    "sag_target_mm": {**_NUMBER, "description": "Target sag: of travel in front, of the shock's stroke behind [mm]."},
    "sag_low_mm": {**_NUMBER, "description": "Low end of the sag to expect at that pressure [mm]."},
    "sag_high_mm": {**_NUMBER, "description": "High end of the sag to expect [mm]."},
    "rebound_clicks_out": {**_CLICKS, "description": "Rebound, clicks out from fully closed."},
    "rebound_clicks_total": {**_CLICKS, "description": "Of how many clicks."},
    "compression_clicks_out": {**_CLICKS, "description": "Compression, clicks out from fully closed."},
    "compression_clicks_total": {**_CLICKS, "description": "Of how many clicks."},
}
_REFUSALS: Final = {
    "404": "No setup has this code, or it is not a code.",
    "409": "The idempotency key was used for another request.",
    "410": "The setup was deleted, has expired, or its link was renewed.",
    "413": "The body is too long.",
    "415": "The body is not said to be JSON.",
    "422": "Values are missing, unknown or out of range; every one is named.",
    "429": "Too many requests; wait as long as Retry-After says.",
    "503": "The database does not answer just now; nothing was saved.",
}


def openapi_document() -> dict[str, Any]:
    """Return the document, its schemas made from the same tables as the validation."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Suspension setups",
            "version": "1",
            "description": (
                "Start pressure, target sag and rebound start point for a bicycle's air springs. The answer is a "
                "start point: the maker's manual, its limits and local rules come first."
            ),
        },
        "servers": [{"url": links.base_url()}],
        "paths": {"/api/v1/setups": _creation(), "/api/v1/setups/{code}": _reading()},
        "components": {"schemas": _schemas()},
    }


def _schemas() -> dict[str, Schema]:
    texts = {
        "bike_label": text_schema("What to call the bike on the card; no person's name.", BIKE_LABEL_LENGTH),
        "service_note": text_schema("What was serviced, in one line.", SERVICE_NOTE_LENGTH),
    }
    return {
        "SetupRequest": request_schema(SetupRequest, texts),
        "Conditions": request_schema(Conditions),
        "FrontEnd": request_schema(FrontEnd),
        "RearEnd": request_schema(RearEnd),
        "Setup": _setup_schema(),
        "EndSetup": _record(_END_FIELDS),
        "Caution": _record(_note_fields()),
        "Reason": _record({**_note_fields(), "source": _TEXT}),
        "Errors": _record({"errors": _list(_record({"field": _TEXT, "message": _TEXT}))}),
    }


def _setup_schema() -> Schema:
    end = {"anyOf": [reference("EndSetup"), {"type": "null"}]}
    return _record(
        {
            "code": {"type": "string", "pattern": f"^[{ALPHABET}]{{{CODE_LENGTH}}}$"},
            "url": {"type": "string", "format": "uri"},
            "card_url": {"type": "string", "format": "uri"},
            "revision": {"type": "integer", "minimum": 1},
            "front": end,
            "rear": end,
            "cautions": _list(reference("Caution")),
            "reasons": _list(reference("Reason")),
        }
    )


def _note_fields() -> dict[str, Schema]:
    return {"code": _TEXT, "end": {"enum": ["front", "rear", None]}, "message": _TEXT}


def _record(properties: dict[str, Schema]) -> Schema:
    return {"type": "object", "properties": properties, "required": list(properties)}


def _list(items: Schema) -> Schema:
    return {"type": "array", "items": items}


def _creation() -> dict[str, Any]:
    key = {
        "name": "Idempotency-Key",
        "in": "header",
        "required": False,
        "description": "A random text; the same request repeated under it is saved once.",
        "schema": {"type": "string", "minLength": 1, "maxLength": 200},
    }
    created = _answer("Computed and saved.", "Setup")
    created["headers"] = {
        "Setup-Owner-Link": {
            "description": "The owner's page (download, renew, delete); shown this once.",
            "schema": {"type": "string", "format": "uri"},
        },
        "Location": {"schema": {"type": "string", "format": "uri"}},
    }
    operation = {
        "operationId": "createSetup",
        "summary": "Compute and save a setup",
        "parameters": [key],
        "requestBody": {"required": True, "content": _json("SetupRequest")},
        "responses": {"201": created} | _refusals("409", "413", "415", "422", "429", "503"),
    }
    return {"post": operation}


def _reading() -> dict[str, Any]:
    code = {
        "name": "code",
        "in": "path",
        "required": True,
        "description": "Either case; I and L are read as 1, O as 0, spaces and hyphens are dropped.",
        "schema": _TEXT,
    }
    revision = {"name": "revision", "in": "query", "required": False, "schema": {"type": "integer", "minimum": 1}}
    operation = {
        "operationId": "showSetup",
        "summary": "Read a saved setup",
        "parameters": [code, revision],
        "responses": {"200": _answer("The setup.", "Setup")} | _refusals("404", "410", "422", "429", "503"),
    }
    return {"get": operation}


def _answer(description: str, schema: str) -> dict[str, Any]:
    return {"description": description, "content": _json(schema)}


def _json(schema: str) -> dict[str, Any]:
    return {"application/json": {"schema": reference(schema)}}


def _refusals(*statuses: str) -> dict[str, Any]:
    return {status: _answer(_REFUSALS[status], "Errors") for status in statuses}
