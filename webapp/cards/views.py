"""The card of a saved setup: as PDF in every printed size, and as a light page for the browser's own print."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Blueprint, Response, current_app, render_template, request
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.cards.forms import PrintForm
from webapp.cards.pages.card_back import BackView, present_back
from webapp.cards.pages.card_words import link_words
from webapp.cards.pages.owner_strip import present_strip
from webapp.cards.printing import card_key, front_of, shop_words
from webapp.cards.rendering import renderer
from webapp.cards.rendering.card_cache import card_cache_of
from webapp.cards.rendering.errors import CardBusyError, CardOverflowError, PdfMissingError
from webapp.cards.rendering.qr import AddressTooLongError, draw_qr
from webapp.cards.rendering.sizes import (
    CARD_SIZES,
    DEFAULT_SIZE,
    CardSize,
    SheetSize,
    UnknownSizeError,
    card_size_of,
    find_size,
)
from webapp.ground import urls
from webapp.ground.action_errors import LinkUnknownError
from webapp.ground.error_pages import error_answer
from webapp.ground.events import setup_gone
from webapp.ground.extensions import limit_cards, limit_links
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.local_time import DEFAULT_ZONE
from webapp.ground.whole_numbers import read_whole_number
from webapp.setups import one_time_owner_link
from webapp.setups.actions.find_revision import find_revision
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import find_printed_shop, is_of_shop
from webapp.workshop.actions.bike_visits import setup_code_of
from webapp.workshop.actions.find_services import find_visit
from webapp.workshop.actions.records import ServiceRecord

blueprint = Blueprint("cards", __name__)

RETRY_AFTER_S = 10
#: The most bikes on one sheet here: each is set while the browser waits. Larger stacks are made in the background.
MOST_CARDS = 8


@setup_gone.connect
def _forget_cards(_code: str) -> None:
    card_cache_of(current_app).clear()


@blueprint.get("/s/<code>/card.pdf")
@limit_cards
def pdf(code: str) -> Response:
    """Give the card as PDF: `?size=` a printed size, `?revision=` one of the setup's, `?side=` front, back or both."""
    size, side = find_size(request.args.get("size", DEFAULT_SIZE)), request.args.get("side", "front")
    stored, revision, saved_at = find_revision(code, _read_revision())
    key = card_key(stored, revision, saved_at, f"{size.name} {side}", find_printed_shop(stored))
    body = card_cache_of(current_app).get(key)
    if body is None:
        body = _print(stored, revision, size, side)
        card_cache_of(current_app).put(key, body)
    return _as_file(body, f"setup-card-{size.name}-revision-{revision}.pdf")


@blueprint.get("/s/<code>/card")
@limit_links
def choose(code: str) -> str:
    """Offer every size and side of the card; both sides are one press where it has both."""
    card, form = front_of(code, _read_revision()), PrintForm(formdata=None)
    stored, revision, _saved_at = find_revision(code, _read_revision())
    return render_template(
        "cards/choose.html",
        card=card,
        form=form,
        code=stored,
        revision=revision,
        has_back=bool(find_visit(stored, revision)),
        has_strip=one_time_owner_link.held_owner_strip(stored) is not None,
    )


@blueprint.get("/s/<code>/owner-strip.pdf")
@limit_cards
def owner_strip(code: str) -> Response:
    """Give the owner's link as a strip for the rider, to the browser in which staff saved the setup."""
    saved, size = find_setup(code), find_size(request.args.get("size", DEFAULT_SIZE))
    address = one_time_owner_link.held_owner_strip(saved.code)
    if address is None:
        raise LinkUnknownError(_("This browser holds no owner's link of this setup."))
    strip = present_strip(saved.texts.bike_label, address, shop_words(find_printed_shop(saved.code), ()))
    body = renderer.print_sheet([(strip, renderer.STRIP)], card_size_of(size))
    return _as_file(body, f"owner-strip-{size.name}.pdf")


@blueprint.get("/shop/cards.pdf")
@limit_cards
@needs_staff
def several() -> Response:
    """Give the cards of up to eight of the shop's bikes on one sheet, front by front or with their backs."""
    size, codes = find_size(request.args.get("size", "a4-4")), _own_codes(request.args.getlist("code"))
    sides = [one for code in codes for one in _sides(code, request.args.get("side", "front"))]
    return _as_file(renderer.print_sheet(sides, size), f"setup-cards-{size.name}.pdf")


