"""What a bike's tag opens: the crew's screen for the shop's own staff, for everybody else what the bike is.

What is set on a bike was set for a rider and would tell that rider's weight, so nobody without log-in sees it.
"""

from __future__ import annotations

from flask import Blueprint, Response, abort, render_template, request
from flask.typing import ResponseReturnValue

from webapp.accounts.access import current_staff, needs_staff, signed_in
from webapp.cards.rendering.errors import CardError
from webapp.cards.rendering.qr import AddressTooLongError
from webapp.cards.rendering.sizes import UnknownSizeError, find_size
from webapp.cards.rendering.tags import print_tags
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.actions.list_bikes import bike_of_tag, bikes_to_tag, tag_files
from webapp.demo_day.forms.crew_forms import RiderForm
from webapp.demo_day.pages.bike_page import present_to_visitor
from webapp.demo_day.pages.tag_content import tag_content
from webapp.demo_day.views.screens import set_up_screen
from webapp.ground.error_pages import error_answer
from webapp.ground.extensions import limit_cards, limit_links
from webapp.ground.text.i18n import gettext as _
from webapp.ground.urls import base_url, is_own_machine
from webapp.ground.whole_numbers import read_whole_number

blueprint = Blueprint("bike_tag", __name__)


@blueprint.get("/bike/<tag>")
@limit_links
def show(tag: str) -> ResponseReturnValue:
    """Show the bike that carries a tag."""
    bike, member = bike_of_tag(tag), current_staff()
    if member is not None and member.shop_id == bike.shop_id:
        return set_up_screen(bike, RiderForm(formdata=None))
    return render_template("demo_day/visitor.html", view=present_to_visitor(bike), tag=bike.tag)


@blueprint.get("/shop/bikes/<int:bike>/tag.pdf")
@limit_cards
@needs_staff
def pdf(bike: int) -> ResponseReturnValue:
    """Give the tag of a bike as PDF: `?size=` as cards are printed in."""
    size = find_size(request.args.get("size", "62x100"))
    shown = find_bike(signed_in().shop_id, bike)
    answer = Response(print_tags([tag_content(shown)], size), mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="tag-{shown.bike_id}.pdf"'
    return answer


@blueprint.get("/shop/bikes/tags")
@needs_staff
def choose() -> ResponseReturnValue:
    """Offer the tags of all bikes, some sheets a file, and say where they lead."""
    files = tag_files(signed_in().shop_id)
    return render_template("demo_day/tags.html", files=files, dead=is_own_machine(), address=base_url())


@blueprint.get("/shop/bikes/tags.pdf")
@limit_cards
@needs_staff
def all_pdf() -> ResponseReturnValue:
    """Give the tags of many bikes as PDF: `?file=` from 1, `?size=` as cards are printed in."""
    size, number = find_size(request.args.get("size", "a4-8")), read_whole_number(request.args.get("file")) or 1
    shown = bikes_to_tag(signed_in().shop_id, number)
    if not shown:
        abort(404)
    answer = Response(print_tags([tag_content(bike) for bike in shown], size), mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="tags-{number}.pdf"'
    return answer


@blueprint.errorhandler(UnknownSizeError)
def _answer_unknown_size(error: UnknownSizeError) -> ResponseReturnValue:
    return error_answer(404, str(error))


@blueprint.errorhandler(CardError)
@blueprint.errorhandler(AddressTooLongError)
def _answer_unprintable(_error: Exception) -> ResponseReturnValue:
    return error_answer(503, _("The tag could not be printed. Wait a few seconds, then try again."))
