"""Requests counted in memory: each until its window ends, and no more of them than fit."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable

import pytest
from flask import Flask

from webapp.ground import bounded_counts
from webapp.ground.bounded_counts import MOST, BoundedCounts
from webapp.ground.extensions import limiter


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    now = [1_000.0]
    monkeypatch.setattr(bounded_counts.time, "time", lambda: now[0])
    return now


def test_a_count_lasts_until_its_window_ends(clock: list[float]) -> None:
    counts = BoundedCounts()
    assert [counts.incr("a", 60), counts.incr("a", 60, amount=3)] == [1, 4]
    clock[0] += 59
    assert (counts.get("a"), counts.get_expiry("a")) == (4, 1_060)
    clock[0] += 1
    assert (counts.get("a"), counts.incr("a", 60)) == (0, 1)


def test_where_there_is_no_room_what_is_over_goes_first_then_what_ends_first(clock: list[float]) -> None:
    counts = BoundedCounts(most=10)
    for number in range(5):
        counts.incr(f"short {number}", 10)
    clock[0] += 11
    for number in range(5, 10):
        counts.incr(f"long {number}", 3_600 + number)
    counts.incr("new", 60)
    assert [counts.get(f"long {n}") for n in range(5, 10)] == [1] * 5
    for number in range(100):
        counts.incr(f"flood {number}", 60)
    assert [counts.get(f"long {n}") for n in range(5, 10)] == [1] * 5  # an hour's count outlives a flood of minutes
    assert len(counts._counts) <= 10


def test_a_flood_of_addresses_takes_bounded_memory() -> None:
    counts = BoundedCounts()
    tracemalloc.start()
    for number in range(MOST + MOST // 2):
        counts.incr(f"setup-card/2001:db8:{number:x}::/64/links/600/1/minute", 3_600)
    held, _peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(counts._counts) <= MOST
    assert held < 50_000_000


def test_a_count_can_be_forgotten() -> None:
    counts = BoundedCounts()
    counts.incr("a", 60)
    counts.clear("a")
    counts.incr("b", 60)
    assert (counts.get("a"), counts.reset(), counts.get("b"), counts.check()) == (0, 1, 0, True)


def test_it_is_what_counts_by_default_and_where_the_shared_store_is_away(make_app: Callable[..., Flask]) -> None:
    make_app(RATELIMIT_ENABLED=True)
    assert isinstance(limiter.storage, BoundedCounts)
    assert limiter._fallback_limiter is not None
    assert isinstance(limiter._fallback_limiter.storage, BoundedCounts)
