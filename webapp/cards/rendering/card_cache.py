"""Finished cards, kept in memory for a short time: a revision never changes, so its card does not either."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from dataclasses import dataclass
from typing import Final

#: Cards kept at most (about 20 kB each), and how long any of them is kept [s].
CAPACITY: Final = 200
KEPT_S: Final = 600.0


@dataclass(frozen=True, slots=True)
class CardKey:
    """What makes two cards the same: link, revision, size, address printed, language, rules and look."""

    code: str
    revision: int
    size: str
    address: str
    language: str
    rules_version: str
    template_version: str


class CardShelf:
    """A bounded store of finished cards, shared by the server's threads. It holds nothing about riders.

    Every use must first make sure that the setup is still there: the shelf itself does not know.
    """

    def __init__(self, capacity: int = CAPACITY, kept_s: float = KEPT_S) -> None:
        self._capacity, self._kept_s = capacity, kept_s
        self._cards: OrderedDict[CardKey, tuple[float, bytes]] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: CardKey) -> bytes | None:
        """Return the card under `key`, or None when it was not put here or is too old."""
        with self._lock:
            found = self._cards.get(key)
            if found is None or time.monotonic() - found[0] > self._kept_s:
                return None
            self._cards.move_to_end(key)
            return found[1]

    def put(self, key: CardKey, card: bytes) -> None:
        """Keep `card`, and let go of cards that are too old or too many."""
        now = time.monotonic()
        with self._lock:
            self._cards[key] = (now, card)
            self._cards.move_to_end(key)
            for old in [k for k, (since, _card) in self._cards.items() if now - since > self._kept_s]:
                del self._cards[old]
            while len(self._cards) > self._capacity:
                self._cards.popitem(last=False)

    def clear(self) -> None:
        """Drop every card: a setup was erased or its link renewed, and none of its cards may be served again."""
        with self._lock:
            self._cards.clear()

    def __len__(self) -> int:
        return len(self._cards)


shelf: Final = CardShelf()
