"""The card of a saved setup as it is printed here: its strings, its address, and what makes two of them the same."""

from __future__ import annotations

from datetime import datetime

from setup_rules.types.result import RULES_VERSION
from webapp.cards.pages.as_set import as_set_by
from webapp.cards.pages.card import CardView, present_card
from webapp.cards.pages.card_words import link_words
from webapp.cards.rendering import renderer
from webapp.cards.rendering.card_cache import CardKey
from webapp.ground import urls
from webapp.ground.text.i18n import language
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import printed_short_code
from webapp.workshop.actions.find_services import find_services


def front_of(code: str, revision: int | None = None) -> CardView:
    """Return the strings of a setup's card, at its latest revision or the one asked for (raises as `find_setup`)."""
    saved = find_setup(code, revision)
    return present_card(
        saved,
        urls.printed_address(saved.code),
        link=link_words(local=urls.is_local_card(), later=urls.opens_later()),
        short_code=printed_short_code(saved.code),
        as_set=as_set_by(find_services(saved.code, saved.number)),
    )


def card_key(code: str, revision: int, saved_at: datetime, look: str) -> CardKey:
    """Return what makes a card of this revision the same as another; `look` names its size and side."""
    where = f"{urls.card_address(code)} {urls.is_local_card()} {urls.opens_later()}"
    return CardKey(code, revision, saved_at, look, where, language(), RULES_VERSION, renderer.TEMPLATE_VERSION)
