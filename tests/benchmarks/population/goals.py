"""What the rules have to reach on the population, and a whole table held against it."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator
from dataclasses import dataclass

from scipy import stats

from .figures import SHOP
from .habits import SIDES
from .table import FIRST, KEEPING, SHIFTED, SLIPS, TOOL, Rows

#: What rules that know the gap have to reach, off the pressure limits and in a shop's mix of forks and shocks;
#: `check_goals` holds a whole table against it. By kind the first guess reaches it for shocks only (700 cases a kind:
#: 1.02 and 1.06 times the oracle's; air forks 1.19 and 1.18, coil forks 1.26 and 1.24): the rules take smaller bores
#: for thick stanchions than the population, since downhill forks would otherwise fall below common practice.
#: "Done" means what the tool says and, in the line "truly", that the gap without friction is within the tolerance.
#: Two goals ask more than can be known (200 cases a kind, seeds 20 to 24): with one reading from above and one from
#: below the oracle, which knows every range that is drawn from, is truly done in 91.5 % (the tool in 91.1); in the
#: shifted world an oracle of the usual ranges holds 73.5 to 74.8 % of the gaps in its band (the tool 68.8 to 69.5). A
#: band a fifth wider would hold 80 to 83 % of them and 93 to 99 % of the usual ones (120 cases a kind, two seeds).
GOALS = {
    "first miss over the oracle's": 1.1,
    "band": (85.0, 95.0),
    "three readings: re-pumps": 0.9,
    "three readings: done after one": 85.0,
    "both ways: done after one": 93.0,
    "slips: re-pumps": 1.1,
    "shifted: gap in band": 80.0,
}


@dataclass(frozen=True, slots=True)
class Goal:
    """One figure of a table with the bounds that it is held to."""

    name: str
    value: float
    low: float = -math.inf
    high: float = math.inf

    @property
    def is_met(self) -> bool:
        """Whether the figure lies within the bounds, which belong to them."""
        return self.low <= self.value <= self.high

    def bounds(self) -> str:
        """Return the bounds as text."""
        if math.isinf(self.low):
            return f"≤ {self.high:g}"
        return f"≥ {self.low:g}" if math.isinf(self.high) else f"{self.low:g} to {self.high:g}"


def goals_of(figures: dict[str, Rows]) -> Iterator[Goal]:
    """Yield every goal with the figure that a table, `dict(blocks(number, seed, goals_only=True))`, has for it."""
    yield from _first_goals(figures[FIRST][SHOP])
    band = dict(zip(("low", "high"), GOALS["band"], strict=True))
    for name in SIDES:
        yield Goal(f"{TOOL}{name}: gap in band %", figures[TOOL + name][SHOP]["gap in band"], **band)
    for name, value in figures[KEEPING + "habit only"][SHOP].items():
        if name != "cases":
            yield Goal(f"keeps checking, {name}: gap in band %", value, **band)
    yield from _done_goals("three readings", figures, GOALS["three readings: done after one"])
    repumps = figures[TOOL + "three readings"][SHOP]["re-pumps"]
    yield Goal("three readings: re-pumps", repumps, high=GOALS["three readings: re-pumps"])
    for name in SIDES:
        if "above" in name:
            yield from _done_goals(name, figures, GOALS["both ways: done after one"])
    slips = figures[SLIPS + "three readings"][SHOP]
    yield Goal("3 % slips: re-pumps", slips["re-pumps"], high=GOALS["slips: re-pumps"])
    yield Goal("3 % slips: end more than 6 % of travel off, %", slips["final > 6 %"], high=0.0)
    for name in ("one reading", "three readings"):
        value = figures[SHIFTED + name][SHOP]["gap in band"]
        yield Goal(f"shifted, {name}: gap in band %", value, low=GOALS["shifted: gap in band"])


def _first_goals(first: dict[str, float]) -> Iterator[Goal]:
    for what in ("median ratio", "p90 ratio"):
        yield Goal(f"first guess: {what} to the oracle's miss", first[what], high=GOALS["first miss over the oracle's"])
    for what in ("needed in band", "gap in band"):
        yield Goal(f"first guess: {what} %", first[what], *GOALS["band"])


def _done_goals(name: str, figures: dict[str, Rows], least: float) -> Iterator[Goal]:
    """Yield what the tool calls done after one change, and beside it how often the true sag is."""
    row = figures[TOOL + name][SHOP]
    yield Goal(f"{name}: done after one, says the tool, %", row["done <=1"], low=least)
    yield Goal(f"{name}: done after one, truly, %", row["true done <=1"], low=least)


def check_goals(figures: dict[str, Rows]) -> None:
    """Hold a table against the goals; raise with all missed ones."""
    missed = [f"{goal.name}: {goal.value:.2f}, goal {goal.bounds()}" for goal in goals_of(figures) if not goal.is_met]
    assert not missed, "\n".join(missed)


def goals_by_seed(tables: dict[int, dict[str, Rows]]) -> str:
    """Return a table: a line a goal, a column a seed, on how many seeds it is met, and what all say together.

    Together is the mean of the seeds with its 95 % interval, from how far they lie apart (Student). A goal whose bound
    lies in it can be told neither met nor missed by so few cases.
    """
    columns = {seed: list(goals_of(figures)) for seed, figures in tables.items()}
    heads = "".join(f"{'seed ' + str(seed):>10}" for seed in columns)
    lines = [f"{'goal':<64}{heads}   met on       together"]
    for goals in zip(*columns.values(), strict=True):
        cells = "".join(f"{goal.value:>10.2f}" for goal in goals)
        met = sum(goal.is_met for goal in goals)
        words = f"{goals[0].name + ' (' + goals[0].bounds() + ')':<64}{cells}   {met} of {len(goals)}"
        lines.append(words + _together(list(goals)))
    return "\n".join(lines)


def _together(goals: list[Goal]) -> str:
    """Return the mean of one goal's figures by seed, its interval, and what it says of the goal; "" of one alone."""
    values = [goal.value for goal in goals]
    if len(values) < 2:
        return ""
    mean = statistics.fmean(values)
    off = float(stats.t.ppf(0.975, len(values) - 1)) * statistics.stdev(values) / math.sqrt(len(values))
    low, high = goals[0].low, goals[0].high
    if low + off <= mean <= high - off:
        said = "met"
    else:
        said = "missed" if mean < low - off or mean > high + off else "not told apart"
    return f"{mean:>10.2f} ± {off:.2f} {said}"
