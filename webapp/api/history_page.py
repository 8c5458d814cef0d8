"""Which part of a setup's history is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

#: How many revisions one answer holds: unless asked otherwise, and at the most.
USUAL, MOST = 100, 200
#: The highest revision that can be named, as `webapp.ground.whole_numbers` reads them.
LAST: Final = 999_999_999


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """So many revisions after the one of that number."""

    after: int = 0
    limit: int = USUAL
