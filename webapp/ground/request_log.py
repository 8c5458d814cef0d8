"""One line of JSON for each request, where that is set: what was asked, how it went, nothing that opens a setup.

Instead of its path a request is named by its route (`/s/<code>/history`), and its client by a shortened network. What
was typed, queries and bodies are not in it.
"""

from __future__ import annotations

import ipaddress
import json
import logging
import re
import secrets
import time
from datetime import UTC, datetime
from typing import Any, Final

from flask import Flask, Response, g, got_request_exception, request

from webapp.ground.client_network import client_network

LOGGER: Final = logging.getLogger("webapp.requests")
#: What a proxy may give as a request's name; one that could be a link's code is not taken over.
_GIVEN_ID: Final = re.compile(r"[0-9a-f-]{8,64}")
#: How many bits of a client's address are written down: enough to see that one network asks all the time.
_KEPT_BITS: Final = {4: 24, 6: 48}


def install(app: Flask) -> None:
    """Name every request, and write a line for each one if LOG_REQUESTS is true."""
    app.before_request(_begin)
    app.after_request(_name_answer)
    if app.config["LOG_REQUESTS"]:
        _write_to_stderr()
        got_request_exception.connect(_note_failure, app)
        app.after_request(_write_line)


def request_seconds() -> float:
    """Return how long the request has been worked on [s]."""
    return time.perf_counter() - float(g.began)


def route_of_request() -> str:
    """Return the route, "-" for an address that leads nowhere: it may hold a code all the same."""
    return "-" if request.url_rule is None else request.url_rule.rule


def shortened_network(address: str | None) -> str:
    """Return the network around an address, wide enough for many people.

    Examples
    --------
    >>> shortened_network("198.51.100.7"), shortened_network("2001:db8:1:2::3"), shortened_network("x")
    ('198.51.100.0/24', '2001:db8:1::/48', '-')
    """
    text = client_network(address).partition("/")[0]
    try:
        found = ipaddress.ip_address(text)
    except ValueError:
        return "-"
    return str(ipaddress.ip_network((found, _KEPT_BITS[found.version]), strict=False))


def _begin() -> None:
    given = request.headers.get("X-Request-ID", "")
    g.request_id = given if _GIVEN_ID.fullmatch(given) else secrets.token_hex(8)
    g.began = time.perf_counter()


def _name_answer(response: Response) -> Response:
    if "request_id" in g:  # the page of an overlong body is drawn without a request's beginning
        response.headers["X-Request-ID"] = g.request_id
    return response


def _note_failure(_app: Flask, exception: BaseException, **_more: Any) -> None:
    g.failed_by = type(exception).__name__


def _write_line(response: Response) -> Response:
    if "began" in g:
        LOGGER.info(json.dumps(_line(response), separators=(",", ":")))
    return response


def _line(response: Response) -> dict[str, Any]:
    line = {
        "time": datetime.now(UTC).isoformat(timespec="milliseconds"),
        "id": g.request_id,
        "method": request.method[:10],
        "endpoint": request.endpoint,
        "path": route_of_request(),
        "status": response.status_code,
        "ms": round(1000 * request_seconds(), 1),
        "bytes": response.content_length,
        "network": shortened_network(request.remote_addr),
    }
    return {**line, "failed_by": g.failed_by} if "failed_by" in g else line


def _write_to_stderr() -> None:
    """Write the lines bare, whatever other logs look like, once however many apps there are."""
    LOGGER.setLevel(logging.INFO)
    LOGGER.propagate = False
    if not LOGGER.handlers:
        handler = logging.StreamHandler()
        handler.setFormatter(logging.Formatter("%(message)s"))
        LOGGER.addHandler(handler)
