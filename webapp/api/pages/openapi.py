"""The OpenAPI 3.1 document of the JSON interface."""

from __future__ import annotations

from typing import Any, Final

from setup_rules import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.request import SpringTest
from webapp.api.pages.coil_answers import AIR_KEYS, COIL_FIELDS
from webapp.api.pages.openapi_bikes import SECURITY_SCHEMES, bike_paths, bike_schemas
from webapp.api.pages.openapi_corrections import NEXT_FIELDS, correction_paths, correction_schemas
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
from webapp.api.pages.schemas import Schema, reference, request_schema, text_schema
from webapp.api.pages.second_chamber_answers import SECOND_FIELDS
from webapp.ground import urls
from webapp.ground.link_codes import ALPHABET, CODE_LENGTH
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH, SERVICE_NOTE_LENGTH

_NUMBER: Final[Schema] = {"type": "number"}
_NUMBERS: Final[Schema] = {"type": "array", "items": {"type": "number"}}
_CLICKS: Final[Schema] = {"type": ["integer", "null"]}
_TEXT: Final[Schema] = {"type": "string"}

_END_FIELDS: Final[dict[str, Schema]] = {
    "pressure_psi": {
        **_NUMBER,
        "description": "Start pressure where the bike is pumped, gauge, chambers equalised [psi].",
    },
    "pressure_bar": {**_NUMBER, "description": "The same [bar]."},
    "pressure_low_psi": {
        **_NUMBER,
        "description": (
            "Low end of the range that holds the right pressure in 90 % of cases, gauge [psi]. The range "
            "may exceed the pressure limits: cut it to them, and never pump beyond them."
        ),
    },
    "pressure_high_psi": {**_NUMBER, "description": "High end of that range, gauge [psi]; never above the maximum."},
    "min_pressure_psi": {
        **_NUMBER,
        "description": "Minimum pressure used, gauge, entered or assumed (see cautions) [psi].",
    },
    "max_pressure_psi": {
        **_NUMBER,
        "description": "Maximum pressure used, gauge, entered or assumed (see cautions) [psi].",
    },
    "sag_target_mm": {
        **_NUMBER,
        "description": "Target sag on the ride: of the fork's travel in front, of the shock's stroke in the rear [mm].",
    },
    "sag_target_bench_mm": {
        "type": ["number", "null"],
        "description": (
            "What the target sag reads where the spring is set: the bench may be warmer or lower [mm]. Null where the "
            "target is out of reach, and in answers of earlier versions of the tool."
        ),
    },
    "sag_expected_mm": {**_NUMBER, "description": "Expected sag at that pressure on the ride [mm]."},
    "sag_low_mm": {**_NUMBER, "description": "Low end of the expected sag at that pressure [mm]."},
    "sag_high_mm": {**_NUMBER, "description": "High end of the expected sag at that pressure [mm]."},
    "limited": {
        "type": "boolean",
        "description": (
            "Whether a limit holds the number back, of the pressure or of a coil spring: the target sag may be out of "
            "reach, and the cautions say what to do instead."
        ),
    },
    "spring_test": {
        "type": ["object", "null"],
        "description": "What the pushes on this spring showed, null where there were none.",
        "properties": {
            "pressure_psi": {**_NUMBER, "description": "Pressure of the pushes, gauge [psi]."},
            "compression_mm": {**_NUMBERS, "description": "Compressions at the spring, from full extension [mm]."},
            "force_n": {**_NUMBERS, "description": "The spring's force there: the mean of down and up [N]."},
            "residual_n": {**_NUMBERS, "description": "How far each lies above the likeliest air spring [N]."},
            "friction_n": {**_NUMBER, "description": "Friction found [N]."},
        },
        "additionalProperties": False,
    },
    "rebound_clicks_out": {**_CLICKS, "description": "Rebound, clicks out from fully closed."},
    "rebound_clicks_total": {**_CLICKS, "description": "Total number of clicks."},
    "compression_clicks_out": {**_CLICKS, "description": "Compression, clicks out from fully closed."},
    "compression_clicks_total": {**_CLICKS, "description": "Total number of clicks."},
}

