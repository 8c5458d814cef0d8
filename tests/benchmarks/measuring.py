"""How the speed table is measured: jobs in turns within one run, medians, ratios with a floor of the same run."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

Job = Callable[[], Any]


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: what was measured, its time [s], its ratio and the goal as words."""

    what: str
    seconds: float
    ratio: float
    goal: str


def in_turns(jobs: Mapping[str, Job], rounds: int, quick: frozenset[str] = frozenset()) -> dict[str, list[float]]:
    """Run every job once a round and return its times [s]; quick ones are timed in tens, near the clock's noise."""
    for job in jobs.values():
        job()
    gc.collect()
    times: dict[str, list[float]] = {name: [] for name in jobs}
    for _ in range(rounds):
        for name, job in jobs.items():
            turns = 10 if name in quick else 1
            begun = time.perf_counter()
            for _ in range(turns):
                job()
            times[name].append((time.perf_counter() - begun) / turns)
    return times


def medians(times: Mapping[str, list[float]]) -> dict[str, float]:
    """Return the median of every job's times [s]."""
    return {name: statistics.median(values) for name, values in times.items()}


def share(values: list[float], part: float) -> float:
    """Return the value below which a part (0 to 1) of the times lies."""
    ranked = sorted(values)
    return ranked[min(len(ranked) - 1, int(part * len(ranked)))]


def table(rows: list[Row]) -> str:
    """Return the rows as text, one a line."""
    lines = [f"{'what':<64}{'ms':>10}{'ratio':>8}  goal"]
    lines += [f"{row.what:<64}{row.seconds * 1e3:>10.3f}{row.ratio:>8.2f}  {row.goal}" for row in rows]
    return "\n".join(lines)
