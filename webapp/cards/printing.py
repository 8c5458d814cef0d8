"""The card of a saved setup as it is printed here: its strings, its address, and what makes two of them the same."""

from __future__ import annotations

from datetime import datetime

from setup_rules.types.result import RULES_VERSION
from webapp.cards.pages.as_set import as_set_by
from webapp.cards.pages.card import CardView, present_card
from webapp.cards.pages.card_words import link_words, shop_line
from webapp.cards.rendering import renderer
from webapp.cards.rendering.card_cache import CardKey
from webapp.ground import urls
from webapp.ground.device_units import device_units
from webapp.ground.text.i18n import language
from webapp.ground.text.local_time import DEFAULT_ZONE
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import PrintedShop, find_printed_shop
from webapp.setups.revision import Revision
from webapp.workshop.actions.find_services import find_services
from webapp.workshop.actions.records import ServiceRecord


def front_of(code: str, revision: int | None = None) -> CardView:
    """Return the strings of a setup's card, at its latest revision or the one asked for (raises as `find_setup`)."""
    saved = find_setup(code, revision)
    return front_at(saved, find_printed_shop(saved.code))


def front_at(saved: Revision, shop: PrintedShop | None) -> CardView:
    """Return the strings of a revision's card, `shop` being whose setup it is (raises as `find_setup`)."""
    services = find_services(saved.code, saved.number)
    return present_card(
        saved,
        urls.printed_address(saved.code),
        link=link_words(local=urls.is_local_card(), dead=urls.is_dead_at_home(), later=urls.opens_later()),
        short_code=shop.short_code if shop else "",
        as_set=as_set_by(services),
        shop=shop_words(shop, services, first=saved.number == 1),
        zone=shop.time_zone if shop else DEFAULT_ZONE,
    )


def shop_words(shop: PrintedShop | None, services: tuple[ServiceRecord, ...], *, first: bool = False) -> str:
    """Return the card's line about the shop: who closed the service that set it, or who saved the first version."""
    if shop is None:
        return ""
    initials = services[0].closer_initials if services else shop.initials if first else ""
    return shop_line(shop.name, shop.phone, initials)


def card_key(code: str, revision: int, saved_at: datetime, look: str, shop: PrintedShop | None) -> CardKey:
    """Return what makes a card of this revision the same as another; `look` names its size and side."""
    where = f"{urls.card_address(code)} {urls.is_local_card()} {urls.is_dead_at_home()} {urls.opens_later()}"
    said = f"{look} {shop} {device_units().text}"
    return CardKey(code, revision, saved_at, said, where, language(), RULES_VERSION, renderer.TEMPLATE_VERSION)
