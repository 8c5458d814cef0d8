"""Requests counted in this process, for as many clients as fit: addresses cost an attacker nothing, memory costs us.

The library's own store in memory keeps every client until its window ends, and looks through all of them from a thread
at every count: with 100,000 of them it does little else.
"""

from __future__ import annotations

import heapq
import threading
import time
from typing import Final

from limits.storage import Storage

#: Counts that are kept at once: about 30 MB. Each client has one or two for each kind of request.
MOST: Final = 100_000
#: The part of them that goes when there is no room: those whose windows end first.
_PART_DROPPED: Final = 0.1


class BoundedCounts(Storage):
    """Counts by key, each until its window ends."""

    STORAGE_SCHEME = ["bounded-memory"]  # noqa: RUF012 - the library declares it so

    def __init__(
        self, uri: str | None = None, wrap_exceptions: bool = False, *, most: int = MOST, **options: float | str | bool
    ) -> None:
        super().__init__(uri, wrap_exceptions=wrap_exceptions, **options)
        self._most = most
        self._counts: dict[str, tuple[int, float]] = {}
        self._lock = threading.Lock()

    @property
    def base_exceptions(self) -> type[Exception]:
        """What the storage raises when it fails: nothing."""
        return ValueError

    def incr(self, key: str, expiry: float, amount: int = 1) -> int:
        """Count `amount` more and return the count; the first opens a window of `expiry` seconds."""
        now = time.time()
        with self._lock:
            count, ends = self._counts.get(key, (0, 0.0))
            if ends <= now:
                self._make_room(now)
                count, ends = 0, now + expiry
            self._counts[key] = (count + amount, ends)
            return count + amount

    def _make_room(self, now: float) -> None:
        if len(self._counts) < self._most:
            return
        self._counts = {key: held for key, held in self._counts.items() if held[1] > now}
        if len(self._counts) >= self._most:
            dropped = max(1, int(_PART_DROPPED * self._most))
            for key in heapq.nsmallest(dropped, self._counts, key=lambda one: self._counts[one][1]):
                del self._counts[key]

    def get(self, key: str) -> int:
        """Return the count, 0 where there is none or its window has ended."""
        count, ends = self._counts.get(key, (0, 0.0))
        return count if ends > time.time() else 0

    def get_expiry(self, key: str) -> float:
        """Return when the window ends, as seconds since 1970; now where there is none."""
        return self._counts.get(key, (0, time.time()))[1]

    def check(self) -> bool:
        """Return that the storage works."""
        return True

    def reset(self) -> int | None:
        """Forget all counts and return how many there were."""
        with self._lock:
            count = len(self._counts)
            self._counts.clear()
            return count

    def clear(self, key: str) -> None:
        """Forget one count."""
        with self._lock:
            self._counts.pop(key, None)
