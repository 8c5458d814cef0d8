"""How the speed table is measured: jobs in turns within one run, medians, ratios with a floor of the same run."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Job = Callable[[], Any]


@dataclass(frozen=True, slots=True)
class Timing:
    """How long something took in many rounds: median and quartiles [s]."""

    median: float
    low: float
    high: float

    @classmethod
    def of(cls, times: Sequence[float]) -> Timing:
        """Sum up times [s]; of a single one, that is all there is."""
        low, median, high = (share(times, part) for part in (0.25, 0.5, 0.75))
        return cls(statistics.median(times), low, high) if len(times) > 1 else cls(median, median, median)

    @classmethod
    def at(cls, times: Sequence[float], part: float) -> Timing:
        """Return the value below which a part of the times lies; its spread is that of five stretches of the run."""
        length = max(1, len(times) // 5)
        stretches = sorted(share(times[i : i + length], part) for i in range(0, len(times) - length + 1, length))
        return cls(share(times, part), stretches[0], stretches[-1])

    def __truediv__(self, floor: Timing | float) -> float:
        """Return the ratio of the medians, or to a time [s]."""
        return self.median / (floor.median if isinstance(floor, Timing) else floor)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: what was measured, how long it took, its ratio and the goal as words."""

    what: str
    timing: Timing
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


def summed_up(times: Mapping[str, list[float]]) -> dict[str, Timing]:
    """Return how long every job took."""
    return {name: Timing.of(values) for name, values in times.items()}


def share(values: Sequence[float], part: float) -> float:
    """Return the value below which a part (0 to 1) of the times lies."""
    ranked = sorted(values)
    return ranked[min(len(ranked) - 1, int(part * len(ranked)))]


def table(rows: list[Row]) -> str:
    """Return the rows as text, one a line; the spread is from the lower to the upper quartile."""
    lines = [f"{'what':<78}{'ms':>10}{'spread':>20}{'ratio':>8}  goal"]
    for row in rows:
        spread = f"{row.timing.low * 1e3:.3f}-{row.timing.high * 1e3:.3f}"
        lines.append(f"{row.what:<78}{row.timing.median * 1e3:>10.3f}{spread:>20}{row.ratio:>8.2f}  {row.goal}")
    return "\n".join(lines)
