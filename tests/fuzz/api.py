"""Drives the JSON interface through its own description with schemathesis: bodies good and bad, and what follows."""

from __future__ import annotations

import copy
import json
import re
import zlib
from dataclasses import dataclass, field
from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, Verbosity, seed, settings
from schemathesis.checks import not_a_server_error
from schemathesis.core import NotSet
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
from tests.fuzz.neighbours import Dealer
from tests.kept.make_data_folder import COIL, FORK, SHOCK
from tests.webapp.access.requests import BODIES
from webapp.ground.link_codes import CODE_LENGTH

#: How many requests follow from each other, and how many such chains are drawn from one seed.
STEPS, CHAINS = 12, 100
#: How many neighbours of it are sent after each request that was drawn.
NEIGHBOURS = 3
_PARAMETERS = re.compile(r"<(?:\w+:)?(\w+)>")
_BRACED = r"{\1}"
CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]


@dataclass(frozen=True)
class _Known:
    """What there is to work on, and what has been drawn so far in this run."""

    codes: list[str]
    bikes: list[int]
    headers: dict[str, str]
    drawn: list[Any] = field(default_factory=list)


def fuzz_api(judge: Judge, requests: int, first_seed: int, token: str) -> None:
    """Send about `requests` requests in chains that follow the description's links, and blame what does not fit it."""
    known = _Known(_make_setups(judge), _make_bikes(judge, token), {"Authorization": f"Bearer {token}"})
    schema = schemathesis.openapi.from_wsgi("/api/v1/openapi.json", judge)
    dealer, client, number = _make_dealer(first_seed), Client(judge), first_seed
    machine = _machine(schema.as_state_machine(), judge, known, dealer)
    while judge.fuzzed < requests:
        left = (requests - judge.fuzzed) // (STEPS * (1 + NEIGHBOURS))
        _run(machine, max(1, min(CHAINS, left)), number)
        number += 1
        # Not in between: what a chain draws next must follow from what it drew before alone.
        for case in known.drawn:
            for _ in range(NEIGHBOURS):
                beside = _neighbour(case, dealer)
                _look_at(judge, dealer, _send(client, beside), beside)
        known.drawn.clear()


def _make_dealer(first_seed: int) -> Dealer:
    """Return a dealer that knows a good body for everything that takes one."""
    dealer = Dealer(first_seed)
    for body in (WHOLE_REQUEST, FORK, SHOCK, COIL):
        dealer.note_taken("POST /api/v1/setups", body)
    for rule, body in BODIES.items():
        dealer.note_taken(f"POST {_PARAMETERS.sub(_BRACED, rule)}", body)
    return dealer


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


def _machine(base: type[APIStateMachine], judge: Judge, known: _Known, dealer: Dealer) -> type[APIStateMachine]:
    codes, bikes = known.codes, known.bikes

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
                case.headers.update(known.headers)

        def validate_response(self, response: Any, case: Any, **_more: Any) -> None:
            _look_at(judge, dealer, response, case)
            known.drawn.append(case)

    return Machine


def _look_at(judge: Judge, dealer: Dealer, response: Any, case: Any) -> None:
    judge.fuzzed += 1
    if response.status_code in (200, 201) and isinstance(case.body, dict):
        dealer.note_taken(f"{case.method} {case.path}", case.body)
    try:
        case.validate_response(response, checks=CHECKS)
    except (FailureGroup, Failure) as error:
        first = error.exceptions[0] if isinstance(error, FailureGroup) else error
        judge.blame(f"{case.method} {case.path} {case.body!r}", " ".join(str(first).split())[:300])


def _send(client: Client, case: Any) -> Any:
    """Send a case as it is: with NaN too, which schemathesis's own way of sending refuses to write."""
    body = None if isinstance(case.body, NotSet) else json.dumps(case.body, default=str)
    kind = case.media_type if body is not None else None
    return client.open(
        case.formatted_path,
        method=case.method,
        headers=dict(case.headers),
        query_string=case.query,
        data=body,
        content_type=kind,
    )


def _neighbour(case: Any, dealer: Dealer) -> Any:
    """Return a request to the same place: with another body, drawn from what was taken there, or another query."""
    beside = case.derive(query=dict(case.query or {}))
    if isinstance(case.body, NotSet):
        name = dealer.pick([*beside.query, "units", "page", "revision"])
        beside.query[name] = dealer.text(str(beside.query.get(name, "")))
        return beside
    own = copy.deepcopy(case.body)
    beside.body = dealer.change(own if dealer.one_in(3) else dealer.taken(f"{case.method} {case.path}", own))
    if beside.media_type is None or dealer.one_in(2):
        beside.media_type = "application/json"
    return beside


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
