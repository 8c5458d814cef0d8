"""What the population shows: figures per group and over all, for the first guess and for each habit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from .asking import Answer, first_answer
from .draw import GROUPS, Case
from .habits import Run

OVERALL = "all"
OFF_LIMITS = "all off the limits"
AT_LIMIT = "at a pressure limit"
T = TypeVar("T", "Guess", "Run")


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """One first answer beside the truth. `miss` per cent of travel, `log_error` of the pressure."""

    group: str
    miss: float
    log_error: float
    pressure_side: int
    sag_side: int
    at_limit: bool


def first_guess(case: Case, known: bool) -> tuple[Answer, Guess]:
    """Ask for a first pressure and hold it against what this spring needs."""
    answer = first_answer(case.known if known else case.request, case.end)
    needed = case.needed_psi(1e-3 * answer.target)
    sag = 1e3 * case.true_sag(case.gauge_pa(answer.pressure))
    return answer, Guess(
        group=case.group,
        miss=0.1 * (sag - answer.target) / case.spring.travel,
        log_error=math.log(answer.pressure / max(needed, 1.0)),
        pressure_side=_side(needed, answer.pressure_low, answer.pressure_high),
        sag_side=_side(sag, answer.sag_low, answer.sag_high),
        at_limit=answer.at_limit,
    )


def _side(value: float, low: float, high: float) -> int:
    return -1 if value < low else 1 if value > high else 0


def _percent(values: Sequence[bool]) -> float:
    return 100.0 * float(np.mean(values)) if len(values) else math.nan


def guess_figures(guesses: Sequence[Guess]) -> dict[str, float]:
    """Sum up first guesses: misses in per cent of travel, shares in per cent of cases."""
    misses = np.array([g.miss for g in guesses])
    errors = np.array([g.log_error for g in guesses])
    return {
        "cases": float(len(guesses)),
        "median miss": float(np.median(np.abs(misses))),
        "p90 miss": float(np.percentile(np.abs(misses), 90)),
        "mean miss": float(np.mean(misses)),
        "pressure in band": _percent([g.pressure_side == 0 for g in guesses]),
        "needs less": _percent([g.pressure_side < 0 for g in guesses]),
        "needs more": _percent([g.pressure_side > 0 for g in guesses]),
        "sag in band": _percent([g.sag_side == 0 for g in guesses]),
        "bias %": 100.0 * float(np.median(errors)),
        "spread %": 100.0 * float(np.percentile(errors, 84) - np.percentile(errors, 16)) / 2.0,
        "at limit": _percent([g.at_limit for g in guesses]),
    }


def run_figures(runs: Sequence[Run]) -> dict[str, float]:
    """Sum up one habit: re-pumps, shares in per cent of cases, misses in per cent of travel."""
    misses = np.array([r.miss_after_one for r in runs])
    banded = [r for r in runs if r.in_band is not None]
    return {
        "cases": float(len(runs)),
        "re-pumps": float(np.mean([r.repumps for r in runs])),
        "says done <=1": _percent([r.done_after_one for r in runs]),
        "true done <=1": _percent([r.within_after_one for r in runs]),
        "seen done <=1": _percent([r.seen_after_one for r in runs]),
        "p90 miss <=1": float(np.percentile(np.abs(misses), 90)),
        "mean miss <=1": float(np.mean(misses)),
        "in band": _percent([bool(r.in_band) for r in banded]),
        "below band": _percent([r.below_band for r in banded]),
        "unfinished": _percent([not r.finished for r in runs]),
        "refused": _percent([r.refusals > 0 for r in runs]),
        "at limit": _percent([r.at_limit for r in runs]),
    }


def by_group(rows: Sequence[T]) -> dict[str, list[T]]:
    """Return the rows of each group and of all, kept off those that a pressure limit holds back, and then these."""
    free = [row for row in rows if not row.at_limit]
    parts = {group: [row for row in free if row.group == group] for group in GROUPS}
    parts |= {OFF_LIMITS: free, AT_LIMIT: [row for row in rows if row.at_limit], OVERALL: list(rows)}
    return {name: part for name, part in parts.items() if part}
