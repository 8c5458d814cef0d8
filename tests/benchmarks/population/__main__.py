"""Print the whole table: `python -m tests.benchmarks.population [cases a kind] [seed]`.

With a third word, `goals`, only the blocks that a goal is about; it ends with 1 and the goals that were missed.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Mapping

from .goals import check_goals
from .table import blocks

_GOALS = """Goals, off the limits, in a shop's mix (one coil fork to four air forks).
First guess: median and p90 miss at most 1.1 times the oracle's.
Bands: needed pressure and true gap held in 85-95 %. Three readings: re-pumps <= 0.9, done after one >= 85 %.
Above and below: done after one >= 93 %. 3 % slips: re-pumps <= 1.1, no final miss > 6 % of travel.
Shifted population: gap in band after one check >= 80 %.
Misses are of the gap that the O-ring would show without friction, in per cent of travel.
"False done": settled, but more than 3 % of travel off; the same measure for tool and oracle."""


def print_rows(title: str, rows: Mapping[str, Mapping[str, float]]) -> None:
    """Print one block: a line a group, a column a figure."""
    widths = {name: max(9, len(name) + 2) for name in next(iter(rows.values()))}
    print(f"\n{title}\n" + " " * 38 + "".join(f"{name:>{width}}" for name, width in widths.items()))
    for group, figures in rows.items():
        cells = (f"{figures[name]:{width}.2f}" for name, width in widths.items())
        print(f"{group:<38}" + "".join(cells), flush=True)


def main(number: int = 300, seed: int = 20, only: str = "") -> None:
    """Draw `number` cases a kind, ask, correct, print; with `only` "goals" stop at the end where one was missed."""
    begun = last = time.perf_counter()
    print(f"{number} cases a kind, seed {seed}\n{_GOALS}")
    table = {}
    for title, rows in blocks(number, seed, goals_only=bool(only)):
        table[title] = rows
        now = time.perf_counter()
        print_rows(f"{title} ({now - last:.0f} s)", rows)
        last = now
    print(f"\n{time.perf_counter() - begun:.0f} s in all", flush=True)
    if only:
        check_goals(table)


if __name__ == "__main__":
    main(*[int(word) for word in sys.argv[1:3]], *sys.argv[3:4])
