"""The shop's home: what was set up lately, found again by short code, bike or day."""

from __future__ import annotations

from flask import Blueprint, render_template

from webapp.views.access import needs_staff, signed_in

blueprint = Blueprint("shop", __name__, url_prefix="/shop")


@blueprint.get("")
@needs_staff
def home() -> str:
    """Show the shop's home."""
    return render_template("shop/home.html", member=signed_in())
