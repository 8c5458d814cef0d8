"""The speed table is measured whole in a short run. What it shows depends on the machine, so no time is held here.

The figures with their goals: `python -m tests.benchmarks`.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from .measuring import Row, table
from .speed import page_rows
from .speed_server import crowd_rows, growth_rows, start_rows

pytestmark = [pytest.mark.benchmark, pytest.mark.long]


def test_every_row_of_the_table_is_measured(
    tmp_path: Path, whole_request: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    rows: list[Row] = page_rows(tmp_path, whole_request, rounds=3)
    rows += crowd_rows(tmp_path, whole_request, rounds=2)
    rows += start_rows(tmp_path, whole_request, rounds=2)
    rows += growth_rows(tmp_path, whole_request, (20, 200), rounds=2)
    with capsys.disabled():
        print(f"\n{table(rows)}")
    assert len({row.what for row in rows}) == len(rows) == 22
    assert all(
        math.isfinite(row.ratio) and row.ratio > 0 and 0 < row.timing.low <= row.timing.median <= row.timing.high
        for row in rows
    )
