"""Which coil spring, with how much preload: the rates that are to be had beside the rate that would be exact.

Sag is the gap at the O-ring. A straight spring that already gives under the bike alone has the same gap at any preload,
so the first millimetres of preload on a fork may do nothing: the search goes through the gap itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final

from setup_rules.advice.wording import rate_values
from setup_rules.inference.coil_class import preload_limits_mm
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import Posterior
from setup_rules.inference.start_setting import Banded, DrawnEnd, expected_sag_m, wanted_setting
from setup_rules.types.constants import PRELOAD_STEP, PRELOAD_STEP_TURNS
from setup_rules.types.request import FrontEnd, RearEnd
from setup_rules.types.result import CoilChoice

#: Sags within this share of the travel from the target are equally good: then the least preload counts (our estimate).
CLOSE_SHARE: Final = 0.005
#: Preload is told in tenths of a millimetre.
TOLD_PER_MM: Final = 10.0
#: So many stocked rates on either side of the exact one are looked at.
NEIGHBOURS: Final = 2
#: Sag that is good enough: the larger of 2 mm and 2 % of the travel, as `EndSetup.tolerance_mm`.
_TOLERANCE: Final = (2.0, 0.02)


@dataclass(frozen=True, slots=True)
class Coils:
    """The springs to choose from: the exact rate at the least preload [N/m] with its band, the nearest ones, one."""

    wanted: Banded
    choices: tuple[CoilChoice, ...]
    chosen: CoilChoice


def find_coils(model: EndModel, posterior: Posterior, target_m: float) -> Coils:
    """Return the springs for a target sag: the fitted one where preload brings it there, else the best stocked one."""
    steps = preload_steps_mm(model.end)
    drawn = with_preload(DrawnEnd.of(model, posterior), steps[0])
    wanted = wanted_setting(drawn, target_m)
    choices = tuple(
        _choice(drawn, rate, target_m, steps) for rate in _neighbours(model.end.stocked_rates_n_per_mm or (), wanted)
    )
    fitted_rate = model.end.fitted_rate_n_per_mm
    fitted = None if fitted_rate is None else _choice(drawn, 1000 * fitted_rate, target_m, steps)
    return Coils(wanted, choices, _best(drawn, wanted, choices, fitted, target_m, steps))


def _best(
    drawn: DrawnEnd,
    wanted: Banded,
    choices: tuple[CoilChoice, ...],
    fitted: CoilChoice | None,
    target_m: float,
    steps: tuple[float, ...],
) -> CoilChoice:
    close_mm = CLOSE_SHARE * drawn.model.travel_m * 1000

    def miss_mm(choice: CoilChoice) -> float:
        return abs(choice.sag_mm - target_m * 1000)

    if fitted is not None and (
        (miss_mm(fitted) <= close_mm and not _is_spent(drawn.model.end, fitted, steps))
        or (not choices and fitted.reaches)
    ):
        return fitted
    if not choices:  # nothing is said of what is to be had: the exact rate at the least preload
        return _choice(drawn, max(wanted.middle, drawn.held.springs.least_acting), target_m, steps[:1])
    close = [one for one in choices if miss_mm(one) <= close_mm]
    best = min(close, key=lambda one: (one.preload_mm, miss_mm(one))) if close else min(choices, key=miss_mm)
    if (
        fitted is not None
        and close
        and best.preload_mm < fitted.preload_mm
        and _is_spent(drawn.model.end, fitted, steps)
    ):
        return best
    return fitted if fitted is not None and miss_mm(fitted) <= miss_mm(best) else best


def _is_spent(end: FrontEnd | RearEnd, choice: CoilChoice, steps: tuple[float, ...]) -> bool:
    """Return whether a spring takes all of a greatest preload that is only our estimate."""
    return end.preload_mm_max is None and choice.preload_mm >= steps[-1] > steps[0]


def _neighbours(stocked_n_per_mm: tuple[float, ...], wanted: Banded) -> tuple[float, ...]:
    """Return the stocked rates nearest to the wanted one on either side [N/m], rising."""
    # Two that show alike are one, as 78.81 N/mm and 450 lb/in.
    rates = list({tuple(rate_values(1000 * rate).values()): 1000 * rate for rate in stocked_n_per_mm}.values())
    softer = [rate for rate in rates if rate <= wanted.middle]
    firmer = [rate for rate in rates if rate > wanted.middle]
    return (*softer[-NEIGHBOURS:], *firmer[:NEIGHBOURS])


def _choice(drawn: DrawnEnd, rate: float, target_m: float, steps: tuple[float, ...]) -> CoilChoice:
    """Return a spring with the preload among `steps` that brings its sag nearest to the target."""

    def sag_mm(preload_mm: float) -> float:
        return 1000 * expected_sag_m(with_preload(drawn, preload_mm), rate, target_m).middle

    target_mm, low, high = 1000 * target_m, 0, len(steps) - 1
    least = sag_mm(steps[0])
    while low < high:  # more preload never adds sag: the first step at or below the target
        middle = (low + high) // 2
        low, high = (low, middle) if sag_mm(steps[middle]) <= target_mm else (middle + 1, high)
    # The first step stands for all that do nothing: a spring that gives under the bike alone.
    near = {place: sag_mm(steps[place]) for place in {max(low - 1, 0), low}} | {0: least}
    place = min(near, key=lambda one: (round(abs(near[one] - target_mm), 3), one))
    reaches = abs(near[place] - target_mm) <= max(_TOLERANCE[0], _TOLERANCE[1] * 1000 * drawn.model.travel_m)
    return CoilChoice(
        rate_n_per_m=rate,
        least_preload_sag_mm=least,
        preload_mm=steps[place],
        sag_mm=near[place],
        reaches=reaches,
    )


def with_preload(drawn: DrawnEnd, preload_mm: float) -> DrawnEnd:
    """Return every drawn spring of an end with another preload [mm]; its loads stay as they were worked out."""
    model, springs = replace(drawn.model, preload_m=preload_mm / 1000), drawn.held.springs
    preloaded: Any = replace(springs, preload_m=preload_mm / 1000)  # type: ignore[type-var]
    return replace(drawn, model=model, held=replace(drawn.held, springs=preloaded))


def preload_step_mm(end: FrontEnd | RearEnd) -> float:
    """Return the step in which preload is told [mm]: a quarter of a turn, or half a millimetre."""
    pitch = end.preload_pitch_mm
    return PRELOAD_STEP.value if pitch is None else PRELOAD_STEP_TURNS.value * pitch


def preload_steps_mm(end: FrontEnd | RearEnd) -> tuple[float, ...]:
    """Return the preloads [mm] that may be set, least first: whole steps inside the limits, or the limit alone.

    Examples
    --------
    >>> shock = RearEnd(stroke_mm=55.0, leverage_start=2.8, spring="coil", preload_mm_max=2.6)
    >>> preload_steps_mm(shock)
    (1.0, 1.5, 2.0, 2.5)
    """
    (least, most), step = told_limits_mm(end), preload_step_mm(end)
    first, last = math.ceil(least / step - 1e-9), math.floor(most / step + 1e-9)
    return tuple(round(step * count, 4) for count in range(first, last + 1)) or (most,)


def told_limits_mm(end: FrontEnd | RearEnd) -> tuple[float, float]:
    """Return the least and the greatest preload [mm], the greatest cut to the tenths in which it is told.

    A preload is told to a tenth: rounded up, it would pass a limit of 1.55 mm.

    Examples
    --------
    >>> told_limits_mm(RearEnd(stroke_mm=55.0, leverage_start=2.8, spring="coil", coil_stroke_mm=56.58))
    (1.0, 1.5)
    """
    least, most = preload_limits_mm(end)
    cut = math.floor(TOLD_PER_MM * most + 1e-6) / TOLD_PER_MM
    return min(least, cut), cut
