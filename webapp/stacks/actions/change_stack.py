"""Cancels a stack, or takes it off the list; what was saved as setups stays saved."""

from __future__ import annotations

from webapp.ground.action_errors import RefusedError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.stacks import queries
from webapp.stacks.actions.find_stacks import find_stack


def cancel_stack(shop_id: int, stack_id: int) -> bool:
    """Stop a stack that waits or is being made; return whether it was (raises as `find_stack`)."""
    find_stack(shop_id, stack_id)
    with database.write() as connection:
        stopped = queries.set_state(connection, stack_id, "waiting", "cancelled")
        if stopped:
            queries.clear_documents(connection, stack_id)
    return stopped


def remove_stack(shop_id: int, stack_id: int) -> None:
    """Erase a stack that is done or cancelled, with its sheets.

    Raises
    ------
    NotFoundError
        As `find_stack`.
    RefusedError
        While it is being made.
    """
    stack = find_stack(shop_id, stack_id)
    if stack.state == "waiting":
        raise RefusedError(_("This stack is being made. Cancel it first."))
    with database.write() as connection:
        queries.erase_stacks(connection, [stack_id])
