"""What stands between the network and the views: proxies, headers, capital links, and logs without secrets."""

from __future__ import annotations

import logging
import re
import traceback
from collections.abc import Callable, Iterable
from typing import Any, Final
from urllib.parse import urlsplit

from flask import Flask, Response, current_app, request
from werkzeug.middleware.proxy_fix import ProxyFix

from webapp.ground.config import is_hosted
from webapp.ground.text.i18n import gettext as _

CONTENT_SECURITY_POLICY: Final = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
#: A browser's own PDF viewer is a page with styles of its own; nothing in a PDF of ours can run.
PDF_POLICY: Final = "frame-ancestors 'none'; base-uri 'none'"
_PERMISSIONS: Final = "accelerometer=(), camera=(), geolocation=(), gyroscope=(), microphone=(), payment=(), usb=()"
_HSTS: Final = "max-age=31536000"
#: Paths below which everything belongs to one setup: never indexed.
_PRIVATE: Final = ("/s/", "/owner/", "/api/", "/find", "/bike/")

# Source files in tracebacks are spared: a template's folder may be called like the path that it draws.
_SECRET_PATHS: Final = re.compile(r"(/(?:s|owner|setups|bike)/)(?![\w.-]*\.(?:html|py)\b)[^/\s?#\"'<>]+", re.IGNORECASE)
_BARE_CODES: Final = re.compile(r"(?<![0-9A-Za-z])[0-9A-Za-z]{26}(?![0-9A-Za-z])")
_MASKED: Final = "[masked]"

#: Paths as QR codes carry them, and as the views know them.
_CAPITALS: Final = (("/S/", "/s/"), ("/BIKE/", "/bike/"))

WsgiApp = Callable[[dict[str, Any], Any], Iterable[bytes]]


def protect(app: Flask) -> None:
    """Put headers on every answer, keep links out of every log, and trust as many proxies as set."""
    app.after_request(_add_headers)
    mask_logs()
    app.wsgi_app = CapitalLinks(app.wsgi_app)  # type: ignore[method-assign]
    hops = app.config["PROXY_HOPS"]
    if hops:
        app.wsgi_app = PublicPath(app.wsgi_app, urlsplit(app.config["PUBLIC_BASE_URL"]).path)  # type: ignore[method-assign]
        app.wsgi_app = ProxyFix(  # type: ignore[method-assign]
            app.wsgi_app, x_for=hops, x_proto=hops, x_host=hops, x_port=hops, x_prefix=0
        )


class CapitalLinks:
    """Lets `/S/CODE` and `/BIKE/TAG`, the forms that QR codes carry, reach the views of `/s/<code>`, `/bike/<tag>`."""

    def __init__(self, app: WsgiApp) -> None:
        self._app = app

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        """Answer as for the same path with a small `s`."""
        path = environ.get("PATH_INFO", "")
        for capitals, small in _CAPITALS:
            if path.startswith(capitals):
                environ["PATH_INFO"] = small + path[len(capitals) :]
        return self._app(environ, start_response)


class PublicPath:
    """Begins every link with the path of the public address, whatever a request says: a proxy takes that path off.

    X-Forwarded-Prefix is not read. A proxy that passes it on from outside would let anyone put another site there.
    """

    def __init__(self, app: WsgiApp, path: str) -> None:
        self._app = app
        self._path = path

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        """Answer as an app that is mounted at the public path."""
        environ["SCRIPT_NAME"] = self._path
        return self._app(environ, start_response)


def lost_cookie_advice() -> str | None:
    """Return what to do where a form came without the cookie because the page was not opened over https, else None.

    Reloading would not help: browsers send the cookie of an https address over https alone.
    """
    config = current_app.config
    if request.is_secure or not is_hosted(config) or config["SESSION_COOKIE_NAME"] in request.cookies:
        return None
    return _(
        "This page was opened over http, or it was open for too long. Open it at %(address)s: over http, browsers do "
        "not send the cookie that it needs.",
        address=config["PUBLIC_BASE_URL"],
    )


def _add_headers(response: Response) -> Response:
    headers = response.headers
    is_pdf = response.mimetype == "application/pdf"
    headers.setdefault("Content-Security-Policy", PDF_POLICY if is_pdf else CONTENT_SECURITY_POLICY)
    headers.setdefault("X-Content-Type-Options", "nosniff")
    headers.setdefault("Referrer-Policy", "same-origin")
    headers.setdefault("Permissions-Policy", _PERMISSIONS)
    headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
    headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
    if request.is_secure or is_hosted(current_app.config):
        headers.setdefault("Strict-Transport-Security", _HSTS)
    if request.endpoint != "static":
        headers["Cache-Control"] = "no-store"
    if request.path.startswith(_PRIVATE):
        headers.setdefault("X-Robots-Tag", "noindex, nofollow")
    return response


def masked(text: str) -> str:
    """Return `text` with every setup's code and owner's key blotted out.

    Examples
    --------
    >>> masked("GET /s/01110123456789ABCDEFGHJKMN/card.pdf failed")
    'GET /s/[masked]/card.pdf failed'
    """
    return _BARE_CODES.sub(_MASKED, _SECRET_PATHS.sub(rf"\1{_MASKED}", text))


def mask_logs() -> None:
    """Make every log record of the process, tracebacks included, pass through `masked`.

    A filter on one logger would miss those of the server and the libraries, so the records themselves are
    made masked. Calling it again changes nothing.
    """
    inner = logging.getLogRecordFactory()
    if getattr(inner, "masks_codes", False):
        return

    def factory(*args: Any, **kwargs: Any) -> logging.LogRecord:
        record = inner(*args, **kwargs)
        _mask_record(record)
        return record

    factory.masks_codes = True  # type: ignore[attr-defined]
    logging.setLogRecordFactory(factory)


def _mask_record(record: logging.LogRecord) -> None:
    try:
        text = record.getMessage()
    except (TypeError, ValueError):
        return  # a wrong log call; logging itself reports it without the values
    if (safe := masked(text)) != text:
        record.msg, record.args = safe, ()
    if record.exc_info and record.exc_info[0] is not None:
        # Formatters print this text instead of formatting the traceback themselves.
        record.exc_text = masked("".join(traceback.format_exception(*record.exc_info)).rstrip("\n"))
