"""Counts in Redis: shared, and not missed by anybody while it is away. `tests.two_instances` shows them shared."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from flask import Flask

from tests.servers import redis_server
from webapp.ground.errors import ConfigError

Make = Callable[..., Flask]


@pytest.mark.postgresql
def test_pages_answer_and_limits_hold_while_redis_is_away(make_app: Make) -> None:
    with redis_server() as url:
        client = make_app(RATELIMIT_ENABLED=True, RATE_LINKS="3 per hour", REDIS_URL=url).test_client()
        assert [client.get(f"/s/{'0' * 26}").status_code for _ in range(4)] == [404, 404, 404, 429]
    begun = time.monotonic()
    # Counted in the process now, from the beginning: limits are kinder while it is away, and none is without end.
    statuses = [client.get(f"/s/{'0' * 26}").status_code for _ in range(6)]
    assert statuses[0] == 404
    assert statuses[-1] == 429
    assert time.monotonic() - begun < 5


@pytest.mark.parametrize(
    "address", ["nowhere", "http://localhost", "memcached://localhost", "memory://", "redis://localhost:x"]
)
def test_an_address_that_is_no_redis_stops_the_start(make_app: Make, address: str) -> None:
    with pytest.raises(ConfigError, match="SETUP_CARD_REDIS_URL"):
        make_app(REDIS_URL=address)
    with pytest.raises(ConfigError, match="SETUP_CARD_REDIS_URL"):  # the queue takes it, wherever requests are counted
        make_app(REDIS_URL=address, RATELIMIT_STORAGE_URI="memory://")


@pytest.mark.parametrize("address", ["async+memory://", "redis+cluster://127.0.0.1:1", "nowhere"])
def test_a_store_that_cannot_count_stops_the_start(make_app: Make, address: str) -> None:
    with pytest.raises(ConfigError, match="SETUP_CARD_RATELIMIT_STORAGE_URI"):
        make_app(RATELIMIT_STORAGE_URI=address)


def test_a_redis_that_is_away_does_not_stop_the_start(make_app: Make) -> None:
    client = make_app(RATELIMIT_ENABLED=True, REDIS_URL="redis://127.0.0.1:1").test_client()
    assert client.get("/").status_code == 200
