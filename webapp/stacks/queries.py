"""Statements about stacks, their cards, finished parts and kept single cards; each takes its caller's connection."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Connection, Row, and_, bindparam, delete, func, insert, or_, select, update
from sqlalchemy.sql import ColumnElement, Select

from webapp.ground.database.setup_rows import RevisionRow, SetupRow
from webapp.ground.database.stack_rows import CardStackRow, KeptCardRow, StackCardRow, StackPartRow
from webapp.stacks.stack import FAILED, NewCard, NewestRevision, Stack, StackCard, StackPart

#: What is asked for each card, put together once.
_LATEST: Final = (
    select(func.max(RevisionRow.number))
    .where(RevisionRow.setup_id == SetupRow.id)
    .correlate(SetupRow)
    .scalar_subquery()
)
_NEWEST: Final = (
    select(SetupRow.id.label("setup_id"), SetupRow.code, RevisionRow.number, RevisionRow.created_at)
    .join(RevisionRow, and_(RevisionRow.setup_id == SetupRow.id, RevisionRow.number == _LATEST))
    .where(SetupRow.id.in_(bindparam("setup_ids", expanding=True)), SetupRow.deleted_at.is_(None))
    .where(SetupRow.expires_at > bindparam("now"))
)
_WAITING: Final = select(CardStackRow.id).where(
    CardStackRow.id == bindparam("stack_id"),
    CardStackRow.secret == bindparam("secret"),
    CardStackRow.state == "waiting",
)


def insert_stack(connection: Connection, values: dict[str, Any], cards: Sequence[NewCard]) -> int:
    """Store a stack with all its cards and return its number; a creation key that is taken breaks a constraint."""
    key = connection.execute(insert(CardStackRow), {**values, "state": "waiting", "total": len(cards)})
    stack_id = int((key.inserted_primary_key or (0,))[0])
    codes = {card.code for card in cards if card.code}
    numbers = _setup_ids(connection, codes)
    rows = [
        {
            "stack_id": stack_id,
            "number": number,
            "state": "waiting",
            "label": card.label,
            "document": card.document,
            "setup_id": numbers.get(card.code or ""),
            "code": card.code,
        }
        for number, card in enumerate(cards, 1)
    ]
    connection.execute(insert(StackCardRow), rows)
    return stack_id


def _setup_ids(connection: Connection, codes: Iterable[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    wanted = sorted(codes)
    for first in range(0, len(wanted), 500):
        statement = select(SetupRow.code, SetupRow.id).where(SetupRow.code.in_(wanted[first : first + 500]))
        found.update((row.code, row.id) for row in connection.execute(statement))
    return found


def _stacks() -> Select[Any]:
    done = (
        select(func.count())
        .where(StackCardRow.stack_id == CardStackRow.id, StackCardRow.state == "done")
        .correlate(CardStackRow)
        .scalar_subquery()
        .label("done")
    )
    columns = CardStackRow.shop_id, CardStackRow.made_by, CardStackRow.size, CardStackRow.state, CardStackRow.total
    return select(CardStackRow.id.label("stack_id"), *columns, CardStackRow.secret, CardStackRow.created_at, done)


def stack_by_id(connection: Connection, stack_id: int) -> Stack | None:
    """Return a stack with what failed and what is finished of it, or None."""
    row = connection.execute(_stacks().where(CardStackRow.id == stack_id)).first()
    if row is None:
        return None
    failed = select(StackCardRow.number, StackCardRow.label, StackCardRow.state).where(
        StackCardRow.stack_id == stack_id, StackCardRow.state.in_(FAILED)
    )
    parts = select(StackPartRow.first, StackPartRow.last, StackPartRow.cards, StackPartRow.size_bytes).where(
        StackPartRow.stack_id == stack_id
    )
    return replace(
        _stack(row),
        failed=tuple((r.number, r.label, r.state) for r in connection.execute(failed.order_by(StackCardRow.number))),
        parts=tuple(StackPart(**r._mapping) for r in connection.execute(parts.order_by(StackPartRow.first))),
    )


def _stack(row: Row[Any]) -> Stack:
    return Stack(**row._mapping)


def stack_by_key(connection: Connection, shop_id: int, creation_key: str) -> int | None:
    """Return the number of the stack that a shop ordered under a key, or None."""
    mine = CardStackRow.shop_id == shop_id, CardStackRow.creation_key == creation_key
    return connection.execute(select(CardStackRow.id).where(*mine)).scalar()


def stacks_of_shop(connection: Connection, shop_id: int) -> tuple[Stack, ...]:
    """Return the stacks of a shop, the newest first, without their parts."""
    statement = _stacks().where(CardStackRow.shop_id == shop_id).order_by(CardStackRow.id.desc())
    return tuple(_stack(row) for row in connection.execute(statement))


def bytes_of_stacks(connection: Connection, shop_id: int) -> dict[int, int]:
    """Return what the finished sheets of each stack of a shop take [bytes]."""
    statement = (
        select(StackPartRow.stack_id, func.sum(StackPartRow.size_bytes))
        .join(CardStackRow, CardStackRow.id == StackPartRow.stack_id)
        .where(CardStackRow.shop_id == shop_id)
        .group_by(StackPartRow.stack_id)
    )
    return {row[0]: int(row[1]) for row in connection.execute(statement)}


def erase_stacks(connection: Connection, stack_ids: Sequence[int]) -> None:
    """Erase stacks with their cards and sheets; the setups stay."""
    for row in (StackPartRow, StackCardRow):
        connection.execute(delete(row).where(row.stack_id.in_(stack_ids)))
    connection.execute(delete(CardStackRow).where(CardStackRow.id.in_(stack_ids)))


def stacks_before(connection: Connection, moment: datetime) -> list[int]:
    """Return the stacks that were ordered before a moment."""
    return list(connection.execute(select(CardStackRow.id).where(CardStackRow.created_at < moment)).scalars())


def waiting_stacks(connection: Connection, now: datetime) -> list[int]:
    """Return the stacks that nobody works on and that are not finished, the oldest first."""
    statement = select(CardStackRow.id).where(CardStackRow.state == "waiting", _free(now))
    return list(connection.execute(statement.order_by(CardStackRow.id)).scalars())


def hold_stack(
    connection: Connection, stack_id: int, holder: str, now: datetime, until: datetime, secret: str | None = None
) -> bool:
    """Take a waiting stack, or go on holding it; return whether it is this worker's now.

    Numbers of erased stacks are given again: with its `secret` no later stack of the same number is taken for it.
    """
    mine = or_(CardStackRow.held_by == holder, _free(now))
    statement = update(CardStackRow).where(CardStackRow.id == stack_id, CardStackRow.state == "waiting", mine)
    if secret is not None:
        statement = statement.where(CardStackRow.secret == secret)
    return connection.execute(statement.values(held_by=holder, held_until=until)).rowcount == 1


def is_waiting(connection: Connection, stack_id: int, secret: str) -> bool:
    """Return whether the stack of a number with this secret is still to be made: neither cancelled nor erased."""
    return connection.execute(_WAITING, {"stack_id": stack_id, "secret": secret}).first() is not None


def let_go(connection: Connection, stack_id: int, holder: str) -> None:
    """Let another worker take a stack at once."""
    statement = update(CardStackRow).where(CardStackRow.id == stack_id, CardStackRow.held_by == holder)
    connection.execute(statement.values(held_by=None, held_until=None))


def set_state(connection: Connection, stack_id: int, before: str, state: str) -> bool:
    """Move a stack from one state to another; return whether it was in the first."""
    statement = update(CardStackRow).where(CardStackRow.id == stack_id, CardStackRow.state == before)
    return connection.execute(statement.values(state=state, held_by=None, held_until=None)).rowcount == 1


def _free(now: datetime) -> ColumnElement[bool]:
    return or_(CardStackRow.held_until.is_(None), CardStackRow.held_until < now)


def cards_between(connection: Connection, stack_id: int, first: int, last: int) -> tuple[StackCard, ...]:
    """Return the cards of a stack with numbers from `first` to `last`, in order."""
    columns = StackCardRow.number, StackCardRow.state, StackCardRow.label, StackCardRow.document, StackCardRow.setup_id
    statement = select(StackCardRow.id.label("card_id"), *columns).where(
        StackCardRow.stack_id == stack_id, StackCardRow.number.between(first, last)
    )
    return tuple(StackCard(**row._mapping) for row in connection.execute(statement.order_by(StackCardRow.number)))


def note_setup(connection: Connection, card_id: int, secret: str, code: str) -> int | None:
    """Note which setup a card's row became and return its number; the rider's weight goes from the row.

    None where the stack with that `secret` was erased in the meantime.
    """
    setup_id = int(connection.execute(select(SetupRow.id).where(SetupRow.code == code)).scalar_one())
    values = {"setup_id": setup_id, "code": code, "document": None}
    same = select(CardStackRow.id).where(CardStackRow.secret == secret)
    mine = StackCardRow.id == card_id, StackCardRow.stack_id.in_(same)
    noted = connection.execute(update(StackCardRow).where(*mine).values(**values)).rowcount
    return setup_id if noted else None


def note_cards(connection: Connection, ended: Sequence[tuple[int, str, str | None]]) -> None:
    """Note how cards ended, each by its row, its state and the link under which it was printed."""
    statement = update(StackCardRow).where(StackCardRow.id == bindparam("card_id"))
    values: dict[str, Any] = {"state": bindparam("ended"), "code": bindparam("printed"), "document": None}
    rows = [{"card_id": card_id, "ended": state, "printed": code} for card_id, state, code in ended]
    if rows:
        connection.execute(statement.values(**values), rows)


def clear_documents(connection: Connection, stack_id: int) -> None:
    """Drop what the cards of a stack that were not made would have been made from."""
    connection.execute(update(StackCardRow).where(StackCardRow.stack_id == stack_id).values(document=None))


def insert_part(connection: Connection, stack_id: int, part: StackPart, pdf: bytes) -> None:
    """Keep finished sheets."""
    values = {"first": part.first, "last": part.last, "cards": part.cards, "size_bytes": len(pdf), "pdf": pdf}
    connection.execute(insert(StackPartRow), {"stack_id": stack_id, **values})


def part_pdf(connection: Connection, shop_id: int, stack_id: int, first: int) -> bytes | None:
    """Return the sheets of a shop's stack that begin with the card `first`, or None."""
    statement = select(StackPartRow.pdf).join(CardStackRow, CardStackRow.id == StackPartRow.stack_id)
    mine = CardStackRow.shop_id == shop_id, CardStackRow.id == stack_id, StackPartRow.first == first
    return connection.execute(statement.where(*mine)).scalar()


