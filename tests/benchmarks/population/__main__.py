"""Print the whole table: `python -m tests.benchmarks.population [springs a group] [seed] [plain]`.

`plain` switches off the effects that a plain model lacks, to tell wrong spreads from missing effects.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Mapping

from .draw import Effects, draw_cases
from .figures import by_group, first_guess, guess_figures, run_figures
from .habits import HABITS

_GOALS = """Goals. First guess: median miss <= 4 % of travel by size class, <= 2 % with internals known; needed pressure
in band 85-95 %. Three readings: re-pumps <= 0.9, done after one >= 85 %, p90 miss <= 2.5 %. Above and below:
done after one >= 95 %. After a check: true sag in band 85-95 %."""


def print_rows(title: str, rows: Mapping[str, Mapping[str, float]]) -> None:
    """Print one block: a line a group, a column a figure."""
    names = list(next(iter(rows.values())))
    print(f"\n{title}")
    print(" " * 22 + "".join(f"{name:>16}" for name in names))
    for group, figures in rows.items():
        print(f"{group:<22}" + "".join(f"{figures[name]:16.2f}" for name in names))


def main(number: int = 350, seed: int = 20, *, effects: Effects = Effects()) -> None:  # noqa: B008 (frozen)
    """Draw `number` springs a group, ask, correct, print."""
    begun = time.perf_counter()
    cases = draw_cases(number, seed, effects)
    print(f"{number} springs a group, seed {seed}\n{_GOALS}")
    firsts = [first_guess(case, known=False) for case in cases]
    known = [first_guess(case, known=True)[1] for case in cases]
    for title, guesses in (("size class", [g for _, g in firsts]), ("internals known", known)):
        print_rows(f"First guess, {title}", {k: guess_figures(v) for k, v in by_group(guesses).items()})
    for name, habit in HABITS.items():
        start = time.perf_counter()
        runs = [habit(case, answer) for case, (answer, _) in zip(cases, firsts, strict=True)]
        each = 1e3 * (time.perf_counter() - start) / len(cases)
        rows = {k: run_figures(v) for k, v in by_group(runs).items()}
        print_rows(f"Correction, {name} ({each:.0f} ms a case)", rows)
    print(f"\n{time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:] if word != "plain"]
    main(*numbers[:2], effects=Effects.none() if "plain" in sys.argv else Effects())
