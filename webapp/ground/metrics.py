"""Figures for a watcher in Prometheus' text form, by endpoint: off unless METRICS_TOKEN is set, for its holder alone.

The library is loaded only then. Processes of one machine are summed where PROMETHEUS_MULTIPROC_DIR names a folder.
"""

from __future__ import annotations

import hmac
import os
from typing import TYPE_CHECKING, Any, Final

from flask import Flask, Response, current_app, g, request

from webapp.ground.request_log import request_seconds

if TYPE_CHECKING:
    from prometheus_client import CollectorRegistry

_EXTENSION: Final = "setup_card_metrics"
_METHODS: Final = ("GET", "HEAD", "POST", "OPTIONS")
#: Upper ends of the classes of duration [s]: a page takes milliseconds, a card some tenths, a locked database seconds.
_SECONDS: Final = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)


class Metrics:
    """What is counted for one app."""

    def __init__(self) -> None:
        from prometheus_client import CollectorRegistry, Counter, Histogram

        self.registry: CollectorRegistry = CollectorRegistry()
        asked = ("endpoint", "method", "status")
        self.requests = Counter("setup_card_requests", "Requests answered.", asked, registry=self.registry)
        self.seconds = Histogram(
            "setup_card_request_seconds",
            "Time until the answer.",
            ("endpoint",),
            buckets=_SECONDS,
            registry=self.registry,
        )

    def count(self, status: int) -> None:
        """Count the request that is being answered."""
        endpoint = request.endpoint or "none"
        method = request.method if request.method in _METHODS else "other"  # anyone may invent one
        self.requests.labels(endpoint, method, str(status)).inc()
        self.seconds.labels(endpoint).observe(request_seconds())


def install(app: Flask) -> None:
    """Count every request if METRICS_TOKEN is set."""
    if app.config["METRICS_TOKEN"] is not None:
        app.extensions[_EXTENSION] = Metrics()
        app.after_request(_count)


def _count(response: Response) -> Response:
    metrics: Metrics = current_app.extensions[_EXTENSION]
    if "began" in g:  # an overlong body's page is drawn without a request's beginning
        metrics.count(response.status_code)
    return response


def may_read_metrics() -> bool:
    """Return whether the request shows the token."""
    token = current_app.config["METRICS_TOKEN"]
    given = request.headers.get("Authorization", "").encode("utf-8", "replace")
    return token is not None and hmac.compare_digest(given, f"Bearer {token}".encode())


def shown_metrics() -> tuple[bytes, str]:
    """Return the figures and their content type."""
    from prometheus_client import CONTENT_TYPE_LATEST, generate_latest

    return generate_latest(_registry()), CONTENT_TYPE_LATEST


def _registry() -> Any:
    if "PROMETHEUS_MULTIPROC_DIR" not in os.environ:
        return current_app.extensions[_EXTENSION].registry
    from prometheus_client import CollectorRegistry
    from prometheus_client.multiprocess import MultiProcessCollector

    registry = CollectorRegistry()
    MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
    return registry
