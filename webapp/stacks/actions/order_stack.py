"""Orders a stack: keeps what is to be printed, makes room among the shop's stacks, and tells a worker."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import UTC, datetime

from webapp.accounts.queries import hold_shop
from webapp.accounts.staff import StaffMember
from webapp.ground.action_errors import RefusedError
from webapp.ground.database.connection import Connection, RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.hashes import secret_hash
from webapp.ground.text.i18n import gettext as _
from webapp.stacks import queries
from webapp.stacks.stack import MOST_BYTES, MOST_CARDS, MOST_STACKS, MOST_WAITING, NewCard
from webapp.stacks.work_queue import work_queue


def order_stack(member: StaffMember, cards: Sequence[NewCard], size: str, page_key: str) -> int:
    """Keep a stack for a worker and return its number; the same page sent twice is one stack.

    Raises
    ------
    RefusedError
        When there is nothing or too much to print, or when too many stacks of the shop wait already.
    """
    if not 1 <= len(cards) <= MOST_CARDS:
        raise RefusedError(
            _("%(found)d cards. A stack holds 1 to %(most)d. Split the table.", found=len(cards), most=MOST_CARDS)
        )
    key = secret_hash(page_key)
    try:
        with database.write() as connection:
            hold_shop(connection, member.shop_id)
            known = queries.stack_by_key(connection, member.shop_id, key)
            if known is not None:
                return known
            _make_room(connection, member.shop_id)
            values = {
                "shop_id": member.shop_id,
                "made_by": member.staff_id,
                "size": size,
                "secret": secrets.token_hex(16),
                "creation_key": key,
                "created_at": datetime.now(UTC),
            }
            stack_id = queries.insert_stack(connection, values, cards)
    except RowTakenError:  # a twin of this page was faster
        with database.read() as connection:
            return queries.stack_by_key(connection, member.shop_id, key) or 0
    work_queue().wake(stack_id)
    return stack_id


def _make_room(connection: Connection, shop_id: int) -> None:
    """Erase the oldest finished stacks where a shop keeps too many or too large ones."""
    stacks = queries.stacks_of_shop(connection, shop_id)
    if sum(stack.state == "waiting" for stack in stacks) >= MOST_WAITING:
        raise RefusedError(
            _("%(n)d stacks of this shop are being made. Wait until one is done, or cancel one.", n=MOST_WAITING)
        )
    sizes = queries.bytes_of_stacks(connection, shop_id)
    finished = [stack.stack_id for stack in reversed(stacks) if stack.state != "waiting"]
    kept, total = len(stacks), sum(sizes.values())
    out = []
    for stack_id in finished:
        if kept < MOST_STACKS and total <= MOST_BYTES:
            break
        out.append(stack_id)
        kept, total = kept - 1, total - sizes.get(stack_id, 0)
    if out:
        queries.erase_stacks(connection, out)
