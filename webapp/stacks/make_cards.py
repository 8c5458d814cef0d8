"""What a worker does: makes the setups and cards of a stack, lays them on sheets, part by part.

Each step is saved before the next, so that a worker that dies costs a batch of cards and makes no setup twice.
"""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass
from datetime import UTC, datetime
from typing import Any, Final

from setup_rules import SetupRulesError, read_request
from webapp.accounts import queries as shop_queries
from webapp.accounts.staff import StaffMember, staff_member
from webapp.cards.printing import card_key, front_at
from webapp.cards.rendering.errors import CardOverflowError
from webapp.cards.rendering.qr import AddressTooLongError
from webapp.cards.rendering.renderer import print_fragment
from webapp.cards.rendering.sizes import card_size_of, find_size, sheet_of
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import language
from webapp.library.actions.class_factors import with_shop_checks
from webapp.library.actions.unit_learning import tie_to_units, with_unit_memories
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.delete_setup import erase_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import PrintedShop, find_printed_shop, find_printed_shops, register_setup
from webapp.setups.revision import CardTexts
from webapp.stacks import queries
from webapp.stacks.stack import HELD, PART, CardState, NewestRevision, Stack, StackCard, StackPart

#: Cards between two savings: what a worker that dies has to make again.
BATCH: Final = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A card of a stack as it came out: taken apart, or why there is none."""

    row: StackCard
    state: CardState
    code: str | None = None
    setup_id: int | None = None
    card: bytes = b""
    look: str = ""
    is_new: bool = False


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
        _make_rest(stack_id, holder, should_stop)
    finally:
        with database.write() as connection:
            queries.let_go(connection, stack_id, holder)


def _make_rest(stack_id: int, holder: str, should_stop: Callable[[], bool]) -> None:
    while (stack := _find(stack_id)) is not None:
        part = _next_part(stack)
        if part is None:
            _finish(stack, holder)
            return
        if not _make_part(stack, *part, holder, should_stop):
            return


def _finish(stack: Stack, holder: str) -> None:
    with database.write() as connection:
        if _go_on(connection, stack, holder):
            queries.set_state(connection, stack.stack_id, "waiting", "done")


def _hold(stack_id: int, holder: str) -> bool:
    now = datetime.now(UTC)
    with database.write() as connection:
        return queries.hold_stack(connection, stack_id, holder, now, now + HELD)


def _go_on(connection: Connection, stack: Stack, holder: str) -> bool:
    """Hold a stack on; return whether it is this worker's and the one that was begun: numbers are given again."""
    now = datetime.now(UTC)
    return queries.hold_stack(connection, stack.stack_id, holder, now, now + HELD, stack.secret)


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
    kept: list[bytes] = []
    with database.read() as connection:
        rows = queries.cards_between(connection, stack.stack_id, first, last)
    for batch in _batches(_print_all(stack, rows, holder)):
        if not _note(stack, batch, holder) or should_stop():
            return False
        kept += [one.card for one in batch if one.card]
    sheets = _lay_out(stack, kept)
    with database.write() as connection:
        if not _go_on(connection, stack, holder):
            return False
        part = StackPart(first=first, last=last, cards=len(kept), size_bytes=len(sheets))
        queries.insert_part(connection, stack.stack_id, part, sheets)
    return True


def _batches(printed: Iterable[Printed]) -> Iterator[list[Printed]]:
    """Yield cards to be saved together: as many as there are between two that are new by `BATCH`, and the rest."""
    batch: list[Printed] = []
    new = 0
    for one in printed:
        batch.append(one)
        new += one.state != "done" or one.is_new
        if new >= BATCH:
            yield batch
            batch, new = [], 0
    if batch:
        yield batch


def _lay_out(stack: Stack, kept: list[bytes]) -> bytes:
    if not kept:
        return b""
    from webapp.cards.rendering.fragments import Fragment
    from webapp.cards.rendering.sheets import lay_fragments

    title = _("Setup cards, stack %(number)d", number=stack.stack_id)
    cards = (Fragment.from_bytes(one) for one in kept)
    return lay_fragments(cards, sheet_of(find_size(stack.size)), title, language())


def _note(stack: Stack, printed: Sequence[Printed], holder: str) -> bool:
    """Save how a batch ended and keep its new cards, unless the stack was cancelled or taken over."""
    now = datetime.now(UTC)
    with database.write() as connection:
        if not _go_on(connection, stack, holder):
            return False
        ended = [(one.row.card_id, one.state, one.code) for one in printed if one.row.state != one.state]
        queries.note_cards(connection, ended)
        for one in printed:
            if one.is_new and one.setup_id is not None:
                queries.keep_card(connection, one.setup_id, one.look, one.card, now)
    return True


