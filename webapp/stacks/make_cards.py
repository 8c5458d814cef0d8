"""What a worker does: makes the setups and cards of a stack, lays them on sheets, part by part.

Each step is saved before the next, so that a worker that dies costs a batch of cards and makes no setup twice.
"""

from __future__ import annotations

import hashlib
import json
import logging
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import astuple, dataclass
from datetime import UTC, datetime
from typing import Final

from setup_rules import SetupRulesError, read_request
from webapp.accounts import queries as shop_queries
from webapp.accounts.staff import StaffMember, staff_member
from webapp.cards.printing import card_key, front_of
from webapp.cards.rendering.errors import CardOverflowError
from webapp.cards.rendering.qr import AddressTooLongError
from webapp.cards.rendering.renderer import print_card
from webapp.cards.rendering.sizes import card_size_of, find_size, sheet_of
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import language
from webapp.library.actions.class_factors import with_shop_checks
from webapp.library.actions.unit_learning import tie_to_units, with_unit_memories
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_revision import find_revision
from webapp.setups.actions.shop_setups import register_setup
from webapp.setups.revision import CardTexts
from webapp.stacks import queries
from webapp.stacks.stack import HELD, PART, CardState, Stack, StackCard, StackPart

#: Cards between two savings: what a worker that dies has to make again.
BATCH: Final = 20
_logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A card of a stack as it came out: its PDF, or why there is none."""

    card: StackCard
    state: CardState
    code: str | None = None
    setup_id: int | None = None
    pdf: bytes = b""
    new_look: str = ""


def waiting_stacks() -> list[int]:
    """Return the stacks that are not finished and that nobody works on."""
    with database.read() as connection:
        return queries.waiting_stacks(connection, datetime.now(UTC))


def make_stack(stack_id: int, holder: str, should_stop: Callable[[], bool] = lambda: False) -> None:
    """Make what is left of a stack, unless another worker holds it; end early when it is to stop or was cancelled.

    Raises as `renderer.print_card` does where no card at all can be made; the stack is then tried again.
    """
    if not _hold(stack_id, holder):
        return
    try:
        while (stack := _find(stack_id)) is not None and (part := _next_part(stack)) is not None:
            if not _make_part(stack, *part, holder, should_stop):
                return
        with database.write() as connection:
            queries.set_state(connection, stack_id, "waiting", "done")
    finally:
        with database.write() as connection:
            queries.let_go(connection, stack_id, holder)


def _hold(stack_id: int, holder: str) -> bool:
    now = datetime.now(UTC)
    with database.write() as connection:
        return queries.hold_stack(connection, stack_id, holder, now, now + HELD)


def _find(stack_id: int) -> Stack | None:
    with database.read() as connection:
        return queries.stack_by_id(connection, stack_id)


def _next_part(stack: Stack) -> tuple[int, int] | None:
    """Return the first and the last number of the cards that come next, None where all sheets are there."""
    finished = {part.first for part in stack.parts}
    firsts = (first for first in range(1, stack.total + 1, PART) if first not in finished)
    first = next(firsts, None)
    return None if first is None else (first, min(first + PART - 1, stack.total))


def _make_part(stack: Stack, first: int, last: int, holder: str, should_stop: Callable[[], bool]) -> bool:
    """Make the sheets of some cards; return False where the stack is not this worker's any more."""
    pdfs: list[bytes] = []
    for batch in _batches(stack.stack_id, first, last):
        if should_stop():
            return False
        printed = list(_print_all(stack, batch, holder))
        if not _note(stack.stack_id, printed, holder):
            return False
        pdfs += [one.pdf for one in printed if one.pdf]
    sheets = _lay_out(stack, pdfs)
    with database.write() as connection:
        now = datetime.now(UTC)
        if not queries.hold_stack(connection, stack.stack_id, holder, now, now + HELD):
            return False
        part = StackPart(first=first, last=last, cards=len(pdfs), size_bytes=len(sheets))
        queries.insert_part(connection, stack.stack_id, part, sheets)
    return True


