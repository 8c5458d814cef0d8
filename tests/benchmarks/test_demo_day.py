"""A demo day in a small sample: the server is killed in the middle, and nothing is lost or doubled.

The whole day with its times: `python -m tests.benchmarks.demo_day`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from .demo_day import follow_day, table

pytestmark = [pytest.mark.benchmark, pytest.mark.long]


def test_nothing_is_lost_or_doubled_when_the_server_is_killed(tmp_path: Path) -> None:
    day = follow_day(tmp_path, bikes=4, riders=10, crew=2, cards=0, pause_s=0.05)
    assert day.wrong == []
    assert day.told["set"] == 10
    assert "page" in table(day)
