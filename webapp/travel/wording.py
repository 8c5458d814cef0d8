"""A change of travel in words: on the page, on the card and in the history."""

from __future__ import annotations

from setup_rules.physics.travel_change import Stack
from webapp.ground.text.i18n import gettext as _


def describe_change(before_mm: float, after_mm: float, stack: Stack) -> str:
    """Return a change of travel in one line, as the card and the history show it."""
    return _(
        "Fork travel changed from %(before)s to %(after)s mm, %(pieces)s",
        before=f"{before_mm:g}",
        after=f"{after_mm:g}",
        pieces=describe_stack(stack),
    )


def describe_stack(stack: Stack) -> str:
    """Return the pieces of a stack in words."""
    if not stack.pieces:
        return _("no travel spacer")
    pieces = [f"{count} × {size:g} mm" for size, count in stack.pieces]
    return _("travel spacers %(pieces)s", pieces=" + ".join(pieces))
