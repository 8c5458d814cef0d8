"""Which of a shop's bikes are asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

#: How many bikes one answer holds: unless asked otherwise, and at the most.
USUAL, MOST = 50, 100
#: The highest bike that can be named, as `webapp.ground.whole_numbers` reads them.
LAST: Final = 999_999_999


@dataclass(frozen=True, slots=True)
class BikeQuery:
    """So many bikes after the one of that row, or the one with a number or tag."""

    after: int = 0
    limit: int = USUAL
    number: str | None = None
    tag: str | None = None
