"""Finished cards, kept in memory for a short time: a revision never changes, so its card does not either."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from cachetools import TTLCache
from flask import Flask

#: Cards kept at most (about 20 kB each), and how long any of them is kept [s].
CAPACITY: Final = 200
KEPT_S: Final = 600.0
_EXTENSION: Final = "finished_cards"


@dataclass(frozen=True, slots=True)
class CardKey:
    """What makes two cards the same: link, revision, when that was saved, size, address, language, rules and look."""

    code: str
    revision: int
    saved_at: datetime
    size: str
    address: str
    language: str
    rules_version: str
    template_version: str


class CardCache:
    """The latest used finished cards, shared by the server's threads. It holds nothing about riders.

    Every use must first make sure that the setup is still there: the cache itself does not know. The library's
    caches are not safe between threads, not even for reading, so each access takes the lock.
    """

    def __init__(
        self, capacity: int = CAPACITY, kept_s: float = KEPT_S, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._cards: TTLCache[CardKey, bytes] = TTLCache(capacity, kept_s, timer=clock)
        self._lock = threading.Lock()

    def get(self, key: CardKey) -> bytes | None:
        """Return the card under `key`, or None when it was not put here or is too old."""
        with self._lock:
            return self._cards.get(key)

    def put(self, key: CardKey, card: bytes) -> None:
        """Keep `card`, and let go of cards that are too old or too many."""
        with self._lock:
            self._cards[key] = card

    def clear(self) -> None:
        """Drop every card: a setup was erased or its link renewed, and none of its cards may be served again."""
        with self._lock:
            self._cards.clear()

    def __len__(self) -> int:
        with self._lock:
            return len(self._cards)


def card_cache_of(app: Flask) -> CardCache:
    """Return the finished cards of `app`: another app in this process has another folder, or another language."""
    cards: CardCache = app.extensions.setdefault(_EXTENSION, CardCache())
    return cards
