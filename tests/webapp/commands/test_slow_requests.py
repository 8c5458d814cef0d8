"""A request that trickles in: three minutes where there is room, seconds where it is crowded."""

from __future__ import annotations

import time
from types import SimpleNamespace

import pytest

from webapp.commands.http_server import HEAD_S, HURRY_S, IDLE_S, WHOLE_S, Channel


def asked(taken_s: float, body_bytes: int, *, head: bool = True) -> tuple[Channel, float]:
    """Return a connection whose request began so long ago, and now; its last byte came just now."""
    now, channel = time.time(), Channel.__new__(Channel)
    channel.requests, channel.total_outbufs_len, channel.last_activity = [], 0, now
    channel.request = SimpleNamespace(headers_finished=head, body_bytes_received=body_bytes)
    channel._began = now - taken_s
    return channel, now


@pytest.mark.parametrize(
    ("taken_s", "body_bytes", "crowded", "closed"),
    [
        (HURRY_S - 0.1, 1, True, False),
        (HURRY_S + 1.0, 1, True, True),
        (HURRY_S + 1.0, 1, False, False),
        (20.0, 19_900, True, True),
        (20.0, 20_100, True, False),
        (WHOLE_S - 1.0, 1, False, False),
        (WHOLE_S + 1.0, 1, False, True),
        (WHOLE_S + 1.0, 2_000_000, True, True),
    ],
)
def test_a_body_that_trickles_holds_no_place_where_it_is_crowded(
    taken_s: float, body_bytes: int, crowded: bool, closed: bool
) -> None:
    channel, now = asked(taken_s, body_bytes)
    assert channel.is_overdue(now, crowded=crowded) is closed


@pytest.mark.parametrize(
    ("taken_s", "crowded", "closed"),
    [(HURRY_S + 1.0, True, True), (HURRY_S + 1.0, False, False), (HEAD_S + 1.0, False, True)],
)
def test_a_head_that_trickles_neither(taken_s: float, crowded: bool, closed: bool) -> None:
    channel, now = asked(taken_s, 0, head=False)
    assert channel.is_overdue(now, crowded=crowded) is closed


def test_a_large_body_that_stands_still_is_given_up_as_elsewhere() -> None:
    channel, now = asked(30.0, 1_000_000)
    channel.last_activity = now - IDLE_S - 1.0
    assert channel.is_overdue(now, crowded=True)
    channel.last_activity = now - IDLE_S + 1.0
    assert not channel.is_overdue(now, crowded=True)
