"""Who is signed in, as views and other actions see it: immutable, without the password."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from webapp.accounts.queries import StaffRecord, TokenRecord
from webapp.ground.text.local_time import DEFAULT_ZONE

__all__ = ["ROLES", "Role", "StaffMember", "TokenRecord", "staff_member"]

Role = Literal["owner", "staff"]
ROLES: Final = ("owner", "staff")


@dataclass(frozen=True, slots=True, kw_only=True)
class StaffMember:
    """An account of a shop. `session_epoch` is what a session has to carry to count."""

    staff_id: int
    shop_id: int
    shop_name: str
    login: str
    role: Role
    session_epoch: int
    created_at: datetime
    disabled: bool = False
    initials: str = ""
    time_zone: str = DEFAULT_ZONE

    @property
    def is_owner(self) -> bool:
        """Whether this person may change the shop's staff."""
        return self.role == "owner"


def staff_member(row: StaffRecord) -> StaffMember:
    """Return the view of a stored account."""
    return StaffMember(
        staff_id=row.staff_id,
        shop_id=row.shop_id,
        shop_name=row.shop_name,
        login=row.login,
        role="owner" if row.role == "owner" else "staff",
        session_epoch=row.session_epoch,
        created_at=row.created_at,
        disabled=row.disabled_at is not None,
        initials=row.initials or "",
        time_zone=row.time_zone or DEFAULT_ZONE,
    )
