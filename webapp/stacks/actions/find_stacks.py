"""Finds a shop's stacks and their sheets; another shop's are not there."""

from __future__ import annotations

from webapp.ground.action_errors import NotFoundError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.stacks import queries
from webapp.stacks.stack import Stack

_LARGEST_ID = 2**31


def list_stacks(shop_id: int) -> tuple[Stack, ...]:
    """Return the stacks that are kept of a shop, the newest first: `stack.MOST_STACKS` at most."""
    with database.read() as connection:
        return queries.stacks_of_shop(connection, shop_id)


def find_stack(shop_id: int, stack_id: int) -> Stack:
    """Return a stack of a shop (raises `NotFoundError` where the shop has none of this number)."""
    with database.read() as connection:
        stack = queries.stack_by_id(connection, stack_id) if stack_id < _LARGEST_ID else None
    if stack is None or stack.shop_id != shop_id:
        raise NotFoundError(_("This shop has no such stack of cards. Stacks are kept for seven days."))
    return stack


def find_sheets(shop_id: int, stack_id: int, first: int) -> bytes:
    """Return finished sheets of a stack as PDF (raises `NotFoundError` where there are none, or not yet)."""
    find_stack(shop_id, stack_id)
    with database.read() as connection:
        pdf = queries.part_pdf(connection, shop_id, stack_id, min(first, _LARGEST_ID - 1))
    if not pdf:
        raise NotFoundError(_("These sheets are not there, or not yet. Look at the stack's page."))
    return pdf
