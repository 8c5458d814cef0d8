"""The sag check: what a measured sag says of the spring, and the pressure that follows from it."""

from __future__ import annotations

import math
from dataclasses import replace

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import SagLikelihood, sag_likelihood, weigh_draws
from setup_rules.inference.posterior import Posterior, prior
from setup_rules.types.constants import READING_SIGMA_MM
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.limits import MOST_READINGS
from setup_rules.types.request import EndName, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import SagCheck, TakenCheck
from setup_rules.types.units import PSI_PA

#: Readings of one check that lie further apart than this share of the travel are refused.
LARGEST_SPREAD = 0.15
#: Checks of one end that are learned from; beyond, the oldest is let go, since a spring wears and seals are renewed.
MOST_KEPT = 30
#: From above may lie over from below by reading error alone; beyond this many standard deviations it is refused.
SWAPPED_SIGMAS = 3.0
#: A pressure further than this factor from anything the spring could need is questioned.
PLAUSIBLE_FACTOR = 3.0
#: Up to here no pressure is questioned, however little the spring could need [Pa, gauge].
ALWAYS_TAKEN_PA = 30.0 * PSI_PA
#: What a number may have been meant in when it makes no sense in psi: unit and pascals for 1.
_OTHER_UNITS = (("bar", 100_000.0), ("kPa", 1_000.0))


def posterior_of(name: EndName, checks: tuple[TakenCheck, ...], chart: tuple[SagLikelihood, ...] = ()) -> Posterior:
    """Return what is known of one end, from the stated spreads, its chart and every check."""
    measured = tuple(
        sag_likelihood(taken, EndModel(name, end, taken.request))
        for taken in checks
        if taken.check.end == name and (end := _end_of(taken.request, name)) is not None
    )
    return weigh_draws((*chart, *measured)) if measured or chart else prior()


def _end_of(request: SetupRequest, name: EndName) -> FrontEnd | RearEnd | None:
    return request.front if name == "front" else request.rear


def check_problems(
    request: SetupRequest, check: SagCheck, needed_pa: tuple[float, float] | None = None
) -> tuple[Problem, ...]:
    """Return what is wrong with a sag check of a request, each with what to do; empty when it can be used.

    `needed_pa` is the lowest and the highest pressure [Pa, gauge] that the end may need, where that is known.
    """
    end = _end_of(request, check.end)
    if end is None:
        return (Problem("end", f"This setup has no {check.end} end. Choose the end that it was made for."),)
    groups = {
        "readings_mm": check.readings_mm,
        "readings_from_above_mm": check.readings_from_above_mm,
        "readings_from_below_mm": check.readings_from_below_mm,
    }
    problems = [p for field, values in groups.items() for p in _reading_problems(field, values, end.compression_mm)]
    count = sum(len(values) for values in groups.values())
    if count == 0:
        problems.append(Problem("readings_mm", "Enter at least one sag reading."))
    if count > MOST_READINGS:
        problems.append(Problem("readings_mm", f"{count} readings are more than {MOST_READINGS}. Enter the last ones."))
    if not problems:
        problems.extend(_agreement_problems(check, end.compression_mm))
    if not 0.0 < check.pressure_pa < (4e6 if needed_pa is None else math.inf):
        problems.append(Problem("pressure_psi", "Enter the pressure that the pump read, above 0 psi, as set now."))
    elif needed_pa is not None:
        problems.extend(_pressure_problems(check, *needed_pa))
    return tuple(problems)


def _pressure_problems(check: SagCheck, low_pa: float, high_pa: float) -> list[Problem]:
    """Question a pressure that no spring of this setup could need: as a rule another unit was typed."""
    least, most = min(low_pa / PLAUSIBLE_FACTOR, ALWAYS_TAKEN_PA), max(high_pa * PLAUSIBLE_FACTOR, ALWAYS_TAKEN_PA)
    if least <= check.pressure_pa <= most:
        return []
    typed, unit = check.pressure_pa / PSI_PA, "fork" if check.end == "front" else "shock"
    message = (
        f"A pressure of {typed:.4g} psi is far from the {low_pa / PSI_PA:.0f} to {high_pa / PSI_PA:.0f} psi that this "
        f"{unit} could need; {least / PSI_PA:.0f} to {most / PSI_PA:.0f} psi is taken. "
    )
    for symbol, factor_pa in _OTHER_UNITS:
        if least <= typed * factor_pa <= most:
            message += f"If the pump reads {symbol}, that is {typed * factor_pa / PSI_PA:.0f} psi: enter that. "
    return [Problem("pressure_psi", message + "Read the pump once more, and check its unit and the bike's setup.")]


def _reading_problems(field: str, values: tuple[float, ...], travel_mm: float) -> list[Problem]:
    problems = []
    for value in values:
        if not value > 0.0:
            message = (
                f"A sag of {value:g} mm means that the spring did not move: check that the rider stood on the bike, "
                f"that the lockout is off and that the O-ring was pushed down, then measure again."
            )
            problems.append(Problem(field, message))
        elif not value < travel_mm:
            message = (
                f"A sag of {value:g} mm is not less than the {travel_mm:g} mm that the spring has. Measure the gap "
                f"between seal and O-ring in mm, and check the travel."
            )
            problems.append(Problem(field, message))
    return problems


def _agreement_problems(check: SagCheck, travel_mm: float) -> list[Problem]:
    allowed = LARGEST_SPREAD * travel_mm
    for field in ("readings_mm", "readings_from_above_mm", "readings_from_below_mm"):
        values = getattr(check, field)
        if values and max(values) - min(values) > allowed:
            message = (
                f"Readings from {min(values):g} to {max(values):g} mm lie {max(values) - min(values):g} mm apart, more "
                f"than {allowed:.0f} mm (15 % of the travel). Bounce the bike, stand still for 30 s and measure again."
            )
            return [Problem(field, message)]
    above, below = check.readings_from_above_mm, check.readings_from_below_mm
    if above and below:
        gap = sum(below) / len(below) - sum(above) / len(above)
        if gap < -SWAPPED_SIGMAS * math.sqrt(2.0) * READING_SIGMA_MM[check.end].value:
            message = (
                "The readings from above are larger than those from below, but friction makes them smaller. Check that "
                "the two rows are not swapped: from above means eased on, from below means pushed down and let up."
            )
            return [Problem("readings_from_above_mm", message)]
        if gap > 2 * allowed:
            message = (
                f"From below reads {gap:.0f} mm more than from above: more friction than a healthy spring has. Clean "
                f"and oil the seals, measure again, and have a qualified mechanic look at it if it stays."
            )
            return [Problem("readings_from_below_mm", message)]
    return []


def with_check(
    request: SetupRequest,
    checks: tuple[TakenCheck, ...],
    check: SagCheck,
    needed_pa: tuple[float, float] | None = None,
) -> tuple[TakenCheck, ...]:
    """Return the checks with one more, or refuse it; beyond `MOST_KEPT` of one end its oldest is let go.

    `needed_pa` is as in `check_problems`.

    Raises
    ------
    RequestError
        When the check cannot be used; `problems` says why and what to do.
    """
    problems = check_problems(request, check, needed_pa)
    if problems:
        raise RequestError(problems)
    kept = list(checks)
    if sum(1 for taken in kept if taken.check.end == check.end) >= MOST_KEPT:
        kept.remove(next(taken for taken in kept if taken.check.end == check.end))
    return (*kept, TakenCheck(check=replace(check), request=request))
