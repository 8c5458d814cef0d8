"""Dates of a saved setup as files for a calendar."""

from __future__ import annotations

from flask import Blueprint, Response

from webapp.ground import urls
from webapp.ground.extensions import limit_links
from webapp.setups.actions.find_service_day import find_service_day
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.pages.calendar import CalendarEvent, calendar_text, recheck_event, service_event
from webapp.setups.revision import Revision

blueprint = Blueprint("calendars", __name__)


@blueprint.get("/s/<code>/recheck.ics")
@limit_links
def recheck(code: str) -> Response:
    """Give the day of the next sag check."""
    saved = find_setup(code)
    return _send(saved, recheck_event(saved))


@blueprint.get("/s/<code>/service.ics")
@limit_links
def service(code: str) -> Response:
    """Give the day on which a service is due."""
    saved = find_setup(code)
    return _send(saved, service_event(saved, find_service_day(code)))


def _send(saved: Revision, event: CalendarEvent) -> Response:
    text = calendar_text(event, saved.code, saved.created_at, urls.setup_url(saved.code))
    answer = Response(text, mimetype="text/calendar")
    answer.headers["Content-Disposition"] = f'attachment; filename="setup-card-{event.kind}.ics"'
    return answer
