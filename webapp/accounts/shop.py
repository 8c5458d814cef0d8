"""What a shop says of itself, with its bounds: phone, time zone, and how much its customers ride."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Final

from webapp.ground.text.local_time import DEFAULT_ZONE

#: Longest texts that still fit their place on a card.
PHONE_LENGTH: Final = 24
INITIALS_LENGTH: Final = 4
#: Riding hours a month where the shop says nothing: our estimate, common practice has no source for it.
RIDING_HOURS: Final = 10
RIDING_HOURS_RANGE: Final = (1, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopSettings:
    """What a shop says of itself; `riding_hours` are those of its customers a month."""

    phone: str = ""
    time_zone: str = DEFAULT_ZONE
    riding_hours: int = RIDING_HOURS

    def plain(self) -> dict[str, Any]:
        """Return everything as plain data."""
        return asdict(self)