_ERROR_FIELDS: Final[dict[str, Schema]] = {
    "field": _TEXT,
    "message": _TEXT,
    "question": {
        "type": "boolean",
        "description": "True where the value is not refused but questioned: send it again with `confirm` to keep it.",
    },
}


def openapi_document() -> dict[str, Any]:
    """Return the document, its schemas made from the same tables as the validation."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Suspension setups",
            "version": "1",
            "description": (
                "Start pressure, target sag and rebound for a bicycle's air springs, or rate and preload of its coils. "
                "The answer is a starting point only: follow the manufacturer's manual, its limits and local rules."
            ),
        },
        "servers": [{"url": urls.base_url()}],
        "paths": {
            "/api/v1/setups": _creation(),
            "/api/v1/setups/{code}": _reading(),
            **correction_paths(),
            **bike_paths(),
        },
        "components": {"schemas": _schemas(), "securitySchemes": SECURITY_SCHEMES},
    }


def _schemas() -> dict[str, Schema]:
    texts = {
        "bike_label": text_schema("Label of the bike on the card; no person's name.", BIKE_LABEL_LENGTH),
        "service_note": text_schema("What was serviced, in one line.", SERVICE_NOTE_LENGTH),
    }
    return {
        "SetupRequest": request_schema(SetupRequest, texts),
        "Conditions": request_schema(Conditions),
        "SpringTest": request_schema(SpringTest),
        "FrontEnd": request_schema(FrontEnd),
        "RearEnd": request_schema(RearEnd),
        "Setup": _setup_schema(),
        "EndSetup": record(_end_fields() | SECOND_FIELDS, *COIL_FIELDS, *SECOND_FIELDS),
        "Caution": record(_note_fields()),
        "Reason": record({**_note_fields(), "source": _TEXT}),
        **correction_schemas(),
        **bike_schemas(_setup_schema()),
        "Errors": record({"errors": listed(record(_ERROR_FIELDS, "question"))}),
    }


def _end_fields() -> dict[str, Schema]:
    """Return the fields of an end: its pressures may be null, since a coil main spring has other ones instead."""
    air = {name: {**_END_FIELDS[name], "type": ["number", "null"]} for name in AIR_KEYS}
    return _END_FIELDS | air | COIL_FIELDS


def _setup_schema() -> Schema:
    end = {"anyOf": [reference("EndSetup"), {"type": "null"}]}
    return record(
        {
            "code": {"type": "string", "pattern": f"^[{ALPHABET}]{{{CODE_LENGTH}}}$"},
            "url": {"type": "string", "format": "uri"},
            "card_url": {"type": "string", "format": "uri"},
            "revision": {"type": "integer", "minimum": 1},
            "front": end,
            "rear": end,
            "cautions": listed(reference("Caution")),
            "reasons": listed(reference("Reason")),
            **NEXT_FIELDS,
            "saved": {"type": "boolean", "description": "After a what-if: whether it was saved."},
        },
        *NEXT_FIELDS,
        "saved",
    )


def _note_fields() -> dict[str, Schema]:
    return {"code": _TEXT, "end": {"enum": ["front", "rear", None]}, "message": _TEXT}


def _creation() -> dict[str, Any]:
    created = answer("Computed and saved.", "Setup")
    created["headers"] = {
        "Setup-Owner-Link": {
            "description": "The owner's page (download, renew, delete); shown this once.",
            "schema": {"type": "string", "format": "uri"},
        },
    } | LOCATION_HEADER
    created["links"] = LINKS
    operation = {
        "operationId": "createSetup",
        "summary": "Compute and save a setup",
        "parameters": [KEY_PARAMETER],
        "requestBody": {"required": True, "content": content("SetupRequest")},
        "responses": {"201": created} | refusals("409", "410", "413", "415", "422", "429", "503"),
    }
    return {"post": operation}


def _reading() -> dict[str, Any]:
    revision = {"name": "revision", "in": "query", "required": False, "schema": {"type": "integer", "minimum": 1}}
    operation = {
        "operationId": "showSetup",
        "summary": "Get a saved setup",
        "parameters": [CODE_PARAMETER, revision],
        "responses": {"200": answer("The setup.", "Setup")} | refusals("404", "410", "422", "429", "503"),
    }
    return {"get": operation}
