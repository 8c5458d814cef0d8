"""Renders cards: one at a time, bounded in number and time, finished ones kept for a short time.

Laying out a page holds the interpreter and Pango's global state, so a second one at once would gain nothing.
"""

from __future__ import annotations

import contextlib
import functools
import gc
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from concurrent.futures import TimeoutError as TooLateError
from typing import Final, Protocol

from flask import Flask, render_template

from webapp.cards.rendering.errors import CardBusyError, CardError, CardOverflowError, PdfMissingError
from webapp.cards.rendering.qr import draw_qr
from webapp.cards.rendering.sizes import CardSize, SheetSize, Step, card_size_of, sheet_of
from webapp.ground.text.i18n import language

#: Changes whenever the same strings would look different; part of the key under which a finished card is kept.
TEMPLATE_VERSION: Final = "5"
#: Cards that may be waiting or in work at once.
PLACES: Final = 6
#: How long anyone waits for a card [s].
PATIENCE_S: Final = 15.0


class Printable(Protocol):
    """A card's strings, as the presenter makes them; only the template reads more than this."""

    @property
    def address(self) -> str:
        """What the QR code opens; "" for a card without one."""

    @property
    def title(self) -> str:
        """The document's title."""


_places = threading.BoundedSemaphore(PLACES)


@functools.cache
def _worker() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=1, thread_name_prefix="card")


#: The templates of a card's two sides, and the style sheets that a side needs beside those of its size.
FRONT: Final = ("cards/card_pdf.html", ())
BACK: Final = ("cards/back_pdf.html", ("print-back.css",))
STRIP: Final = ("cards/strip_pdf.html", ("print-back.css",))
#: And of a tag, which is no card but is printed as one.
TAG: Final = ("cards/tag_pdf.html", ("print-tag.css",))


def print_card(card: Printable, size: CardSize, side: tuple[str, tuple[str, ...]] = FRONT) -> bytes:
    """Return one side of `card` as a one-page PDF of `size`, in the roomiest of the size's steps that fits.

    Raises
    ------
    PdfMissingError
        When WeasyPrint or Pango cannot be loaded.
    CardBusyError
        When too many cards are in work, or this one was not done in `PATIENCE_S` seconds.
    CardOverflowError
        When the content does not fit one page even at its tightest.
    """
    return _print_steps(_draw_page(card, size, side[0]), size, side[1])[1]


def _draw_page(card: Printable, size: CardSize, template: str) -> Callable[[Step], str]:
    """Return what gives a card's HTML at a step; its code is drawn once."""
    code = draw_qr(card.address, size.qr_mm) if card.address else None
    return lambda step: render_template(template, card=card, size=size, qr=code, step=step)


def _print_steps(draw: Callable[[Step], str], size: CardSize, styles: Sequence[str]) -> tuple[Step, bytes]:
    """Return the roomiest step that fits, and the card set so."""
    for step in size.steps:
        try:
            return step, _in_turn(functools.partial(_write, draw(step), (*size.styles(step), *styles)))
        except CardOverflowError:
            continue
    raise CardOverflowError(f"The card does not fit one page of {size.label}, even in its smallest letters.")


def print_any(card: Printable, size: CardSize | SheetSize) -> bytes:
    """Return `card` as a PDF of a card size, or as many times as it fits on a sheet with cut marks.

    Raises as `print_card` does.
    """
    single = print_card(card, card_size_of(size))
    if isinstance(size, CardSize):
        return single
    from webapp.cards.rendering.sheets import lay_on_sheets

    return lay_on_sheets([single] * size.places, size, card.title, language())


def print_sheet(sides: Sequence[tuple[Printable, tuple[str, tuple[str, ...]]]], size: CardSize | SheetSize) -> bytes:
    """Return sides of several cards as one PDF of `size`, each once, in their order (raises as `print_card` does)."""
    from webapp.cards.rendering.sheets import lay_on_sheets

    printed = [print_card(card, card_size_of(size), side) for card, side in sides]
    if isinstance(size, CardSize):
        size = SheetSize(size.name, size.label, size.width_mm, size.height_mm, 1, 1, size.name)
    return lay_on_sheets(printed, size, sides[0][0].title, language())


