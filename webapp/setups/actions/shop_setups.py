"""The setups that a shop's staff saved: registered under a short code, and found again by it, by bike or by day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from webapp.accounts.staff import StaffMember
from webapp.ground.database.connection import Connection, RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.link_codes import CodeError, normalise
from webapp.ground.short_codes import new_short_code, short_code_of
from webapp.ground.text.days import day_meant
from webapp.ground.text.free_text import search_text
from webapp.ground.text.local_time import DEFAULT_ZONE
from webapp.setups.queries import shop_setups as shop_setup_queries
from webapp.setups.queries.shop_setups import PrintedShop, ShopSetupRecord, WantedSetups

__all__ = [
    "PAGE",
    "PrintedShop",
    "ShopSetupPage",
    "find_printed_shop",
    "find_printed_shops",
    "find_shop_setups",
    "is_of_shop",
    "meant_code",
    "printed_short_code",
    "register_setup",
    "register_within",
    "short_code_for",
]

PAGE: Final = 20
_TRIES: Final = 5
_LAST_PAGE: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class ShopSetupPage:
    """One page of a shop's setups, the newest first."""

    setups: tuple[ShopSetupRecord, ...]
    total: int
    page: int

    @property
    def pages(self) -> int:
        """How many pages there are, at least one."""
        return max(1, -(-self.total // PAGE))


def is_of_shop(code: str, shop_id: int | None) -> bool:
    """Return whether a setup is this shop's; nothing is the shop's of who is of none."""
    if shop_id is None:
        return False
    with database.read() as connection:
        found = shop_setup_queries.owning_shop(connection, code)
    return found is not None and found[0] == shop_id


def register_setup(member: StaffMember, code: str, *, short_code: str = "") -> None:
    """Note that a setup is the shop's and give it a short code; one that is registered already stays as it is.

    `short_code` is the one to give it where that is free: a service record hands its own on.
    """
    with database.read() as connection:
        if shop_setup_queries.owning_shop(connection, code) is not None:
            return
    for attempt in range(_TRIES):
        try:
            with database.write() as connection:
                shop_setup_queries.insert_shop_setup(
                    connection,
                    code=code,
                    shop_id=member.shop_id,
                    staff_id=member.staff_id,
                    short_code=(short_code if attempt == 0 else "") or new_short_code(),
                    now=datetime.now(UTC),
                )
        except RowTakenError:
            # The short code is taken, or a twin of this request was faster.
            if attempt + 1 == _TRIES or short_code_for(member.shop_id, code):
                return
        else:
            return


def register_within(connection: Connection, member: StaffMember, code: str) -> None:
    """Note within an open transaction that a new setup is the shop's, under a short code that is free there."""
    drawn = (new_short_code() for _attempt in range(_TRIES))
    taken = shop_setup_queries.code_of_short
    short = next((one for one in drawn if taken(connection, member.shop_id, one) is None), new_short_code())
    shop_setup_queries.insert_shop_setup(
        connection,
        code=code,
        shop_id=member.shop_id,
        staff_id=member.staff_id,
        short_code=short,
        now=datetime.now(UTC),
    )


def short_code_for(shop_id: int, code: str) -> str:
    """Return the short code of a setup for staff of its shop, "" for everybody else's setups."""
    with database.read() as connection:
        owner = shop_setup_queries.owning_shop(connection, code)
    return owner[1] if owner is not None and owner[0] == shop_id else ""


def printed_short_code(code: str) -> str:
    """Return the short code that a setup's card shows: it opens nothing but for signed-in staff of its shop."""
    with database.read() as connection:
        owner = shop_setup_queries.owning_shop(connection, code)
    return "" if owner is None else owner[1]


def find_printed_shop(code: str) -> PrintedShop | None:
    """Return what a setup's card says of its shop, None where it is no shop's."""
    return find_printed_shops([code]).get(code)


def find_printed_shops(codes: Sequence[str]) -> dict[str, PrintedShop]:
    """Return what cards say of their shop, by code, for those setups that are a shop's."""
    with database.read() as connection:
        return shop_setup_queries.printed_shops(connection, codes)


def meant_code(shop_id: int, text: str) -> str:
    """Return the link's code for a short code of this shop; any other text as it is."""
    short = short_code_of(text)
    if not short:
        return text
    with database.read() as connection:
        return shop_setup_queries.code_of_short(connection, shop_id, short) or text


def find_shop_setups(shop_id: int, text: str = "", page: int = 1, *, zone: str = DEFAULT_ZONE) -> ShopSetupPage:
    """Return a page of the shop's setups that a text may mean; an empty text finds all. A day is one in a zone."""
    text = search_text(text)
    wanted = WantedSetups()
    if text:
        wanted = WantedSetups(
            words=tuple(text.lower().split()[:10]),
            short_code=short_code_of(text),
            code=_code(text),
            day=day_meant(text, zone),
        )
    number = min(max(page, 1), _LAST_PAGE)
    with database.read() as connection:
        total = shop_setup_queries.count_shop_setups(connection, shop_id, wanted)
        found = shop_setup_queries.shop_setups(connection, shop_id, wanted, (number - 1) * PAGE, PAGE)
    return ShopSetupPage(found, total, number)


def _code(text: str) -> str:
    try:
        return normalise(text)
    except CodeError:
        return ""