def _print_all(stack: Stack, batch: Sequence[StackCard], holder: str) -> Iterator[Printed]:
    """Print a batch, and go on holding the stack where that takes long."""
    said = time.monotonic()
    for card in batch:
        yield _print(stack, card)
        if time.monotonic() - said > HELD.total_seconds() / 4:
            said = time.monotonic()
            _hold(stack.stack_id, holder)


def _batches(stack_id: int, first: int, last: int) -> Iterator[Sequence[StackCard]]:
    for start in range(first, last + 1, BATCH):
        with database.read() as connection:
            cards = queries.cards_between(connection, stack_id, start, min(start + BATCH - 1, last))
        yield cards


def _lay_out(stack: Stack, pdfs: list[bytes]) -> bytes:
    if not pdfs:
        return b""
    from webapp.cards.rendering.sheets import lay_on_sheets

    title = _("Setup cards, stack %(number)d", number=stack.stack_id)
    return lay_on_sheets(pdfs, sheet_of(find_size(stack.size)), title, language())


def _note(stack_id: int, printed: Sequence[Printed], holder: str) -> bool:
    """Save how a batch ended and keep its new cards, unless the stack was cancelled or taken over."""
    now = datetime.now(UTC)
    with database.write() as connection:
        if not queries.hold_stack(connection, stack_id, holder, now, now + HELD):
            return False
        for one in printed:
            if one.card.state != one.state or one.new_look:
                queries.note_card(connection, one.card.card_id, one.state, one.code)
            if one.new_look and one.setup_id is not None:
                queries.keep_card(connection, one.setup_id, one.new_look, one.pdf, now)
    return True


def _print(stack: Stack, card: StackCard) -> Printed:
    try:
        code = _code_of(stack, card)
        return _print_setup(stack, card, code)
    except (LinkGoneError, LinkUnknownError):
        return Printed(card=card, state="gone")
    except SetupRulesError:
        return Printed(card=card, state="no_answer")
    except (CardOverflowError, AddressTooLongError):
        return Printed(card=card, state="too_long")


def _code_of(stack: Stack, card: StackCard) -> str:
    """Return the code of a card's setup, saved now where it is to be made."""
    with database.read() as connection:
        code = None if card.setup_id is None else queries.code_of_setup(connection, card.setup_id)
        row = shop_queries.staff_by_id(connection, stack.made_by)
    if code is not None:
        return code
    if card.document is None or row is None:
        raise LinkGoneError(_("This setup was deleted or has expired. Make a new setup. It takes a minute."))
    code = _make_setup(stack, card, staff_member(row))
    with database.write() as connection:
        queries.note_setup(connection, card.card_id, code)
    return code


def _make_setup(stack: Stack, card: StackCard, member: StaffMember) -> str:
    document = card.document or {}
    units = document.get("units", {})
    request = with_shop_checks(stack.shop_id, read_request(document["request"]))
    created = create_setup(
        with_unit_memories(stack.shop_id, request, units),
        CardTexts(card.label, document.get("service_note", "")),
        idempotency_key=f"{stack.secret} {card.number}",
    )
    register_setup(member, created.saved.code)
    tie_to_units(stack.shop_id, created.saved.code, units)
    return created.saved.code


def _print_setup(stack: Stack, card: StackCard, code: str) -> Printed:
    stored, revision, saved_at = find_revision(code)
    size = card_size_of(find_size(stack.size))
    key = card_key(stored, revision, saved_at, f"{size.name} front")
    look = hashlib.sha256(json.dumps(astuple(key), default=str).encode()).hexdigest()
    with database.read() as connection:
        pdf = queries.kept_card(connection, look)
        setup_id = None if pdf else queries.setup_id_of(connection, stored)
    if pdf is not None:
        return Printed(card=card, state="done", code=stored, pdf=pdf)
    pdf = print_card(front_of(stored, revision), size)
    return Printed(card=card, state="done", code=stored, setup_id=setup_id, pdf=pdf, new_look=look)
