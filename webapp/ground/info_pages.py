"""The pages around the setups: about, privacy, safety; and what machines ask for."""

from __future__ import annotations

from flask import Blueprint, Response, abort, current_app, jsonify, render_template, url_for

from webapp.ground.health import check_health, check_readiness
from webapp.ground.metrics import may_read_metrics, shown_metrics
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import language

blueprint = Blueprint("pages", __name__)

_ROBOTS = "User-agent: *\nDisallow: /s/\nDisallow: /S/\nDisallow: /owner/\nDisallow: /api/\nDisallow: /find\n"


@blueprint.get("/about")
def about() -> str:
    """What the tool does, how well, and what it does not know."""
    return render_template("ground/about.html")


@blueprint.get("/privacy")
def privacy() -> str:
    """What is kept, for how long, and who can read it."""
    return render_template("ground/privacy.html", retention_days=round(current_app.config["RETENTION_DAYS"]))


@blueprint.get("/safety")
def safety() -> str:
    """What can hurt, and who to ask."""
    return render_template("ground/safety.html")


@blueprint.get("/robots.txt")
def robots() -> Response:
    """Keep search engines away from setups."""
    return Response(_ROBOTS, mimetype="text/plain")


@blueprint.get("/manifest.webmanifest")
def manifest() -> Response:
    """Tell a phone how the tool looks on its home screen, and what opens from there."""
    icons = [{"src": url_for("static", filename=f"icon-{side}.png"), "sizes": f"{side}x{side}"} for side in (192, 512)]
    answer = jsonify(
        name=_("Setup card"),
        short_name=_("Setup card"),
        lang=language(),
        start_url=url_for("setups.new"),
        scope=url_for("setups.new"),
        display="minimal-ui",
        background_color="#f6f5f1",
        theme_color="#0d4b55",
        icons=[{**icon, "type": "image/png", "purpose": "any"} for icon in icons],
    )
    answer.mimetype = "application/manifest+json"
    return answer


@blueprint.get("/healthz")
def health() -> Response:
    """Tell a watcher that pages and database answer (503 when the database does not)."""
    check_health()
    return Response("ok\n", mimetype="text/plain")


@blueprint.get("/readyz")
def ready() -> Response:
    """Tell a proxy whether to send requests here (503 where the database is away, full, or of another version)."""
    check_readiness()
    return Response("ready\n", mimetype="text/plain")


@blueprint.get("/metrics")
def metrics() -> Response:
    """Give figures to a watcher that shows the token; for everybody else there is no such page."""
    if not may_read_metrics():
        abort(404)
    body, kind = shown_metrics()
    return Response(body, content_type=kind)
