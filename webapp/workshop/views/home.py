"""The shop's home: its latest setups, found by short code, bike or date."""

from __future__ import annotations

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.whole_numbers import read_whole_number
from webapp.setups.actions.shop_setups import find_shop_setups
from webapp.workshop.actions.bike_visits import find_meaning
from webapp.workshop.pages.record_page import present_setups
from webapp.workshop.views.records import lead_to

blueprint = Blueprint("shop", __name__, url_prefix="/shop")


@blueprint.get("")
@needs_staff
def home() -> ResponseReturnValue:
    """Show the shop's home with its setups, all of them or those that a text means."""
    member = signed_in()
    text, number = request.args.get("q", "")[:200], read_whole_number(request.args.get("page")) or 1
    if text and (meaning := find_meaning(member.shop_id, text)):
        return lead_to(meaning)
    page = find_shop_setups(member.shop_id, text, number, zone=member.time_zone)
    lines = present_setups(page, member.time_zone)
    return render_template("workshop/home.html", member=member, page=page, lines=lines, text=text)
