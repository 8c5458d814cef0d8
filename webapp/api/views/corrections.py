"""The JSON interface on a saved setup: checks, rides, changed circumstances and the history they make."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from flask import Blueprint, Response, request

from setup_rules import SetupRulesError, read_bounce_check, read_ride, read_sag_check
from webapp.api.forms.correction_body import read_changes, read_correction
from webapp.api.forms.history_page import read_page
from webapp.api.forms.setup_body import read_idempotency_key
from webapp.api.pages.answers import history_answer, next_page, setup_answer
from webapp.api.views.setups import answer, refuse
from webapp.checks.actions.check_bounce import check_bounce
from webapp.checks.actions.check_sag import check_sag
from webapp.checks.actions.preview_changes import preview_changes
from webapp.checks.actions.report_ride import report_ride
from webapp.checks.actions.save_changes import save_changes
from webapp.ground import urls
from webapp.ground.extensions import csrf, limit_creation, limit_links
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.list_revisions import list_revisions
from webapp.setups.revision import Revision

blueprint = Blueprint("api_corrections", __name__, url_prefix="/api/v1/setups/<code>")
csrf.exempt(blueprint)  # no cookie is read here, so no other site can borrow one
blueprint.register_error_handler(SetupRulesError, refuse)

Save = Callable[..., Revision]


@blueprint.post("/sag-checks")
@limit_links
@limit_creation
def sag_checks(code: str) -> Response:
    """Correct the pressure by measured sag."""
    return _save_correction(code, read_sag_check, check_sag)


@blueprint.post("/bounce-checks")
@limit_links
@limit_creation
def bounce_checks(code: str) -> Response:
    """Correct the rebound by what was seen after a firm dip."""
    return _save_correction(code, read_bounce_check, check_bounce)


@blueprint.post("/rides")
@limit_links
@limit_creation
def rides(code: str) -> Response:
    """Answer how it felt with the one thing to change next."""
    return _save_correction(code, read_ride, report_ride)


@blueprint.post("/what-if")
@limit_links
@limit_creation
def what_if(code: str) -> Response:
    """Answer with the setup under changed circumstances; save it only when asked to."""
    key = read_idempotency_key(request.headers.get("Idempotency-Key"))
    body = read_changes(request)
    if body.save:
        how: dict[str, Any] = {"base_revision": body.base_revision, "idempotency_key": key, "proof": body.proof}
        saved = save_changes(code, body.asked, **how)
        return _answer_saved(saved, {"saved": True})
    preview = preview_changes(code, body.asked, proof=body.proof)
    return answer({**setup_answer(replace(preview.saved, setup=preview.setup, kind="what_if")), "saved": False}, 200)


@blueprint.get("/revisions")
@limit_links
def revisions(code: str) -> Response:
    """Answer with one page of a setup's history, its first revision first."""
    asked = read_page(request.args)
    saved = find_setup(code)
    past = list_revisions(code, asked.after + 1, asked.after + asked.limit)
    return answer(history_answer(saved.code, past, next_page(saved, asked)), 200)


def _save_correction(code: str, read: Callable[[Mapping[str, Any]], Any], save: Save) -> Response:
    key = read_idempotency_key(request.headers.get("Idempotency-Key"))
    body = read_correction(request, read)
    return _answer_saved(save(code, body.asked, base_revision=body.base_revision, idempotency_key=key))


def _answer_saved(saved: Revision, more: Mapping[str, bool] | None = None) -> Response:
    response = answer({**setup_answer(saved), **(more or {})}, 201)
    response.headers["Location"] = f"{urls.base_url()}/api/v1/setups/{saved.code}?revision={saved.number}"
    return response
