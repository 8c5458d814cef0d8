"""Every refusal and every failure as a page that says what to do, or as JSON for the interface."""

from __future__ import annotations

from flask import Flask, jsonify, render_template, request
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException

from setup_rules import RequestError, SetupRulesError
from webapp.i18n import gettext as _
from webapp.services.errors import ConflictError, IdempotencyError, LinkGoneError, LinkUnknownError
from webapp.storage.database import StorageUnavailableError

RETRY_AFTER_S = 5


def register(app: Flask) -> None:
    """Give `app` an answer for everything that can go wrong."""
    app.register_error_handler(LinkUnknownError, lambda error: refusal(404, str(error)))
    app.register_error_handler(LinkGoneError, lambda error: refusal(410, str(error)))
    app.register_error_handler(ConflictError, lambda error: refusal(409, str(error)))
    app.register_error_handler(IdempotencyError, lambda error: refusal(409, str(error), "Idempotency-Key"))
    app.register_error_handler(StorageUnavailableError, _unavailable)
    app.register_error_handler(HTTPException, _http_error)


def refusal(status: int, message: str, field: str = "") -> ResponseReturnValue:
    """Return the answer for `status`: JSON below /api, a page elsewhere."""
    if request.path.startswith("/api/"):
        return jsonify(errors=[{"field": field or _field(status), "message": message}]), status
    page = render_template("errors/error.html", status=status, heading=_heading(status), message=message)
    return page, status


def _field(status: int) -> str:
    return "code" if status in (404, 410) else "body" if status in (400, 413, 415) else ""


def _unavailable(error: StorageUnavailableError) -> ResponseReturnValue:
    from flask import current_app

    current_app.logger.error("The database did not answer: %s", error)
    message = _("The database does not answer just now. Nothing was saved. Wait a moment and try again.")
    body, status = refusal(503, message)  # type: ignore[misc]
    return body, status, {"Retry-After": str(RETRY_AFTER_S)}


def _http_error(error: HTTPException) -> ResponseReturnValue:
    status = error.code or 500
    if error.response is not None or status < 400:
        return error
    answer = refusal(status, _advice(status))
    response = error.get_response()
    kept = {k: v for k, v in response.headers.items() if k in ("Allow", "Retry-After")}
    body, code = answer  # type: ignore[misc]
    return body, code, kept


def _heading(status: int) -> str:
    headings = {
        400: _("The request could not be read"),
        403: _("This is not allowed"),
        404: _("Nothing found here"),
        405: _("This page cannot be used that way"),
        409: _("Somebody saved in the meantime"),
        410: _("This setup is gone"),
        413: _("That was too much to send"),
        415: _("That kind of content is not read"),
        429: _("Too many requests"),
        503: _("Not available just now"),
    }
    return headings.get(status, _("Something went wrong here"))


def _advice(status: int) -> str:
    advice = {
        400: _("Go back, load the page again, and send the form once more."),
        403: _("Go back and use the links on the page."),
        404: _("Check the address, or start a new setup."),
        405: _("Go back and use the buttons on the page."),
        413: _("Send less: a setup needs a few lines only."),
        415: _("Send JSON with the header Content-Type: application/json."),
        429: _("Wait a minute and try again. Nothing is lost."),
        503: _("Wait a moment and try again. Nothing was saved."),
    }
    return advice.get(status, _("It is not your fault. Try again; if it stays, tell whoever runs this tool."))


def rules_refusal(error: SetupRulesError) -> ResponseReturnValue:
    """Return 422 with one entry for each thing that the rules refuse."""
    if isinstance(error, RequestError):
        problems = [{"field": p.field, "message": p.message} for p in error.problems]
    else:
        problems = [{"field": "body", "message": str(error)}]
    return jsonify(errors=problems), 422
