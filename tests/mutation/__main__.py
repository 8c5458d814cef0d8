"""Changes the rules in small ways and tells which changes no test notices: `python -m tests.mutation --help`."""

from __future__ import annotations

import argparse
import datetime
import os
from pathlib import Path

from tests.mutation.figures import Verdict, figures_of
from tests.mutation.project import Project
from tests.mutation.run import Choice, Outcome, run, told

ROOT = Path(__file__).resolve().parent.parent.parent
EQUIVALENTS = Path(__file__).with_name("equivalent.toml")
CACHE = ROOT / "build" / "mutation"
RULES = Project(
    root=ROOT,
    package="setup_rules",
    left_out=("setup_rules/messages/catalogue/",),
    # Of tests/setup_rules/messages not the catalogue's: a walk through every sentence before its first test.
    tests=(
        *(f"tests/setup_rules/{room}" for room in ("physics", "types", "workshop", "parsing", "inference", "advice")),
        *(
            "tests/setup_rules/messages/test_message.py",
            "tests/setup_rules/messages/test_rounding.py",
            "tests/setup_rules/test_relations.py",
            "tests/published",
            "tests/kept/test_kept_answers.py",
        ),
    ),
    needed=("tests", "webapp", "templates", "pyproject.toml", "README.md", "DEVELOPERS.md"),
    # Without the app of tests/conftest.py, which would be imported anew for each mutant.
    arguments=(
        "--confcutdir=tests/kept",
        "--deselect=tests/kept/test_kept_answers.py::test_the_json_interface_says_what_it_said",
    ),
    reading=("tests/setup_rules/types/test_decisions.py",),
    early=("tests/kept/test_kept_answers.py::test_every_kept_case_answers_with_the_same_numbers[",),
)


def read_arguments() -> argparse.Namespace:
    """Return what was asked for on the command line."""
    asked = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    asked.add_argument("--sample", type=int, default=120, help="so many mutants, drawn by the seed")
    asked.add_argument("--whole", action="store_true", help="every mutant: hours")
    asked.add_argument("--seed", type=int, default=datetime.datetime.now(datetime.UTC).date().toordinal())
    asked.add_argument("--module", action="append", default=[], help="only modules below this path; may come twice")
    asked.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    asked.add_argument("--seconds", type=float, default=float("inf"), help="begin no mutant after so long")
    asked.add_argument("--tests-of", type=float, default=60.0, help="seconds of tests that judge one mutant at most")
    asked.add_argument("--near", action="store_true", help="measure nothing, judge by the test files of the module")
    asked.add_argument("--every-operator", action="store_true", help="also the changes that others stand for")
    return asked.parse_args()


def report(outcome: Outcome) -> None:
    """Print the survivors, the table and what is at fault."""
    survivors = [one for one in outcome.verdicts if not one.killed]
    print(f"\n{len(survivors)} survived\n", *map(told, sorted(survivors, key=_place)), sep="\n")
    print(f"{'module':<48} mutants  killed  survived  share (95 % interval)")
    print(*(figure.line() for figure in figures_of(outcome.verdicts)), sep="\n")
    seconds = sorted(one.seconds for one in outcome.verdicts)
    if seconds:
        print(f"seconds a mutant: median {seconds[len(seconds) // 2]:.1f}, longest {seconds[-1]:.1f}")
    print(*outcome.faults, sep="\n")


def _place(verdict: Verdict) -> tuple[str, int]:
    return verdict.mutant.module.path, verdict.mutant.line


def main() -> int:
    """Run as asked; 1 if the figure falls short or the list of equivalents is stale."""
    asked = read_arguments()
    sample = None if asked.whole else asked.sample
    print(f"seed {asked.seed}, {'every mutant' if asked.whole else f'a sample of {asked.sample}'}", flush=True)
    limits = (asked.processes, asked.seconds, asked.tests_of, asked.near, asked.every_operator)
    choice = Choice(sample, asked.seed, tuple(asked.module), *limits)
    outcome = run(RULES, choice, EQUIVALENTS, CACHE, lambda text: print(text, flush=True))
    report(outcome)
    return bool(outcome.faults)


if __name__ == "__main__":
    raise SystemExit(main())
