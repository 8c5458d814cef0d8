"""Print the speed table: `python -m tests.benchmarks [--rounds 40] [--sizes 1000 10000 100000]`."""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from tests.conftest import WHOLE_REQUEST

from .measuring import table
from .speed import page_rows
from .speed_server import crowd_rows, growth_rows, start_rows


def main() -> None:
    """Measure every row in one run and print it beside its goal."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=40)
    parser.add_argument("--sizes", type=int, nargs="+", default=[1_000, 10_000, 100_000])
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        rows = page_rows(folder, WHOLE_REQUEST, given.rounds)
        rows += crowd_rows(folder, WHOLE_REQUEST, given.rounds)
        rows += start_rows(folder, WHOLE_REQUEST, given.rounds)
        rows += growth_rows(folder, WHOLE_REQUEST, tuple(given.sizes), given.rounds)
    print(table(rows))


if __name__ == "__main__":
    main()
