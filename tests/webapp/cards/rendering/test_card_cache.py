"""The store of finished cards: bounded, short-lived, exact about what makes two cards the same."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from webapp.cards.rendering.card_cache import CardCache, CardKey

KEY = CardKey(
    "01110123456789ABCDEFGHJKMN", 1, datetime(2026, 5, 4, tzinfo=UTC), "a6", "https://CARDS.EXAMPLE/S/X", "en", "1", "1"
)


def test_a_card_comes_back_as_it_was_put() -> None:
    card_cache = CardCache()
    card_cache.put(KEY, b"card")
    assert card_cache.get(KEY) == b"card"


@pytest.mark.parametrize(
    "other",
    [
        replace(KEY, code="11110123456789ABCDEFGHJKMN"),
        replace(KEY, revision=2),
        replace(KEY, saved_at=datetime(2026, 5, 5, tzinfo=UTC)),
        replace(KEY, size="a4"),
        replace(KEY, address="https://OTHER.EXAMPLE/S/X"),
        replace(KEY, rules_version="2"),
        replace(KEY, template_version="2"),
    ],
)
def test_a_card_differing_in_anything_is_another_card(other: CardKey) -> None:
    card_cache = CardCache()
    card_cache.put(KEY, b"card")
    assert card_cache.get(other) is None


def test_the_card_unused_for_longest_makes_room() -> None:
    card_cache = CardCache(capacity=2)
    first, second, third = (replace(KEY, revision=n) for n in (1, 2, 3))
    card_cache.put(first, b"1")
    card_cache.put(second, b"2")
    card_cache.get(first)
    card_cache.put(third, b"3")
    assert (card_cache.get(first), card_cache.get(second), card_cache.get(third)) == (b"1", None, b"3")
    assert len(card_cache) == 2


def test_an_old_card_is_not_given_out_and_is_dropped_with_the_next() -> None:
    now = [100.0]
    card_cache = CardCache(kept_s=60, clock=lambda: now[0])
    card_cache.put(KEY, b"card")
    now[0] += 61
    assert card_cache.get(KEY) is None
    card_cache.put(replace(KEY, revision=2), b"new")
    assert len(card_cache) == 1


def test_clearing_leaves_no_card_behind() -> None:
    card_cache = CardCache()
    card_cache.put(KEY, b"card")
    card_cache.clear()
    assert card_cache.get(KEY) is None
    assert len(card_cache) == 0


def test_threads_that_put_read_and_outlive_cards_at_once_never_fail() -> None:
    card_cache = CardCache(capacity=5, kept_s=0.0005)
    failed: list[BaseException] = []

    def work(start: int) -> None:
        try:
            for n in range(2_000):
                key = replace(KEY, revision=(start + n) % 9)
                card_cache.put(key, b"card")
                assert card_cache.get(key) in (b"card", None)
                assert len(card_cache) <= 5
        except BaseException as error:  # noqa: BLE001 whatever it is, the test tells it
            failed.append(error)

    threads = [threading.Thread(target=work, args=(n,)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
