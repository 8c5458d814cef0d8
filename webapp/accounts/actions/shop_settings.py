"""What a shop says of itself: its phone, its time zone, how much its customers ride; and the initials of its staff."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from webapp.accounts import queries as shop_queries
from webapp.accounts.shop import RIDING_HOURS, ShopSettings
from webapp.accounts.staff import StaffMember
from webapp.ground.action_errors import ActionError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.local_time import DEFAULT_ZONE


class SettingsConflictError(ActionError, RuntimeError):
    """Someone else changed the settings since the page was opened: nothing was saved (409)."""


def shop_settings(connection: Connection, shop_id: int) -> ShopSettings:
    """Return the settings of a shop, with the defaults for what it does not say."""
    row = shop_queries.shop_record(connection, shop_id)
    return ShopSettings(
        phone=row.phone or "",
        time_zone=row.time_zone or DEFAULT_ZONE,
        riding_hours=row.riding_hours or RIDING_HOURS,
    )


def find_settings(shop_id: int) -> ShopSettings:
    """Return the settings of a shop."""
    with database.read() as connection:
        return shop_settings(connection, shop_id)


def save_settings(owner: StaffMember, settings: ShopSettings, seen: Mapping[str, Any] | None) -> None:
    """Replace the settings of the owner's shop.

    Raises
    ------
    SettingsConflictError
        When someone else changed them since they were `seen`.
    """
    with database.write() as connection:
        shop_queries.hold_shop(connection, owner.shop_id)
        now = shop_settings(connection, owner.shop_id)
        if now == settings:
            return
        if seen is not None and now.plain() != dict(seen):
            raise SettingsConflictError(
                _("Someone changed these settings after you opened them. Nothing was overwritten: compare, save again.")
            )
        shop_queries.update_shop(connection, owner.shop_id, settings.plain())


def save_initials(member: StaffMember, initials: str) -> None:
    """Replace the member's own initials, as cards and records show them; "" shows none on cards."""
    with database.write() as connection:
        shop_queries.set_initials(connection, member.shop_id, member.staff_id, initials or None)
