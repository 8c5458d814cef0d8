"""What a stack of cards is: how many cards it may hold, how far it is, and what is kept of it for how long."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final, Literal

#: Cards of one stack at most.
MOST_CARDS: Final = 2_000
#: Cards of one file of sheets: a printer takes as many at once, and no more are held in memory.
PART: Final = 200
#: Stacks of a shop that are not finished, and those that are kept at all; the oldest finished make room.
MOST_WAITING: Final = 3
MOST_STACKS: Final = 20
#: What the finished sheets of a shop take at most [bytes], and how long a stack is kept.
MOST_BYTES: Final = 200_000_000
KEPT: Final = timedelta(days=7)
#: Finished single cards at most, of all shops (about 20 kB each).
MOST_KEPT_CARDS: Final = 5_000
#: How long a worker may go without a word until another takes its stack over.
HELD: Final = timedelta(seconds=20)

State = Literal["waiting", "done", "cancelled"]
CardState = Literal["waiting", "done", "gone", "no_answer", "too_long"]
#: Why a card is not on the sheets.
FAILED: Final = ("gone", "no_answer", "too_long")


@dataclass(frozen=True, slots=True, kw_only=True)
class NewCard:
    """One card that is asked for: of a setup that is saved already, or of one to be made from `document`."""

    label: str
    document: dict[str, Any] | None = None
    code: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StackCard:
    """One card of a stack, as a worker takes it up."""

    card_id: int
    number: int
    state: CardState
    label: str
    document: dict[str, Any] | None
    setup_id: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewestRevision:
    """Which revision of a setup a card shows, under which link."""

    setup_id: int
    code: str
    number: int
    created_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class StackPart:
    """A finished file of sheets: its cards by their numbers, how many there are, and its size."""

    first: int
    last: int
    cards: int
    size_bytes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """A stack of cards and how far it is."""

    stack_id: int
    shop_id: int
    made_by: int
    size: str
    state: State
    total: int
    done: int
    secret: str
    created_at: datetime
    failed: tuple[tuple[int, str, CardState], ...] = ()
    parts: tuple[StackPart, ...] = ()

    @property
    def finished(self) -> int:
        """How many cards nothing more is done about."""
        return self.done + len(self.failed)
