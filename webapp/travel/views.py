"""The travel change of a saved setup: anyone with its link can plan one and save it as a new revision."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from setup_rules import RequestError
from webapp.ground.drawing.force_plot import travel_plot
from webapp.ground.extensions import checks_its_own_token, limit_creation, limit_links
from webapp.ground.whole_numbers import read_whole_number
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.revision import Revision
from webapp.travel.actions import change_travel, plan_travel
from webapp.travel.forms import TravelForm
from webapp.travel.pages import TravelPage, present_travel

blueprint = Blueprint("travel", __name__)


@blueprint.get("/s/<code>/travel")
@limit_links
def start(code: str) -> ResponseReturnValue:
    """Show the planner, filled with what the setup knows."""
    saved = find_setup(code)
    form = TravelForm(formdata=None)
    form.base.data = str(saved.number)
    front = saved.setup.request.front
    if front is not None:
        form.show({"longest_travel_mm": front.longest_travel_mm, "head_angle_deg": front.head_angle_deg})
    return _draw(saved, form)


@blueprint.post("/s/<code>/travel")
@checks_its_own_token
@limit_creation
def plan(code: str) -> ResponseReturnValue:
    """Show what the change does; with the second button save it as a new revision."""
    form = TravelForm()
    wish = form.read()
    if wish is None:
        return _draw(find_setup(code), form)
    try:
        if "save" in request.form and form.is_planned(wish):
            saved = change_travel(code, wish, form.base_revision(), _read_stack())
            return redirect(url_for("setups.show", code=saved.code), 303)
        planned = plan_travel(code, wish)
    except RequestError as error:
        form.refuse_all(error.problems)
        return _draw(find_setup(code), form)
    form.base.data = str(planned.saved.number)
    form.mark_planned(wish)
    return _draw(planned.saved, form, present_travel(planned.plan))


def _read_stack() -> int:
    return read_whole_number(request.form.get("stack")) or 0


def _draw(saved: Revision, form: TravelForm, page: TravelPage | None = None) -> ResponseReturnValue:
    problems = form.problems()
    shown = render_template(
        "travel/plan.html",
        saved=saved,
        form=form,
        problems=problems,
        page=page,
        draw=travel_plot,
        anew="save" in request.form,
    )
    return shown, 422 if problems else 200
