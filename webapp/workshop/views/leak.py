"""The leak check: two readings in, the result out. Nothing is saved, so it needs neither log-in nor CSRF token."""

from __future__ import annotations

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from setup_rules import RequestError
from webapp.ground.extensions import limit_links, needs_no_token
from webapp.ground.text.sentences import say
from webapp.workshop.actions.check_leak import check_leak
from webapp.workshop.forms.leak_form import LeakForm
from webapp.workshop.pages.leak_page import LeakPage, how_sure, present_leak

blueprint = Blueprint("leak", __name__)


@blueprint.route("/leak", methods=["GET", "POST"])
@needs_no_token
@limit_links
def check() -> ResponseReturnValue:
    """Show the form; on POST also what the readings say."""
    form = LeakForm()
    page = _answer(form) if request.method == "POST" else None
    problems = form.problems()
    shown = render_template("workshop/leak_check.html", form=form, problems=problems, page=page, how_sure=how_sure())
    return shown, 422 if problems else 200


def _answer(form: LeakForm) -> LeakPage | None:
    asked = form.read()
    if asked is None:
        return None
    try:
        return present_leak(asked[0], check_leak(*asked))
    except RequestError as error:
        for problem in error.problems:
            form.refuse_reading(problem.field, say(problem.said))
        return None
