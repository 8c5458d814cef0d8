"""Prints which outside check catches each relation when it is wrong, found by trying: `python -m tests.relations`.

Every relation's result is spoilt (5 % more and less, its sign turned, its exponent bent, a click or piece off, a word
or yes exchanged, two arguments of one unit swapped), the tests of `tests/published` that reach it are run, and those
that fail are its checks. Ends with 1 where a relation can be wrong without any of them noticing.
"""

from __future__ import annotations

import argparse
import datetime
import os
import random
import sys
import time

from tests.relations.checks import read_checks
from tests.relations.rules import rules
from tests.relations.table import gaps, idle_decisions, judge, print_table
from tests.relations.trial import try_rules


def main() -> int:
    """Try, print, and say by the exit code whether there is a gap."""
    asked = argparse.ArgumentParser(prog="python -m tests.relations", description=__doc__.split("\n")[0])
    asked.add_argument("--rule", action="append", default=[], help="only rules whose dotted name contains this")
    asked.add_argument("--check", action="append", default=[], help="only these files (default: tests/published)")
    asked.add_argument("--sample", type=int, help="so many of the relations, drawn by the seed")
    asked.add_argument("--seed", type=int, default=datetime.datetime.now(datetime.UTC).date().toordinal())
    asked.add_argument("--quiet", action="store_true", help="the table without what is being tried meanwhile")
    given = asked.parse_args()
    chosen = [one for one in rules() if not given.rule or any(part in one.name for part in given.rule)]
    if given.sample is not None:
        print(f"a sample of {given.sample} of {len(chosen)}, seed {given.seed}", flush=True)
        chosen = random.Random(given.seed).sample(chosen, min(given.sample, len(chosen)))
    started = time.monotonic()

    def say(text: str) -> None:
        if not given.quiet:
            print(f"{time.monotonic() - started:6.0f} s  {text}", file=sys.stderr, flush=True)

    tries = try_rules(chosen, given.check or ["tests/published"], say)
    if tries.broken:
        print("These fail before anything is spoilt:", *tries.broken, sep="\n")
        return 2
    verdicts = judge(tries)
    print_table(verdicts, read_checks())
    print(f"tried in {time.monotonic() - started:.0f} s, {sum(os.times()[:4]):.0f} s of processor")
    idle = [] if given.sample is not None else idle_decisions(verdicts)
    return 1 if gaps(verdicts) or idle else 0


if __name__ == "__main__":
    sys.exit(main())
