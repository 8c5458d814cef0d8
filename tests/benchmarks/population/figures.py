"""What the population shows: figures per kind and datum and over all, for first guesses, runs and keeping on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from .asking import Answer, first_answer
from .draw import KINDS, Case
from .habits import CHECKS, Kept, Run, group_of
from .oracle import make_oracle
from .spring import DATUMS

OVERALL = "all"
OFF_LIMITS = "all off the limits"
#: One coil fork for four air forks and four shocks: what comes to a workshop, our estimate.
SHOP = "a shop's mix, off the limits"
_COIL_STEP = 4
AT_LIMIT = "at a pressure limit"
GROUPS = tuple(f"{kind}, {datum.replace('_', ' ')}" for kind in KINDS for datum in DATUMS)
FALSE_DONE = 3.0
"""Per cent of travel off the target from which a "done" was false."""
FAR_OFF = 6.0
T = TypeVar("T", "Guess", "Run", "Kept")


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """One first answer beside the truth and the oracle. Misses in per cent of travel; a side is -1, 0 in band, 1."""

    group: str
    miss: float
    oracle_miss: float
    log_error: float
    pressure_side: int
    oracle_side: int
    wider: float
    """the tool's band of pressure over the oracle's, as ratio of their logarithms"""
    sag_side: int
    at_limit: bool


def first_guess(case: Case, known: bool = False) -> tuple[Answer, Guess]:
    """Ask for a first pressure and hold it against what this spring needs, and against the oracle's."""
    request = case.told.request(case.inside() if known else None)
    answer = first_answer(request, case.told.end, case.datum)
    oracle = make_oracle(case, answer.target)
    if known:
        oracle.know_inside(case)
    needed, low_high = case.needed_psi(answer.target), oracle.pressure_band()
    gap = case.shown_gap_mm(answer.pressure)
    return answer, Guess(
        group=group_of(case),
        miss=case.percent(gap - answer.target),
        oracle_miss=case.percent(case.shown_gap_mm(oracle.pressure()) - answer.target),
        log_error=math.log(answer.pressure / needed),
        pressure_side=side_of(needed, answer.pressure_low, answer.pressure_high),
        oracle_side=side_of(needed, *low_high),
        wider=math.log(answer.pressure_high / answer.pressure_low) / math.log(low_high[1] / low_high[0]),
        sag_side=side_of(gap, answer.sag_low, answer.sag_high),
        at_limit=answer.at_limit,
    )


def side_of(value: float, low: float, high: float) -> int:
    """Return -1 below, 0 inside, 1 above a band."""
    return -1 if value < low else 1 if value > high else 0


def percent(values: Sequence[bool]) -> float:
    """Return how many hold, in per cent."""
    return 100.0 * float(np.mean(values)) if len(values) else math.nan


def guess_figures(guesses: Sequence[Guess]) -> dict[str, float]:
    """Sum up first guesses: misses in per cent of travel, shares in per cent of cases."""
    misses, best = np.array([g.miss for g in guesses]), np.array([g.oracle_miss for g in guesses])
    (median, p90), (least, least_p90) = (np.percentile(abs(values), (50, 90)) for values in (misses, best))
    errors = np.array([g.log_error for g in guesses])
    return {
        "cases": float(len(guesses)),
        "median miss": float(median),
        "oracle median": float(least),
        "median ratio": float(median / least),
        "p90 miss": float(p90),
        "oracle p90": float(least_p90),
        "p90 ratio": float(p90 / least_p90),
        "mean miss": float(np.mean(misses)),
        "psi bias %": 100.0 * float(np.median(errors)),
        "needed in band": percent([g.pressure_side == 0 for g in guesses]),
        "needs less": percent([g.pressure_side < 0 for g in guesses]),
        "oracle in band": percent([g.oracle_side == 0 for g in guesses]),
        "band/oracle's": float(np.median([g.wider for g in guesses])),
        "gap in band": percent([g.sag_side == 0 for g in guesses]),
    }


def run_figures(runs: Sequence[Run]) -> dict[str, float]:
    """Sum up one habit: re-pumps, shares in per cent of cases, misses in per cent of travel."""
    banded, done = [r for r in runs if r.in_band is not None], [r for r in runs if r.finished]
    one, last = (abs(np.array([getattr(r, name) for r in runs])) for name in ("miss_after_one", "final_miss"))
    return {
        "cases": float(len(runs)),
        "re-pumps": float(np.mean([r.repumps for r in runs])),
        "done <=1": percent([r.done_after_one for r in runs]),
        "true done <=1": percent([r.within_after_one for r in runs]),
        "p90 miss <=1": float(np.percentile(one, 90)),
        "p90 final": float(np.percentile(last, 90)),
        "worst final": float(np.max(last)),
        "final > 6 %": percent([value > FAR_OFF for value in last]),
        "false done": percent([abs(r.final_miss) > FALSE_DONE for r in done]),
        "gap in band": percent([bool(r.in_band) for r in banded]),
        "below band": percent([r.below_band for r in banded]),
        "unfinished": percent([not r.finished for r in runs]),
        "refused": percent([r.refusals > 0 for r in runs]),
        "target moved": percent([r.target_moved for r in runs]),
    }


def kept_figures(kept: Sequence[Kept]) -> dict[str, float]:
    """Sum up people who keep checking: how often the band held the truth, in per cent, by the number of checks."""
    held = {n: [k.in_band[n] for k in kept if n in k.in_band] for n in CHECKS}
    return {"cases": float(len(kept)), **{f"after {n}": percent(values) for n, values in held.items()}}


def by_group(rows: Sequence[T]) -> dict[str, list[T]]:
    """Return the rows of each kind and datum and of all, off the pressure limits, then those at a limit."""
    free = [row for row in rows if not row.at_limit]
    parts = {group: [row for row in free if row.group == group] for group in GROUPS}
    coil = [row for row in free if "coil" in row.group]
    parts[SHOP] = [row for row in free if "coil" not in row.group] + coil[::_COIL_STEP]
    parts |= {OFF_LIMITS: free, AT_LIMIT: [row for row in rows if row.at_limit], OVERALL: list(rows)}
    return {name: part for name, part in parts.items() if part}