def print_fragment(card: Printable, size: CardSize) -> bytes:
    """Return the front of `card`, taken apart to be laid on any sheet of this size (raises as `print_card`).

    Set in a card laid out before where it differs from that in short texts only: see `moulds.py`.
    """
    draw = _draw_page(card, size, FRONT[0])
    try:
        from webapp.cards.rendering.moulds import moulds
    except (ImportError, OSError) as error:
        raise PdfMissingError(f"The PDF libraries cannot be loaded: {error}") from error
    fragment = moulds.cast(size, draw)
    if fragment is None:
        step, single = _print_steps(draw, size, FRONT[1])
        fragment = moulds.learn(size, step, draw, single)
    return fragment.to_bytes()


def print_sides(front: Printable | None, back: Printable, size: CardSize | SheetSize) -> bytes:
    """Return the back of a card as a PDF of `size`, after its front where one is given: one side a page.

    Raises as `print_card` does.
    """
    card_size = card_size_of(size)
    sides = [] if front is None else [print_card(front, card_size)]
    sides.append(print_card(back, card_size, BACK))
    if isinstance(size, CardSize) and front is None:
        return sides[0]
    from webapp.cards.rendering.sheets import lay_on_sheets

    sheet = sheet_of(size)
    cards = [side for side in sides for _place in range(sheet.places)]
    return lay_on_sheets(cards, sheet, (front or back).title, language())


def warm_up(app: Flask) -> None:
    """Render a card that is thrown away, so that the first real one finds fonts, templates and libraries loaded.

    A missing library is not an error here: the first card that is asked for says what to do.
    """
    with app.app_context(), contextlib.suppress(CardError):
        for name in ("cards/card_pdf.html", "cards/card_body.html"):
            app.jinja_env.get_template(name)
        draw_qr("https://WARM-UP.INVALID/", 28)
        _in_turn(functools.partial(_write, render_template("cards/warm_up.html"), ("print.css",)))
    # What is loaded by now stays for good: the collector need not look through it during each card.
    gc.collect()
    gc.freeze()


def start_warm_up(app: Flask) -> threading.Thread:
    """Start `warm_up` beside the serving and return its thread."""
    thread = threading.Thread(target=warm_up, args=(app,), name="card-warm-up", daemon=True)
    thread.start()
    return thread


def _write(html: str, styles: Sequence[str]) -> bytes:
    try:
        from webapp.cards.rendering.pdf import write_card
    except (ImportError, OSError) as error:
        raise PdfMissingError(f"The PDF libraries cannot be loaded: {error}") from error
    with _collector_waiting():
        return write_card(html, styles)


@contextlib.contextmanager
def _collector_waiting() -> Iterator[None]:
    """Sweep up after a card instead of during it: thousands of boxes point at each other until it is done.

    Looked through while in use they would grow old, and only the pass over everything would find them: all other
    requests stand still for 20 to 30 ms at every tenth card, instead of for 1.5 ms after each.
    """
    if not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        gc.enable()
        gc.collect(0)


def _in_turn(work: Callable[[], bytes]) -> bytes:
    """Return what `work` gives, by the one worker; a place is held until it ends, even if nothing waits for it."""
    if not _places.acquire(blocking=False):
        raise CardBusyError("Too many cards are being made.")
    try:
        future = _worker().submit(work)
    except BaseException:
        _places.release()
        raise
    future.add_done_callback(lambda _done: _places.release())
    try:
        return future.result(timeout=PATIENCE_S)
    except TooLateError as error:
        future.cancel()
        raise CardBusyError(f"The card was not done in {PATIENCE_S:g} seconds.") from error
