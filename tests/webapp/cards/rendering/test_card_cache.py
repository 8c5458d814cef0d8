"""The store of finished cards: bounded, short-lived, exact about what makes two cards the same."""

from __future__ import annotations

from dataclasses import replace

import pytest

from webapp.cards.rendering import card_cache as shelf_module
from webapp.cards.rendering.card_cache import CardKey, CardShelf

KEY = CardKey("01110123456789ABCDEFGHJKMN", 1, "a6", "https://CARDS.EXAMPLE/S/X", "en", "1", "1")


def test_a_card_comes_back_as_it_was_put() -> None:
    shelf = CardShelf()
    shelf.put(KEY, b"card")
    assert shelf.get(KEY) == b"card"


@pytest.mark.parametrize(
    "other",
    [
        replace(KEY, code="11110123456789ABCDEFGHJKMN"),
        replace(KEY, revision=2),
        replace(KEY, size="a4"),
        replace(KEY, address="https://OTHER.EXAMPLE/S/X"),
        replace(KEY, rules_version="2"),
        replace(KEY, template_version="2"),
    ],
)
def test_a_card_differing_in_anything_is_another_card(other: CardKey) -> None:
    shelf = CardShelf()
    shelf.put(KEY, b"card")
    assert shelf.get(other) is None


def test_the_card_unused_for_longest_makes_room() -> None:
    shelf = CardShelf(capacity=2)
    first, second, third = (replace(KEY, revision=n) for n in (1, 2, 3))
    shelf.put(first, b"1")
    shelf.put(second, b"2")
    shelf.get(first)
    shelf.put(third, b"3")
    assert (shelf.get(first), shelf.get(second), shelf.get(third)) == (b"1", None, b"3")
    assert len(shelf) == 2


def test_an_old_card_is_not_given_out_and_is_dropped_with_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [100.0]
    monkeypatch.setattr(shelf_module.time, "monotonic", lambda: now[0])
    shelf = CardShelf(kept_s=60)
    shelf.put(KEY, b"card")
    now[0] += 61
    assert shelf.get(KEY) is None
    shelf.put(replace(KEY, revision=2), b"new")
    assert len(shelf) == 1


def test_clearing_leaves_no_card_behind() -> None:
    shelf = CardShelf()
    shelf.put(KEY, b"card")
    shelf.clear()
    assert shelf.get(KEY) is None
    assert len(shelf) == 0
