"""A covering array of strength 2: few rows in which every permitted pair of levels of two factors stands at least once.

Source: greedy one-row-at-a-time construction (any text on combinatorial testing). Fixed order, no chance: the same
factors give the same rows.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import combinations

Level = tuple[str, str]
Pair = frozenset[Level]
Factors = Mapping[str, Sequence[str]]
Permits = Callable[[Level, Level], bool]


def permitted_pairs(factors: Factors, permits: Permits) -> list[Pair]:
    """Return every pair of levels of two factors that may stand in one row, in a fixed order."""
    return [
        frozenset({(one, a), (other, b)})
        for one, other in combinations(factors, 2)
        for a in factors[one]
        for b in factors[other]
        if permits((one, a), (other, b))
    ]


def pairs_in(row: Mapping[str, str]) -> set[Pair]:
    """Return the pairs of levels that stand in a row."""
    return {frozenset(pair) for pair in combinations(row.items(), 2)}


def covering_array(factors: Factors, permits: Permits) -> list[dict[str, str]]:
    """Return rows that hold every permitted pair: each starts from the first pair left and takes in what is most."""
    left = dict.fromkeys(permitted_pairs(factors, permits))
    rows: list[dict[str, str]] = []
    while left:
        row = filled(dict(sorted(next(iter(left)))), factors, permits, left, len(rows))
        rows.append({name: row[name] for name in factors})
        for pair in pairs_in(row):
            left.pop(pair, None)
    return rows


def filled(
    row: dict[str, str], factors: Factors, permits: Permits, left: Mapping[Pair, None], turn: int
) -> dict[str, str]:
    """Return a row with all factors: each takes the permitted level with the most pairs left, in turn if equal."""
    for name in sorted(factors, key=lambda one: -len(factors[one])):
        if name in row:
            continue
        levels = [factors[name][(i + turn) % len(factors[name])] for i in range(len(factors[name]))]
        open_to = [level for level in levels if all(permits((name, level), held) for held in row.items())]
        row[name] = max(
            open_to, key=lambda level: sum(frozenset({(name, level), held}) in left for held in row.items())
        )
    return row
