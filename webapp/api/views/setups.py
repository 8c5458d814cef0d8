"""The JSON interface for outside tools: POST and GET of setups, and the document that describes it."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, jsonify, request

from setup_rules import Problem, RequestError, SetupRulesError
from webapp.api.forms.client_key import KEY_LASTS, clients_own_key
from webapp.api.forms.setup_body import read_body, read_idempotency_key, read_revision
from webapp.api.pages.answers import setup_answer
from webapp.api.pages.openapi import openapi_document
from webapp.ground import urls
from webapp.ground.extensions import csrf, limit_creation, limit_links
from webapp.ground.text.sentences import say, say_error
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup

blueprint = Blueprint("api", __name__, url_prefix="/api/v1")
csrf.exempt(blueprint)  # no cookie is read here, so no other site can borrow one


@blueprint.post("/setups")
@limit_creation
def create() -> Response:
    """Compute and save a setup."""
    key = clients_own_key(read_idempotency_key(request.headers.get("Idempotency-Key")), request.remote_addr)
    body = read_body(request)
    created = create_setup(body.request, body.texts, idempotency_key=key, key_lasts=KEY_LASTS)
    response = answer(setup_answer(created.saved), 201)
    response.headers["Location"] = f"{urls.base_url()}/api/v1/setups/{created.saved.code}"
    if created.owner_key is not None:
        response.headers["Setup-Owner-Link"] = urls.owner_url(created.owner_key)
    return response


@blueprint.get("/setups/<code>")
@limit_links
def show(code: str) -> Response:
    """Answer with a saved setup, at the revision asked for or its latest."""
    revision = read_revision(request.args.get("revision"))
    return answer(setup_answer(find_setup(code, revision)), 200)


@blueprint.get("/openapi.json")
def openapi() -> Response:
    """Describe this interface."""
    return jsonify(openapi_document())


@blueprint.errorhandler(SetupRulesError)
def refuse(error: SetupRulesError) -> Response:
    """Name every problem of a request at once."""
    if isinstance(error, RequestError):
        problems = [_describe_problem(problem) for problem in error.problems]
    else:
        problems = [{"field": "body", "message": say_error(error)}]
    return answer({"errors": problems}, 422)


def _describe_problem(problem: Problem) -> dict[str, Any]:
    said = {"field": problem.field, "message": say(problem.said)}
    return {**said, "question": True} if problem.question else said


def answer(data: dict[str, Any], status: int) -> Response:
    """Return `data` as JSON with a status."""
    response = jsonify(data)
    response.status_code = status
    return response