def _own_codes(texts: list[str]) -> list[str]:
    """Return the links' codes of the shop's own setups, each once; a code of another shop is as unknown as any."""
    shop_id = signed_in().shop_id
    codes = list(dict.fromkeys(setup_code_of(shop_id, text) for text in texts[:MOST_CARDS]))
    own = [code for code in codes if is_of_shop(code, shop_id)]
    if not own or len(own) != len(codes) or len(texts) > MOST_CARDS:
        raise LinkUnknownError(_("Choose from 1 to %(most)d bikes of this shop.", most=MOST_CARDS))
    return own


def _sides(code: str, side: str) -> Iterator[tuple[renderer.Printable, tuple[str, tuple[str, ...]]]]:
    saved = find_setup(code)
    yield front_of(saved.code, saved.number), renderer.FRONT
    services = find_visit(saved.code, saved.number) if side == "both" else ()
    if services:
        yield _back(saved.code, services), renderer.BACK


def _as_file(body: bytes, name: str) -> Response:
    answer = Response(body, mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


@blueprint.get("/s/<code>/print")
@limit_cards
def browser_print(code: str) -> str:
    """Show the card as a page that the browser can print, for where the PDF libraries are missing."""
    card = front_of(code, _read_revision())
    size = CARD_SIZES[DEFAULT_SIZE]
    qr = draw_qr(card.address, size.qr_mm) if card.address else None
    return render_template("cards/page.html", card=card, size=size, step=size.steps[0], qr=qr)


def _print(code: str, revision: int, size: CardSize | SheetSize, side: str) -> bytes:
    if side == "front":
        return renderer.print_any(front_of(code, revision), size)
    services = find_visit(code, revision) if side in ("back", "both") else ()
    if not services:
        raise LinkUnknownError(
            _("This card has no such side. Cards get a back side when a shop closes a service record.")
        )
    return renderer.print_sides(front_of(code, revision) if side == "both" else None, _back(code, services), size)


def _back(code: str, services: tuple[ServiceRecord, ...]) -> BackView:
    shop = find_printed_shop(code)
    return present_back(
        services[0],
        urls.printed_address(code),
        link=link_words(local=urls.is_local_card(), dead=urls.is_dead_at_home(), later=urls.opens_later()),
        short_code=shop.short_code if shop else "",
        other=next(iter(services[1:]), None),
        zone=shop.time_zone if shop else DEFAULT_ZONE,
    )


def _read_revision() -> int | None:
    """Return the revision in the query; one that is not a number is one that no setup has."""
    text = request.args.get("revision")
    return (read_whole_number(text) or 0) if text else None


@blueprint.errorhandler(UnknownSizeError)
def _answer_unknown_size(error: UnknownSizeError) -> ResponseReturnValue:
    return error_answer(404, str(error))


@blueprint.errorhandler(CardBusyError)
def _answer_busy(_error: CardBusyError) -> ResponseReturnValue:
    message = _(
        "Too many cards are being printed right now. Wait a few seconds and try again, or print from the browser."
    )
    return _draw_without_pdf(message), 503, {"Retry-After": str(RETRY_AFTER_S)}


@blueprint.errorhandler(PdfMissingError)
def _answer_missing(error: PdfMissingError) -> ResponseReturnValue:
    current_app.logger.error("%s", error)
    message = _(
        "This server cannot create PDF files. Print the card from the browser. If you run this tool, the "
        "command “setup-card doctor” shows what to install."
    )
    return _draw_without_pdf(message), 503


@blueprint.errorhandler(CardOverflowError)
@blueprint.errorhandler(AddressTooLongError)
def _answer_unprintable(error: Exception) -> ResponseReturnValue:
    current_app.logger.error("A card could not be printed: %s", error)
    message = _("This card does not fit the chosen size. Try the A6 card, or print from the browser.")
    return _draw_without_pdf(message), 500


def _draw_without_pdf(message: str) -> str:
    code = (request.view_args or {}).get("code", "")
    return render_template("cards/no_pdf.html", message=message, code=code, revision=_read_revision())
