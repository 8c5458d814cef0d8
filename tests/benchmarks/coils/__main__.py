"""Print the figures of simulated coil bikes: `python -m tests.benchmarks.coils [bikes] [seed]`."""

from __future__ import annotations

import sys
import time

import numpy as np

from .draw import draw_bike
from .follow import NEAR_PERCENT, WAYS, Followed, follow


def run(number: int, seed: int, ways: tuple[int, ...]) -> list[Followed]:
    """Follow so many bikes."""
    return [follow(draw_bike(seed, one), ways) for one in range(number)]


def near(bikes: list[Followed], name: str) -> float:
    """Return the share of bikes whose miss of that name is small enough."""
    return float(np.mean([abs(getattr(one, name)) <= NEAR_PERCENT for one in bikes]))


def print_row(title: str, bikes: list[Followed]) -> None:
    """Print one group's figures."""
    cells = []
    for name in ("first", "by_hand", "after_one"):
        misses = np.abs([getattr(one, name) for one in bikes])
        cells.append(f"{np.median(misses):6.2f}{np.quantile(misses, 0.9):6.2f}{100 * near(bikes, name):7.1f}")
    changes = [sum(one.changed == what for one in bikes) for what in ("nothing", "preload", "spring")]
    held = 100 * float(np.mean([one.in_band for one in bikes]))
    print(f"{title:<8}{len(bikes):>6} " + " |".join(cells) + f" | {changes} {held:7.1f}", flush=True)


def main(number: int = 300, seed: int = 11) -> None:
    """Draw, ask, measure, change once, print."""
    begun = time.perf_counter()
    print(f"{number} coil bikes, seed {seed}. True sag against target, per cent of travel: median, p90, within 2 %.")
    for title, ways in WAYS.items():
        print_block(title, run(number, seed, ways))
    print(f"{time.perf_counter() - begun:.0f} s")


def print_block(title: str, bikes: list[Followed]) -> None:
    """Print the figures of bikes that were measured in one way."""
    left_out = sum(not one.allowed for one in bikes)
    print(f"\n{title}; {left_out} left out: no stocked spring brings them within {NEAR_PERCENT:g} %.")
    print(
        "                 first guess       | rate by proportion | after one change  | [none, preload, spring] in band"
    )
    allowed = [one for one in bikes if one.allowed]
    for title, group in (
        ("forks", [one for one in allowed if one.end == "front"]),
        ("shocks", [one for one in allowed if one.end == "rear"]),
        ("all", allowed),
    ):
        if group:
            print_row(title, group)


if __name__ == "__main__":
    _, *_words = sys.argv
    main(*[int(word) for word in _words[:2]])
