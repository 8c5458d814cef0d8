"""The shop's home: its latest setups, found by short code, bike or date."""

from __future__ import annotations

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.text.numbers import day
from webapp.ground.whole_numbers import read_whole_number
from webapp.setups.actions.shop_setups import find_shop_setups

blueprint = Blueprint("shop", __name__, url_prefix="/shop")


@blueprint.get("")
@needs_staff
def home() -> ResponseReturnValue:
    """Show the shop's home with its setups, all of them or those that a text means."""
    text, number = request.args.get("q", "")[:200], read_whole_number(request.args.get("page")) or 1
    page = find_shop_setups(signed_in().shop_id, text, number)
    lines = [(one.code, one.short_code, one.bike_label, one.revision, day(one.created_at)) for one in page.setups]
    return render_template("workshop/home.html", member=signed_in(), page=page, lines=lines, text=text)
