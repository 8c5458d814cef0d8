"""Parts that every path of the interface's description is put together from."""

from __future__ import annotations

from typing import Any, Final

from webapp.api.pages.schemas import Schema, reference

_REFUSALS: Final = {
    "404": "No setup has this code, or the code is not valid.",
    "409": "The idempotency key was used for another request, or someone saved another revision in the meantime.",
    "410": "The setup was deleted, has expired, or its link was renewed.",
    "413": "The body is too long.",
    "415": "The body is not declared as JSON.",
    "422": "Values are missing, unknown, out of range or contradictory; each one is named.",
    "429": "Too many requests; wait for the time in Retry-After.",
    "503": "The database is not responding; nothing was saved.",
}

KEY_PARAMETER: Final[dict[str, Any]] = {
    "name": "Idempotency-Key",
    "in": "header",
    "required": False,
    "description": (
        "A random UUID. A repeated request with the same key is saved only once. When a setup is made, the key is "
        "answered for 24 hours, ends when the setup is deleted or its link renewed, and any text but a random UUID "
        "counts only for the network address that it came from."
    ),
    "schema": {"type": "string", "minLength": 1, "maxLength": 200},
}
CODE_PARAMETER: Final[dict[str, Any]] = {
    "name": "code",
    "in": "path",
    "required": True,
    "description": "Upper or lower case; I and L count as 1, O as 0; spaces and hyphens are ignored.",
    "schema": {"type": "string"},
}
LOCATION_HEADER: Final[dict[str, Any]] = {"Location": {"schema": {"type": "string", "format": "uri"}}}


#: Every operation on a saved setup: an answer that names its code leads to them (OpenAPI link objects).
_ON_A_SETUP: Final = ("showSetup", "showHistory", "checkSag", "checkBounce", "reportRide", "changeSetup")
LINKS: Final[dict[str, Any]] = {
    operation: {"operationId": operation, "parameters": {"code": "$response.body#/code"}} for operation in _ON_A_SETUP
}


def record(properties: dict[str, Schema], *optional: str) -> Schema:
    """Return the schema of an object; every property is always there but the optional ones."""
    needed = [name for name in properties if name not in optional]
    return {"type": "object", "properties": properties, "required": needed}


def listed(items: Schema) -> Schema:
    """Return the schema of a list."""
    return {"type": "array", "items": items}


def answer(description: str, schema: str) -> dict[str, Any]:
    """Return an answer whose body is the component schema `schema`."""
    return {"description": description, "content": content(schema)}


def content(schema: str) -> dict[str, Any]:
    """Return a JSON body of the component schema `schema`."""
    return {"application/json": {"schema": reference(schema)}}


def refusals(*statuses: str) -> dict[str, Any]:
    """Return the answers of the given statuses, errors all."""
    return {status: answer(_REFUSALS[status], "Errors") for status in statuses}
