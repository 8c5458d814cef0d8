"""Finds the setup that a short code or a card's link means, where it is the shop's own."""

from __future__ import annotations

from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import is_of_shop, meant_code


def meant_setup(shop_id: int, text: str) -> tuple[str, str] | str:
    """Return (code, label of the bike) of a setup of the shop, or what is wrong with the text."""
    try:
        saved = find_setup(meant_code(shop_id, text))
    except (LinkGoneError, LinkUnknownError) as error:
        return str(error)
    if not is_of_shop(saved.code, shop_id):
        return _("This setup is not one of this shop's. Log in before you save a setup, and it is.")
    return saved.code, saved.texts.bike_label
