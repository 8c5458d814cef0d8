"""What a bike's tag opens: the crew's screen for the shop's own staff, for everybody else what the bike is.

What is set on a bike was set for a rider and would tell that rider's weight, so nobody without log-in sees it.
"""

from __future__ import annotations

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from webapp.accounts.access import current_staff
from webapp.demo_day.actions.list_bikes import bike_of_tag
from webapp.demo_day.forms.crew_forms import RiderForm
from webapp.demo_day.pages.bike_page import present_to_visitor
from webapp.demo_day.views.screens import set_up_screen
from webapp.ground.extensions import limit_links

blueprint = Blueprint("bike_tag", __name__)


@blueprint.get("/bike/<tag>")
@limit_links
def show(tag: str) -> ResponseReturnValue:
    """Show the bike that carries a tag."""
    bike, member = bike_of_tag(tag), current_staff()
    if member is not None and member.shop_id == bike.shop_id:
        return set_up_screen(bike, RiderForm(formdata=None))
    return render_template("demo_day/visitor.html", view=present_to_visitor(bike), tag=bike.tag)
