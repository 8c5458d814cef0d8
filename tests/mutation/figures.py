"""What a run of mutants showed: figures a module, and the list of those that no test could kill."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from scipy import stats

from tests.mutation.mutants import Module, Mutant, find_mutants

GOAL = 0.95
GOAL_OF_A_MODULE = 0.90


@dataclass(frozen=True)
class Verdict:
    """How one mutant fared: `by` is the test that killed it, empty if it survived."""

    mutant: Mutant
    by: str
    tests: int
    seconds: float

    @property
    def killed(self) -> bool:
        """Whether a test failed, or never came to an end."""
        return bool(self.by)


@dataclass(frozen=True)
class Figure:
    """How many of a number of mutants were killed."""

    name: str
    mutants: int
    killed: int

    @property
    def share(self) -> float:
        """The killed share, 0 to 1."""
        return self.killed / self.mutants

    def interval(self) -> tuple[float, float]:
        """Return Wilson's 95 % interval of the share of all mutants that would be killed."""
        low, high = stats.binomtest(self.killed, self.mutants).proportion_ci(0.95, method="wilson")
        return float(low), float(high)

    def line(self) -> str:
        """Return the figure as a line of the table."""
        low, high = self.interval()
        survived = self.mutants - self.killed
        return (
            f"{self.name:<48} {self.mutants:>7} {self.killed:>7} {survived:>9} "
            f"{100 * self.share:>6.1f} % ({100 * low:.0f} to {100 * high:.0f})"
        )


def figures_of(verdicts: list[Verdict]) -> list[Figure]:
    """Return a figure a module, and one of all at the end."""
    paths = sorted({one.mutant.module.path for one in verdicts})
    groups = [(path, [one for one in verdicts if one.mutant.module.path == path]) for path in paths]
    return [Figure(name, len(group), sum(one.killed for one in group)) for name, group in (*groups, ("all", verdicts))]


def shortfalls(figures: list[Figure], whole: bool) -> list[str]:
    """Return what falls short of the goals: in a sample only what even the interval's upper end does not reach."""
    *modules, everything = figures
    if not whole:
        return [] if everything.interval()[1] >= GOAL else [f"A sample says less than {GOAL:.0%}: {everything.line()}"]
    short = [one for one in modules if one.share < GOAL_OF_A_MODULE]
    return [f"Too few killed: {one.line()}" for one in short + [everything] * (everything.share < GOAL)]


@dataclass(frozen=True)
class Equivalent:
    """A change after which the rules answer the same, and why."""

    module: str
    line: str
    mutant: str
    reason: str

    def is_of(self, mutant: Mutant) -> bool:
        """Return whether a mutant is this change."""
        return self.module == mutant.module.path and mutant.change == (self.line, self.mutant)


def read_equivalents(path: Path) -> list[Equivalent]:
    """Return the listed equivalents; a TOML file with a table `[[equivalent]]` each.

    Raises
    ------
    TypeError
        At an entry without one of its parts.
    """
    return [Equivalent(**entry) for entry in tomllib.loads(path.read_text("utf-8")).get("equivalent", [])]


def stale_entries(listed: list[Equivalent], modules: Iterable[Module]) -> Iterator[Equivalent]:
    """Yield the entries that are no mutant of today's code any more, or that give no reason."""
    found: set[Equivalent] = set()
    for module in modules:
        found |= _found_in(module, {entry for entry in listed if entry.module == module.path})
    yield from (entry for entry in listed if not entry.reason.strip() or entry not in found)


def _found_in(module: Module, entries: set[Equivalent]) -> set[Equivalent]:
    """Return which entries are mutants of a module; only changes on an entry's lines are made.

    A decorator's change is told from a line away.
    """
    lines, found = [line.strip() for line in module.source.splitlines()], set[Equivalent]()
    for mutant in find_mutants(module) if entries else ():
        near = set(lines[max(0, mutant.line - 2) : mutant.line + 1])
        found |= {entry for entry in entries - found if near & set(entry.line.splitlines()) and entry.is_of(mutant)}
        if found == entries:
            break
    return found
