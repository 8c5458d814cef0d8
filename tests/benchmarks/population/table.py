"""The table, block by block: a title, then figures by group."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from .advising import Adviser, Knowing, Rules
from .asking import Answer
from .draw import KINDS, Case, draw_cases
from .figures import by_group, first_guess, guess_figures, kept_figures, run_figures
from .habits import BY_HAND, CHECKS, SIDES, Run, follow, keep_checking
from .oracle import make_oracle
from .ranges import Ranges, Shares, shifted

Rows = dict[str, dict[str, float]]
Block = tuple[str, Rows]
Asked = tuple[Case, Answer]

FIRST, KNOWN = "First guess", "First guess, internals known"
TOOL, ORACLE, KEEPING, SLIPS = "Tool, ", "Oracle, ", "Keeps checking, ", "3 % slips, "
SHIFTED_FIRST, SHIFTED = "Shifted population, first guess", "Shifted population, tool, "
#: So many cases a kind at most, since each costs many answers: the oracle, who keeps checking, the shifted, the tool.
_MOST_ORACLE, _MOST_KEPT, _MOST_SHIFTED, _MOST_TOOL = 150, 24, 250, 500


def blocks(number: int, seed: int, goals_only: bool = False) -> Iterator[Block]:
    """Draw `number` cases a kind and yield the blocks of the table one by one, or only those with a goal."""
    cases = draw_cases(number, seed)
    guesses = [first_guess(case) for case in cases]
    yield FIRST, {k: guess_figures(v) for k, v in by_group([guess for _, guess in guesses]).items()}
    asked = [(case, answer) for case, (answer, _) in zip(cases, guesses, strict=True)]
    if not goals_only:
        yield from _beside(asked)
    for name in SIDES:
        yield TOOL + name, _sum_runs(_follow(_some(asked, _MOST_TOOL), name))
    yield from _slips(_some(asked, _MOST_TOOL), goals_only)
    yield from _keeping(min(_MOST_KEPT, max(2, number // 3)), seed, goals_only)
    yield from _shifted(min(_MOST_SHIFTED, number), seed, goals_only)


def _beside(asked: Sequence[Asked]) -> Iterator[Block]:
    """Yield what stands beside the tool: internals known, the habits by hand, the oracle."""
    known = [first_guess(case, known=True)[1] for case, _ in _some(asked, _MOST_ORACLE)]
    yield KNOWN, {k: guess_figures(v) for k, v in by_group(known).items()}
    for name, habit in BY_HAND.items():
        yield f"By hand, {name}", _sum_runs([habit(case, answer) for case, answer in asked])
    for name in SIDES:
        yield ORACLE + name, _sum_runs(_follow_oracle(_some(asked, _MOST_ORACLE), name))


def _some(asked: Sequence[Asked], most: int) -> list[Asked]:
    by_kind = {kind: [one for one in asked if one[0].told.kind == kind] for kind in KINDS}
    return [one for part in by_kind.values() for one in part[:most]]


def _sum_runs(runs: Sequence[Run]) -> Rows:
    return {k: run_figures(v) for k, v in by_group(runs).items()}


def _stream(name: str) -> int:
    """Return the same stream of chance for tool and oracle, another for each habit."""
    return 3 + list(SIDES).index(name)


def _follow(asked: Sequence[Asked], name: str) -> list[Run]:
    return [follow(case, Rules(answer), SIDES[name], _stream(name)) for case, answer in asked]


def _follow_oracle(asked: Sequence[Asked], name: str, ranges: Ranges | None = None) -> list[Run]:
    runs = []
    for case, answer in asked:
        adviser: Adviser = Knowing(make_oracle(case, answer.target, ranges), answer.target, answer.at_limit)
        runs.append(follow(case, adviser, SIDES[name], _stream(name)))
    return runs


def _slips(asked: Sequence[Asked], goals_only: bool) -> Iterator[Block]:
    slipping = [(replace(case, ranges=_with_shares(slip=0.03)), answer) for case, answer in asked]
    for name in ("one reading", "three readings"):
        yield SLIPS + name, _sum_runs(_follow(slipping, name))
    if not goals_only:
        best = _follow_oracle(_some(slipping, _MOST_ORACLE), "three readings")
        yield f"{SLIPS}oracle, three readings", _sum_runs(best)


def _with_shares(**shares: float) -> Ranges:
    return Ranges(shares=replace(Shares(), **shares))


def _keeping(number: int, seed: int, goals_only: bool) -> Iterator[Block]:
    worlds = {"habit only": (Ranges(), number)}
    if not goals_only:
        half = (number + 1) // 2
        worlds["all leak"] = _with_shares(leak=1.0), half
        worlds["all kit unentered"] = _with_shares(kit_unentered=1.0), half
    for name, (ranges, most) in worlds.items():
        asked = [(case, first_guess(case)[0]) for case in draw_cases(most, seed + 1, ranges)]
        kept = [keep_checking(case, Rules(answer), 20, CHECKS[-1]) for case, answer in asked]
        yield KEEPING + name, {k: kept_figures(v) for k, v in by_group(kept).items()}


def _shifted(number: int, seed: int, goals_only: bool) -> Iterator[Block]:
    cases = draw_cases(number, seed + 2, shifted())
    guesses = [first_guess(case) for case in cases]
    yield SHIFTED_FIRST, {k: guess_figures(v) for k, v in by_group([guess for _, guess in guesses]).items()}
    asked = [(case, answer) for case, (answer, _) in zip(cases, guesses, strict=True)]
    for name in ("one reading", "three readings"):
        yield SHIFTED + name, _sum_runs(_follow(asked, name))
    if not goals_only:
        # This oracle believes in the usual ranges: what a shift costs an adviser that is right about all else.
        usual = _follow_oracle(_some(asked, _MOST_ORACLE), "three readings", Ranges())
        yield "Shifted population, oracle of the usual ranges, three readings", _sum_runs(usual)
