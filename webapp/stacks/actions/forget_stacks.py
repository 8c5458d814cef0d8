"""Keeps stacks within their time, and no printed card of a setup that is gone or has another link."""

from __future__ import annotations

from datetime import datetime

from webapp.ground.database.engine import database
from webapp.ground.events import riders_erased, setup_gone
from webapp.stacks import queries
from webapp.stacks.stack import KEPT, MOST_KEPT_CARDS
from webapp.stacks.work_queue import work_queue


def listen() -> None:
    """Take cards back whenever a setup is erased or gets another link, and a day's riders are."""
    setup_gone.connect(_take_back)
    riders_erased.connect(_erase_of_shop)


def _take_back(_code: str) -> None:
    take_back_cards()


def _erase_of_shop(shop_id: int) -> None:
    """Erase a shop's stacks with the riders that they were pasted from; a worker that holds one finds it gone."""
    with database.write() as connection:
        queries.erase_stacks(connection, [stack.stack_id for stack in queries.stacks_of_shop(connection, shop_id)])


def take_back_cards() -> None:
    """Take every printed card back whose setup was deleted or has another link; its sheets are made again without."""
    with database.write() as connection:
        stacks = queries.take_back_cards(connection)
    for stack_id in stacks:
        work_queue().wake(stack_id)


def purge_stacks(moment: datetime) -> None:
    """Erase stacks and kept cards whose time is over at `moment`, and kept cards that are too many."""
    take_back_cards()
    before = moment - KEPT
    with database.write() as connection:
        queries.erase_stacks(connection, queries.stacks_before(connection, before))
        queries.erase_old_cards(connection, before, MOST_KEPT_CARDS)
