"""Drives the JSON interface through its own description with schemathesis: bodies good and bad, and what follows."""

from __future__ import annotations

import zlib
from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, Verbosity, seed, settings
from schemathesis.checks import not_a_server_error
from schemathesis.core.failures import Failure, FailureGroup
from schemathesis.generation.stateful.state_machine import APIStateMachine
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from werkzeug.test import Client

from tests.conftest import WHOLE_REQUEST
from tests.fuzz.judge import Judge
from tests.kept.make_data_folder import COIL, FORK, SHOCK
from webapp.ground.link_codes import CODE_LENGTH

#: How many requests follow from each other, and how many such chains are drawn from one seed.
STEPS, CHAINS = 12, 100
CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]


def fuzz_api(judge: Judge, requests: int, first_seed: int, token: str) -> None:
    """Send about `requests` requests in chains that follow the description's links, and blame what does not fit it."""
    until = judge.requests + requests
    codes, bikes = _make_setups(judge), _make_bikes(judge, token)
    schema = schemathesis.openapi.from_wsgi("/api/v1/openapi.json", judge)
    machine = _machine(schema.as_state_machine(), judge, codes, {"Authorization": f"Bearer {token}"}, bikes)
    number = first_seed
    while judge.requests < until:
        _run(machine, max(1, min(CHAINS, (until - judge.requests) // STEPS)), number)
        number += 1


def _make_setups(judge: Judge) -> list[str]:
    """Return the codes of setups to work on: hardly one request that is drawn at random makes a setup."""
    client = Client(judge)
    return [client.post("/api/v1/setups", json=body).json["code"] for body in (WHOLE_REQUEST, FORK, SHOCK, COIL)]


def _make_bikes(judge: Judge, token: str) -> list[int]:
    """Return the numbers of bikes to work on, and have each ridden once."""
    client, sent = Client(judge), {"headers": {"Authorization": f"Bearer {token}"}}
    bikes = []
    for number, ends in enumerate((FORK, SHOCK)):
        body = {"number": str(number), **{name: ends[name] for name in ("front", "rear") if name in ends}}
        bike = client.post("/api/v1/bikes", json=body, **sent).json["bike"]
        client.post(f"/api/v1/bikes/{bike}/setups", json={"rider_mass_kg": 70}, **sent)
        bikes.append(bike)
    return bikes


def _machine(
    base: type[APIStateMachine], judge: Judge, codes: list[str], headers: dict[str, str], bikes: list[int]
) -> type[APIStateMachine]:
    class Machine(base):  # type: ignore[valid-type, misc]
        def before_call(self, case: Any) -> None:
            code = (case.path_parameters or {}).get("code")
            place = zlib.crc32(str(code).encode("utf-8", "replace")) % (len(codes) + 1)
            if code is not None and len(str(code)) != CODE_LENGTH and place < len(codes):
                case.path_parameters["code"] = codes[place]
            bike = (case.path_parameters or {}).get("bike")
            place = zlib.crc32(str(bike).encode("utf-8", "replace")) % (len(bikes) + 1)
            if bike is not None and place < len(bikes):
                case.path_parameters["bike"] = bikes[place]
            if case.path.startswith("/api/v1/bikes") and zlib.crc32(repr(case.body).encode("utf-8", "replace")) % 16:
                case.headers.update(headers)

        def validate_response(self, response: Any, case: Any, **_more: Any) -> None:
            try:
                case.validate_response(response, checks=CHECKS)
            except (FailureGroup, Failure) as error:
                first = error.exceptions[0] if isinstance(error, FailureGroup) else error
                judge.blame(f"{case.method} {case.path} {case.body!r}", " ".join(str(first).split())[:300])

    return Machine


def _run(machine: type[APIStateMachine], chains: int, number: int) -> None:
    seed(number)(machine)
    how = settings(
        max_examples=chains,
        stateful_step_count=STEPS,
        phases=[Phase.generate],
        deadline=None,
        database=None,
        verbosity=Verbosity.quiet,
        suppress_health_check=list(HealthCheck),
    )
    machine.run(settings=how)
