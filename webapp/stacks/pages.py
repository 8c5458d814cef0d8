"""A stack and the list of stacks as strings."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.cards.rendering.sizes import find_size
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.stacks.stack import CardState, Stack, StackPart

#: Failed cards that are named on the page.
_NAMED = 100


@dataclass(frozen=True, slots=True)
class StackPage:
    """A stack's page; `percent` is whole, for the bar."""

    number: int
    size: str
    state: str
    is_waiting: bool
    progress: str
    total: int
    finished: int
    created: str
    files: tuple[tuple[int, str], ...]
    failed: tuple[str, ...]


def present_stack(stack: Stack) -> StackPage:
    """Return the strings of a stack's page."""
    return StackPage(
        number=stack.stack_id,
        size=str(find_size(stack.size).label),
        state=_state(stack),
        is_waiting=stack.state == "waiting",
        progress=_("%(done)d of %(all)d cards", done=stack.finished, all=stack.total),
        total=stack.total,
        finished=stack.finished,
        created=numbers.day(stack.created_at),
        files=tuple((part.first, _file(stack, part)) for part in stack.parts if part.cards),
        failed=tuple(_failed(*one) for one in stack.failed[:_NAMED]),
    )


def _state(stack: Stack) -> str:
    if stack.state == "done":
        return _("Ready to print")
    if stack.state == "cancelled":
        return _("Cancelled")
    return _("Being made") if stack.finished else _("Waiting for its turn")


def _file(stack: Stack, part: StackPart) -> str:
    if part.first == 1 and part.last == stack.total:
        return _("Open the sheets (PDF, %(mb)s MB)", mb=numbers.number(part.size_bytes / 1e6, 1))
    return _(
        "Cards %(first)d to %(last)d (PDF, %(mb)s MB)",
        first=part.first,
        last=part.last,
        mb=numbers.number(part.size_bytes / 1e6, 1),
    )


def _failed(number: int, label: str, state: CardState) -> str:
    why = {
        "gone": _("the setup was deleted or has expired"),
        "no_answer": _("no pressure gives the target sag with these values; try it as a single setup"),
        "too_long": _("its texts do not fit this size"),
    }[state]
    if label:
        return _("Card %(number)d, %(label)s: %(why)s.", number=number, label=label, why=why)
    return _("Card %(number)d: %(why)s.", number=number, why=why)
