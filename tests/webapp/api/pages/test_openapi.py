"""The interface's description is valid and agrees with what the validation does."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from setup_rules.types.limits import LIMITS


@pytest.fixture
def document(client: FlaskClient) -> dict[str, Any]:
    answer = client.get("/api/v1/openapi.json").json
    assert isinstance(answer, dict)
    return answer


def validator(document: dict[str, Any], name: str) -> Draft202012Validator:
    schema = {**copy.deepcopy(document["components"]["schemas"][name]), "components": document["components"]}
    return Draft202012Validator(schema)


def test_the_document_is_valid_openapi(document: dict[str, Any]) -> None:
    OpenAPIV31SpecValidator(document).validate()
    assert document["openapi"].startswith("3.1")


def test_every_answer_is_as_described(
    client: FlaskClient, document: dict[str, Any], whole_request: dict[str, Any]
) -> None:
    created = client.post("/api/v1/setups", json=whole_request).json
    validator(document, "Setup").validate(created)
    refused = client.post("/api/v1/setups", json={}).json
    validator(document, "Errors").validate(refused)


def test_the_description_takes_the_whole_request_and_refuses_unknown_keys(
    document: dict[str, Any], whole_request: dict[str, Any]
) -> None:
    check = validator(document, "SetupRequest")
    check.validate({**whole_request, "bike_label": "Heron 1", "stance": None})
    assert not check.is_valid({**whole_request, "colour": "red"})
    assert not check.is_valid({k: v for k, v in whole_request.items() if k != "rider_mass_kg"})


@pytest.mark.parametrize(("end", "name"), [(None, "rider_mass_kg"), ("front", "travel_mm"), ("rear", "stroke_mm")])
def test_bounds_are_described_where_the_validation_puts_them(
    client: FlaskClient, document: dict[str, Any], whole_request: dict[str, Any], end: str | None, name: str
) -> None:
    check, limit = validator(document, "SetupRequest"), LIMITS[name]
    for value in (limit.low - 0.5, limit.low, limit.high, limit.high + 0.5):
        request = copy.deepcopy(whole_request)
        request["rear"] |= {"leverage_start": 2.2, "leverage_end": 2.2}  # any stroke is then a usual wheel travel
        (request if end is None else request[end])[name] = value
        answer = client.post("/api/v1/setups", json=request)
        named = {e["field"].split(".")[-1] for e in (answer.json or {}).get("errors", [])}
        assert check.is_valid(request) is (name not in named), value


def test_every_key_that_the_rules_read_is_described_with_its_unit(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    described = {
        k: v for s in ("SetupRequest", "Conditions", "FrontEnd", "RearEnd") for k, v in schemas[s]["properties"].items()
    }
    assert "[kg]" in described["rider_mass_kg"]["description"]
    assert described["stance"]["enum"] == ["standing", "seated", None]
    assert described["kit_mass_kg"]["default"] == 4.0
    assert described["volume_spacers"]["type"] == ["integer", "null"]
    assert schemas["SetupRequest"]["required"] == ["rider_mass_kg", "riding_style"]