def newest_revisions(connection: Connection, setup_ids: Sequence[int], now: datetime) -> dict[int, NewestRevision]:
    """Return code and newest revision of each setup that is there: neither deleted nor expired."""
    asked = {"setup_ids": list(setup_ids), "now": now}
    return {row.setup_id: NewestRevision(**row._mapping) for row in connection.execute(_NEWEST, asked)}


def kept_cards(connection: Connection, looks: Sequence[str]) -> dict[str, bytes]:
    """Return the finished cards among those that are looked for."""
    statement = select(KeptCardRow.look, KeptCardRow.card).where(KeptCardRow.look.in_(looks))
    return {row.look: row.card for row in connection.execute(statement)}


def keep_card(connection: Connection, setup_id: int, look: str, card: bytes, now: datetime) -> None:
    """Keep a finished card, unless it is there."""
    if connection.execute(select(KeptCardRow.id).where(KeptCardRow.look == look)).first() is None:
        connection.execute(insert(KeptCardRow), {"setup_id": setup_id, "look": look, "card": card, "kept_at": now})


def erase_old_cards(connection: Connection, before: datetime, most: int) -> None:
    """Erase kept cards from before a moment, and the oldest beyond `most`."""
    newest = select(KeptCardRow.id).order_by(KeptCardRow.id.desc()).offset(most).limit(1).scalar_subquery()
    connection.execute(delete(KeptCardRow).where(or_(KeptCardRow.kept_at < before, KeptCardRow.id <= newest)))


def take_back_cards(connection: Connection) -> list[int]:
    """Put back every printed card whose setup was deleted or has another link, with its sheets; return the stacks."""
    gone = or_(SetupRow.deleted_at.is_not(None), SetupRow.code != StackCardRow.code)
    statement = (
        select(StackCardRow.id, StackCardRow.stack_id, StackCardRow.number, StackCardRow.setup_id)
        .join(SetupRow, SetupRow.id == StackCardRow.setup_id)
        .where(StackCardRow.state == "done", gone)
    )
    rows = connection.execute(statement).all()
    for row in rows:
        held = StackPartRow.first <= row.number, StackPartRow.last >= row.number
        connection.execute(delete(StackPartRow).where(StackPartRow.stack_id == row.stack_id, *held))
        connection.execute(delete(KeptCardRow).where(KeptCardRow.setup_id == row.setup_id))
        connection.execute(update(StackCardRow).where(StackCardRow.id == row.id).values(state="waiting"))
    stacks = sorted({row.stack_id for row in rows})
    again = and_(CardStackRow.id.in_(stacks), CardStackRow.state == "done")
    connection.execute(update(CardStackRow).where(again).values(state="waiting", held_by=None, held_until=None))
    return stacks