def _print_all(stack: Stack, rows: Sequence[StackCard], holder: str) -> Iterator[Printed]:
    """Print cards: what was finished before is looked up at once; hold the stack on where the rest takes long.

    A stack that was erased or cancelled ends before its next card: no rider is saved who was meant to be gone.
    """
    saved = _newest([row.setup_id for row in rows if row.setup_id is not None])
    shops = find_printed_shops([one.code for one in saved.values()])
    looks = {number: _look(stack, one, shops.get(one.code)) for number, one in saved.items()}
    with database.read() as connection:
        kept = queries.kept_cards(connection, list(looks.values()))
    said = time.monotonic()
    for row in rows:
        look = looks.get(row.setup_id or 0, "")
        if look in kept:
            yield Printed(row=row, state="done", code=saved[row.setup_id or 0].code, card=kept[look])
            continue
        if not _is_wanted(stack):
            return
        yield _print_new(stack, row)
        if time.monotonic() - said > HELD.total_seconds() / 4:
            said = time.monotonic()
            with database.write() as connection:
                _go_on(connection, stack, holder)


def _is_wanted(stack: Stack) -> bool:
    with database.read() as connection:
        return queries.is_waiting(connection, stack.stack_id, stack.secret)


def _newest(setup_ids: Sequence[int]) -> dict[int, NewestRevision]:
    with database.read() as connection:
        return queries.newest_revisions(connection, setup_ids, datetime.now(UTC))


def _look(stack: Stack, one: NewestRevision, shop: PrintedShop | None) -> str:
    """Return the hash of all that makes a card look as it does."""
    size = card_size_of(find_size(stack.size))
    key = card_key(one.code, one.number, one.created_at, f"{size.name} front", shop)
    return hashlib.sha256(json.dumps(astuple(key), default=str).encode()).hexdigest()


def _print_new(stack: Stack, row: StackCard) -> Printed:
    try:
        return _print_setup(stack, row, _saved_setup(stack, row))
    except (LinkGoneError, LinkUnknownError):
        return Printed(row=row, state="gone")
    except SetupRulesError:
        return Printed(row=row, state="no_answer")
    except (CardOverflowError, AddressTooLongError):
        return Printed(row=row, state="too_long")


def _saved_setup(stack: Stack, row: StackCard) -> int:
    """Return the setup of a card, saved now where it is to be made."""
    if row.setup_id is not None:
        return row.setup_id
    with database.read() as connection:
        maker = shop_queries.staff_by_id(connection, stack.made_by)
    if row.document is None or maker is None:
        raise LinkGoneError(_("This setup was deleted or has expired. Make a new setup. It takes a minute."))
    code = _make_setup(stack, row, row.document, staff_member(maker))
    with database.write() as connection:
        setup_id = queries.note_setup(connection, row.card_id, stack.secret, code)
        if setup_id is None:  # erased while this was made: so is what was made
            erase_setup(connection, code)
    if setup_id is None:
        database.empty_log()
        raise LinkGoneError(_("This setup was deleted or has expired. Make a new setup. It takes a minute."))
    return setup_id


def _make_setup(stack: Stack, row: StackCard, document: Mapping[str, Any], member: StaffMember) -> str:
    units = document.get("units", {})
    request = with_shop_checks(stack.shop_id, read_request(document["request"]))
    created = create_setup(
        with_unit_memories(stack.shop_id, request, units),
        CardTexts(row.label, document.get("service_note", "")),
        idempotency_key=f"{stack.secret} {row.number}",
    )
    register_setup(member, created.saved.code)
    tie_to_units(stack.shop_id, created.saved.code, units)
    return created.saved.code


def _print_setup(stack: Stack, row: StackCard, setup_id: int) -> Printed:
    saved = _newest([setup_id]).get(setup_id)
    if saved is None:
        raise LinkGoneError(_("This setup was deleted or has expired. Make a new setup. It takes a minute."))
    shop = find_printed_shop(saved.code)
    card = print_fragment(front_at(find_setup(saved.code, saved.number), shop), card_size_of(find_size(stack.size)))
    look = _look(stack, saved, shop)
    return Printed(row=row, state="done", code=saved.code, setup_id=setup_id, card=card, look=look, is_new=True)
