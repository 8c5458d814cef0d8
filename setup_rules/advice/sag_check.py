"""The sag check: what a measured sag says of the spring, and the pressure that follows from it."""

from __future__ import annotations

import math
import statistics
from dataclasses import replace

from setup_rules.inference.likelihood import Evidence, Learned, Rider, evidence_from, expect, learn
from setup_rules.inference.posterior import Belief, EndModel, prior_belief
from setup_rules.inference.pressure_chart import chart_evidence
from setup_rules.types.constants import READING_SIGMA_MM
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.limits import MOST_READINGS
from setup_rules.types.request import EndName, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import SagCheck, TakenCheck
from setup_rules.types.units import PSI_PA

#: Readings of one check that lie further apart than this share of the travel are refused.
LARGEST_SPREAD = 0.25
#: Readings that lie further apart than this are taken with a caution: a sticky fork.
STICKY_SPREAD = 0.10
#: How far a reading may lie from what was expected, in standard deviations, before it is questioned: by itself, and
#: where a slip of the pen explains it (our estimate).
FAR_SIGMAS = 3.5
ODD_SIGMAS = 2.0
#: What is expected is never taken to be known better than this [mm] (our estimate).
LEAST_SIGMA_MM = {"front": 2.5, "rear": 1.5}
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


def learned_of(name: EndName, checks: tuple[TakenCheck, ...], chart: tuple[Evidence, ...] = ()) -> Learned:
    """Return what is believed of one end, from the stated spreads, its chart and every check."""
    evidence = tuple(
        evidence_from(taken, EndModel(name, end, taken.request))
        for taken in checks
        if taken.check.end == name and not taken.struck and (end := _end_of(taken.request, name)) is not None
    )
    return (
        learn((*chart, *evidence))
        if evidence or chart
        else Learned(prior_belief(), prior_belief().weight, Rider.unknown())
    )


def belief_of(name: EndName, checks: tuple[TakenCheck, ...], chart: tuple[Evidence, ...] = ()) -> Belief:
    """Return the belief of `learned_of` alone."""
    return learned_of(name, checks, chart).belief


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
        if value == 0.0 and field == "readings_from_above_mm":
            continue  # eased on, the spring did not move: that says something of its friction
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
                f"than {allowed:.0f} mm (25 % of the travel). Bounce the bike, stand still for 30 s and measure again."
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


def question(request: SetupRequest, checks: tuple[TakenCheck, ...], check: SagCheck) -> Problem | None:
    """Return the question that readings far from what was expected raise, None where they are believable.

    A reading is questioned when it lies more than `FAR_SIGMAS` off, or more than `ODD_SIGMAS` where a slip of the pen
    explains it: centimetres or inches for millimetres, swapped digits, a digit too many or too few.
    """
    end = _end_of(request, check.end)
    if check.confirm or end is None:
        return None
    model = EndModel(check.end, end, request)
    evidence = evidence_from(TakenCheck(check=check, request=request), model)
    expected = expect(learned_of(check.end, checks, chart_evidence(model)), evidence)
    read = middle_reading_mm(check)
    least_mm = LEAST_SIGMA_MM[check.end]
    sigma = math.hypot(expected.sigma_m * 1000, least_mm)
    off = abs(read - expected.reading_m * 1000) / sigma
    if off <= ODD_SIGMAS:
        return None
    slip = _likely_slip(read, expected.reading_m * 1000, sigma)
    if off <= FAR_SIGMAS and slip is None:
        return None
    low, high = (max(0.0, expected.reading_m * 1000 + side * 2.0 * sigma) for side in (-1.0, 1.0))
    message = (
        f"A sag of {read:g} mm is far from the {low:.0f} to {high:.0f} mm expected at this pressure. "
        + (f"Did you mean {slip}? " if slip else "")
        + "Measure again and correct it, or keep it."
    )
    return Problem(_first_field(check), message, question=True)


def _first_field(check: SagCheck) -> str:
    fields = ("readings_mm", "readings_from_above_mm", "readings_from_below_mm")
    return next(field for field in fields if getattr(check, field))


def _likely_slip(read_mm: float, expected_mm: float, sigma_mm: float) -> str | None:
    """Return what was probably meant by a reading, None where no slip of the pen explains it."""
    digits = f"{read_mm:g}"
    candidates = [
        (f"{10 * read_mm:g} mm (that is {read_mm:g} cm)", 10.0 * read_mm),
        (f"{25.4 * read_mm:.0f} mm (that is {read_mm:g} in)", 25.4 * read_mm),
        (f"{0.1 * read_mm:g} mm", 0.1 * read_mm),
    ]
    if digits.isdigit() and len(digits) == 2 and digits[0] != digits[1]:
        candidates.append((f"{digits[::-1]} mm", float(digits[::-1])))
    meant = [(abs(value - expected_mm), words) for words, value in candidates]
    miss, words = min(meant)
    return words if miss <= 1.5 * sigma_mm else None


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
    if not problems and (asked := question(request, checks, check)):
        problems = (asked,)
    if problems:
        raise RequestError(problems)
    kept = list(checks)
    if sum(1 for taken in kept if taken.check.end == check.end) >= MOST_KEPT:
        kept.remove(next(taken for taken in kept if taken.check.end == check.end))
    return (*kept, TakenCheck(check=replace(check), request=request))


def middle_reading_mm(check: SagCheck) -> float:
    """Return what a check reads [mm]: the middle between both sides where there are both, else of all readings."""
    if check.is_two_sided:
        sides = (check.readings_from_above_mm, check.readings_from_below_mm)
        return sum(statistics.median(side) for side in sides) / 2.0
    return statistics.median((*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm))
