"""Print the whole table: `python -m tests.benchmarks.population [cases a kind] [seed]`.

With `fleet` as the first word, bikes that riders share: `python -m tests.benchmarks.population fleet [bikes] [seeds]`;
with `units`, forks and shocks of which each rider is on another specimen: `… units [models] [seeds]`.
With `day`, a demo day by the hour with every third rider checked: `… day [bikes] [seeds]`.

With a third word, `goals`, only the blocks that a goal is about; it ends with 1 and the goals that were missed. Several
seeds, with commas between them, give a table of the goals by seed. With the third word `measured` it asks what a scale
under the wheel and pushes on the spring are worth, beside the oracle that is told the same (60 cases a kind: minutes).
"""

from __future__ import annotations

import sys
import time
from collections.abc import Mapping

from .benching import BANDS, MOST_OVER_ORACLE, measured_blocks, summary
from .day import by_hour, follow_day
from .figures import SHOP
from .fleet import RIDERS, by_place, fleet_goals, follow_fleet
from .goals import check_goals, goals_by_seed, goals_of
from .ranges import Ranges, shifted
from .specimens import SPECIMENS, follow_units, pressure_scatter
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


def show_fleet(bikes: str = "100", seeds: str = "20") -> bool:
    """Print a fleet's figures by place, usual and shifted, over all seeds; return whether every goal is met."""
    figures, begun = {}, time.perf_counter()
    for name, ranges, believed in (("usual", Ranges(), Ranges()), ("shifted", shifted(), None)):
        each = (follow_fleet(int(bikes), RIDERS, int(seed), ranges, believed) for seed in seeds.split(","))
        figures[name] = by_place([turn for turns in each for turn in turns])
        print_rows(f"{name}: {bikes} bikes, seeds {seeds} ({time.perf_counter() - begun:.0f} s)", figures[name])
    goals = list(fleet_goals(figures["usual"], figures["shifted"]))
    for goal in goals:
        print(f"{'met   ' if goal.is_met else 'MISSED'} {goal.name}: {goal.value:.2f} ({goal.bounds()})")
    return all(goal.is_met for goal in goals)


def show_units(models: str = "45", seeds: str = "20") -> None:
    """Print the figures of models whose specimens teach each other, by how many came before, usual and shifted."""
    begun = time.perf_counter()
    print(f"specimens differ by {pressure_scatter(int(models), int(seeds.split(',')[0]), Ranges()):.1f} % in pressure")
    for name, ranges, believed in (("usual", Ranges(), Ranges()), ("shifted", shifted(), None)):
        each = (follow_units(int(models), SPECIMENS, int(seed), ranges, believed) for seed in seeds.split(","))
        rows = by_place([turn for turns in each for turn in turns])
        print_rows(f"{name}: {models} models, seeds {seeds} ({time.perf_counter() - begun:.0f} s)", rows)


def show_day(bikes: str = "30", seeds: str = "20") -> None:
    """Print the first misses of a demo day by hour, usual and shifted, over all seeds."""
    begun = time.perf_counter()
    for name, ranges in (("usual", Ranges()), ("shifted", shifted())):
        turns = [turn for seed in seeds.split(",") for turn in follow_day(int(bikes), int(seed), ranges)]
        took = time.perf_counter() - begun
        print_rows(f"{name}: {bikes} bikes, every third rider checked, seeds {seeds} ({took:.0f} s)", by_hour(turns))


def compare_seeds(number: int, seeds: list[int]) -> bool:
    """Print the goals by seed and return whether every one is met on every seed."""
    begun = time.perf_counter()
    tables = {seed: dict(blocks(number, seed, goals_only=True)) for seed in seeds}
    print(f"{number} cases a kind, {time.perf_counter() - begun:.0f} s\n{goals_by_seed(tables)}", flush=True)
    return all(goal.is_met for table in tables.values() for goal in goals_of(table))


def print_measured(number: int, seed: int) -> None:
    """Print first misses and bands by what was measured: in a shop's mix, then every group of each way."""
    begun = time.perf_counter()
    found = []
    for title, rows in measured_blocks(number, seed):
        found.append((title, rows))
        print_rows(title, rows)
    print(f"\n{number} cases a kind, seed {seed}, {SHOP}\n{summary(found, SHOP)}")
    print(f"\nGoals: ratios at most {MOST_OVER_ORACLE}, bands {BANDS[0]:g} to {BANDS[1]:g} %.")
    print(f"{time.perf_counter() - begun:.0f} s in all", flush=True)


if __name__ == "__main__":
    _, *_words = sys.argv
    if _words[2:] == ["measured"]:
        print_measured(int(_words[0]), int(_words[1]))
        raise SystemExit
    if _words[:1] == ["fleet"]:
        raise SystemExit(not show_fleet(*_words[1:3]))
    if _words[:1] == ["day"]:
        show_day(*_words[1:3])
        raise SystemExit
    if _words[:1] == ["units"]:
        show_units(*_words[1:3])
        raise SystemExit
    if len(_words) > 1 and "," in _words[1]:
        raise SystemExit(not compare_seeds(int(_words[0]), [int(seed) for seed in _words[1].split(",")]))
    main(*[int(word) for word in _words[:2]], *_words[2:3])
