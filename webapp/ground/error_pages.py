"""Every error_answer and every failure as a page that says what to do, or as JSON for the interface."""

from __future__ import annotations

from flask import Flask, Response, current_app, jsonify, make_response, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import BadHost, HTTPException, MethodNotAllowed, SecurityError

from webapp.ground.action_errors import (
    ConflictError,
    HistoryFullError,
    IdempotencyError,
    KeyEndedError,
    LinkGoneError,
    LinkUnknownError,
    NotFoundError,
    StorageUnavailableError,
)
from webapp.ground.errors import StorageDamagedError, StorageFullError
from webapp.ground.link_codes import CodeError, normalise
from webapp.ground.security import lost_cookie_advice
from webapp.ground.text.i18n import gettext as _

RETRY_AFTER_S = 5


def register(app: Flask) -> None:
    """Give `app` an answer for everything that can go wrong."""
    app.register_error_handler(LinkUnknownError, lambda error: error_answer(404, str(error), "code"))
    app.register_error_handler(NotFoundError, lambda error: error_answer(404, str(error)))
    app.register_error_handler(LinkGoneError, lambda error: error_answer(410, str(error), "code"))
    app.register_error_handler(ConflictError, lambda error: error_answer(409, str(error), "base_revision"))
    app.register_error_handler(IdempotencyError, lambda error: error_answer(409, str(error), "Idempotency-Key"))
    app.register_error_handler(HistoryFullError, lambda error: error_answer(409, str(error)))
    app.register_error_handler(KeyEndedError, lambda error: error_answer(410, str(error), "Idempotency-Key"))
    app.register_error_handler(StorageUnavailableError, _unavailable)
    app.register_error_handler(HTTPException, _http_error)


def error_answer(status: int, message: str, field: str = "request") -> Response:
    """Return the answer for `status`: JSON below /api, a page elsewhere."""
    if request.path.startswith("/api/"):
        answer = jsonify(errors=[{"field": field, "message": message}])
    else:
        answer = make_response(
            render_template(
                "ground/error.html",
                status=status,
                heading=_heading(status),
                message=message,
                gone_code=_gone_code(status, field),
            )
        )
    answer.status_code = status
    return answer


def _gone_code(status: int, field: str) -> str:
    """Return the code of a link that ended, so that the browser takes it off its list; "" for any other answer."""
    typed = (request.view_args or {}).get("code", "") if (status, field) == (410, "code") else ""
    try:
        return normalise(typed) if typed else ""
    except CodeError:
        return ""


def too_large_answer(app: Flask, path: str, languages: str) -> Response:
    """Return the answer to a request whose body the server did not even take in, with every header of an answer."""
    place = "/api/" if path.startswith("/api/") else "/"  # of the path nothing else matters, and it may be malformed
    with app.test_request_context(
        place, headers={"Accept-Language": languages}, base_url=app.config["PUBLIC_BASE_URL"]
    ):
        return app.process_response(error_answer(413, _advice(413), "body"))


def _unavailable(error: StorageUnavailableError) -> Response:
    damaged = isinstance(error, StorageDamagedError)
    current_app.logger.error("The database %s: %s", "is damaged" if damaged else "did not answer", error)
    answer = error_answer(503, _storage_advice(error))
    answer.headers["Retry-After"] = str(RETRY_AFTER_S)
    return answer


def _storage_advice(error: StorageUnavailableError) -> str:
    if isinstance(error, StorageDamagedError):
        return _("The database is damaged. Nothing was saved. Tell the person who runs this tool.")
    if isinstance(error, StorageFullError):
        return _("The disk is nearly full or full. Nothing was saved. Tell the person who runs this tool.")
    return _advice(503)


def _http_error(error: HTTPException) -> Response | HTTPException:
    status = error.code or 500
    if isinstance(error, SecurityError | BadHost):
        # For a host that is not ours, or no host at all, no address can be built, so no page can be drawn.
        return Response(_("This host name is not allowed here (setting TRUSTED_HOSTS).\n"), 400, mimetype="text/plain")
    if error.response is not None or status < 400:
        return error  # a redirect, or an answer that its raiser wrote in full
    advice = (lost_cookie_advice() if isinstance(error, CSRFError) else None) or _advice(status)
    answer = error_answer(status, advice, "body" if status in (413, 415) else "request")
    if isinstance(error, MethodNotAllowed) and error.valid_methods:
        answer.headers["Allow"] = ", ".join(sorted(error.valid_methods))
    retry_after = getattr(error, "retry_after", None)
    if isinstance(retry_after, int):
        answer.headers["Retry-After"] = str(retry_after)
    return answer


def _heading(status: int) -> str:
    headings = {
        400: _("The request could not be understood"),
        403: _("This is not allowed"),
        404: _("Not found"),
        405: _("This page does not accept this request"),
        409: _("Someone saved a change in the meantime"),
        410: _("This setup no longer exists"),
        413: _("The request is too large"),
        415: _("This type of content is not accepted"),
        429: _("Too many requests"),
        503: _("Not available now"),
    }
    return headings.get(status, _("Something went wrong"))


def _advice(status: int) -> str:
    advice = {
        400: _("Go back, reload the page and send the form again."),
        403: _("Go back and use the links on the page."),
        404: _("Check the address, or start a new setup."),
        405: _("Go back and use the buttons on the page."),
        413: _("Send less data. A setup needs only a few lines."),
        415: _("Send JSON with the header Content-Type: application/json."),
        429: _("Wait a minute and try again. Nothing is lost."),
        503: _("The database is not responding. Nothing was saved. Wait a moment and try again."),
    }
    return advice.get(
        status, _("This is not your fault. Try again. If the error comes back, tell the person who runs this tool.")
    )
