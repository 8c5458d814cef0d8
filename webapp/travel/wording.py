"""A change of travel in words: on the page, on the card and in the history."""

from __future__ import annotations

from setup_rules.messages.message import Message, Value
from setup_rules.messages.rounding import as_typed, halves
from setup_rules.physics.travel_change import Stack
from webapp.ground.text.sentences import list_messages


def describe_change(before_mm: float, after_mm: float, stack: Stack) -> Message:
    """Return a change of travel in one line, as the card and the history show it."""
    return _with_pieces("revision.travel", stack, before=as_typed(before_mm), after=as_typed(after_mm))


def describe_stack(stack: Stack) -> Message:
    """Return the pieces of a stack in words."""
    return _with_pieces("stack", stack)


def describe_stack_and_travel(stack: Stack) -> Message:
    """Return a stack in words after the travel that it leaves."""
    return _with_pieces("stack_at", stack, travel=halves(stack.travel_mm))


def _with_pieces(key: str, stack: Stack, **values: Value) -> Message:
    if not stack.pieces:
        return Message.of(f"{key}.bare", **values)
    pieces = [Message.of("stack.piece", number=count, size=as_typed(size)) for size, count in stack.pieces]
    return Message.of(key, **values, count=stack.count, pieces=list_messages("list.pieces", pieces))
