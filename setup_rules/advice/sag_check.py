"""The sag check: what a measured sag says of the spring, and the pressure that follows from it."""

from __future__ import annotations

import math
import statistics
from dataclasses import replace

from setup_rules.advice.coil_check import coil_problems, preload_question
from setup_rules.advice.wording import VARIANT, no_end, whole_psi
from setup_rules.inference.class_shift import class_log_weight
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Learned, SagLikelihood, expect, learn, sag_likelihood
from setup_rules.inference.posterior import Posterior
from setup_rules.inference.pressure_chart import chart_likelihoods
from setup_rules.inference.sag_elsewhere import carried_m
from setup_rules.inference.unit_memory import remembered_of
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, places, whole
from setup_rules.types.constants import READING_SIGMA_MM
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.limits import MOST_READINGS
from setup_rules.types.request import EndName, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import SagCheck, TakenCheck
from setup_rules.types.units import PSI_PA

#: Readings of one check that lie further apart than this share of the travel are refused.
LARGEST_SPREAD = 0.25
#: Readings that lie further apart than this share of the travel are taken with a caution: a sticky spring.
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


def learned_of(model: EndModel, checks: tuple[TakenCheck, ...]) -> Learned:
    """Return what is known of an end: stated spreads, its shop's other checks, its chart, its checks not struck out."""
    measured, chart, start = likelihoods_of(model.name, checks), chart_likelihoods(model), class_log_weight(model)
    known = bool(measured or chart or remembered_of(model.end) or start is not None)
    return learn((*chart, *measured), model, start) if known else Learned.before_checks(model)


def likelihoods_of(name: EndName, checks: tuple[TakenCheck, ...]) -> tuple[SagLikelihood, ...]:
    """Return the checks of one end that were not struck out, made ready."""
    return tuple(
        sag_likelihood(taken, EndModel(name, end, taken.request))
        for taken in checks
        if taken.check.end == name and not taken.struck and (end := _end_of(taken.request, name)) is not None
    )


def posterior_of(model: EndModel, checks: tuple[TakenCheck, ...]) -> Posterior:
    """Return the posterior of `learned_of` alone."""
    return learned_of(model, checks).posterior


def _end_of(request: SetupRequest, name: EndName) -> FrontEnd | RearEnd | None:
    return request.front if name == "front" else request.rear


def check_problems(
    request: SetupRequest, check: SagCheck, needed: tuple[float, float] | None = None
) -> tuple[Problem, ...]:
    """Return what is wrong with a sag check of a request, each with what to do; empty when it can be used.

    `needed` is the lowest and the highest pressure [Pa, gauge], of a coil the rate [N/m], that the end may need, where
    that is known.
    """
    end = _end_of(request, check.end)
    if end is None:
        return (no_end(check.end),)
    groups = {
        "readings_mm": check.readings_mm,
        "readings_from_above_mm": check.readings_from_above_mm,
        "readings_from_below_mm": check.readings_from_below_mm,
    }
    problems = [p for field, values in groups.items() for p in _reading_problems(field, values, end.compression_mm)]
    count = sum(len(values) for values in groups.values())
    if count == 0:
        problems.append(Problem("readings_mm", Message.of("sag_check.no_reading")))
    if count > MOST_READINGS:
        said = Message.of("sag_check.too_many", count=count, most=MOST_READINGS)
        problems.append(Problem("readings_mm", said))
    if not problems:
        problems.extend(_agreement_problems(check, end.compression_mm))
    return (*problems, *(coil_problems if end.spring == "coil" else _air_problems)(check, needed))


def _air_problems(check: SagCheck, needed_pa: tuple[float, float] | None) -> list[Problem]:
    if check.spring_rate_n_per_mm is not None or check.preload_mm:
        field = "preload_mm" if check.spring_rate_n_per_mm is None else "spring_rate_n_per_mm"
        return [Problem(field, Message.of("sag_check.rate_on_air"))]
    if not 0.0 < check.pressure_pa < (4e6 if needed_pa is None else math.inf):
        return [Problem("pressure_psi", Message.of("sag_check.no_pressure"))]
    return [] if needed_pa is None else _pressure_problems(check, *needed_pa)


def _pressure_problems(check: SagCheck, low_pa: float, high_pa: float) -> list[Problem]:
    """Question a pressure that no spring of this setup could need: as a rule another unit was typed."""
    least, most = min(low_pa / PLAUSIBLE_FACTOR, ALWAYS_TAKEN_PA), max(high_pa * PLAUSIBLE_FACTOR, ALWAYS_TAKEN_PA)
    if least <= check.pressure_pa <= most:
        return []
    typed, variant = check.pressure_pa / PSI_PA, VARIANT[check.end]
    values = {
        "typed": places(typed, 1),
        "low": whole_psi(low_pa),
        "high": whole_psi(high_pa),
        "least": whole_psi(least),
        "most": whole_psi(most),
    }
    for symbol, factor_pa in _OTHER_UNITS:
        if least <= typed * factor_pa <= most:
            key = f"sag_check.pressure_other_unit.{variant}"
            said = Message.of(key, **values, unit=symbol, psi=whole_psi(typed * factor_pa))
            return [Problem("pressure_psi", said)]
    return [Problem("pressure_psi", Message.of(f"sag_check.pressure_unlikely.{variant}", **values))]


def _reading_problems(field: str, values: tuple[float, ...], travel_mm: float) -> list[Problem]:
    problems = []
    for value in values:
        if value == 0.0 and field == "readings_from_above_mm":
            continue  # eased on, the spring did not move: that says something of its friction
        if not value > 0.0:
            problems.append(Problem(field, Message.of("sag_check.zero", sag=as_typed(value))))
        elif not value < travel_mm:
            said = Message.of("sag_check.beyond_travel", sag=as_typed(value), travel=as_typed(travel_mm))
            problems.append(Problem(field, said))
    return problems


def _agreement_problems(check: SagCheck, travel_mm: float) -> list[Problem]:
    allowed = LARGEST_SPREAD * travel_mm
    for field in ("readings_mm", "readings_from_above_mm", "readings_from_below_mm"):
        values = getattr(check, field)
        if values and max(values) - min(values) > allowed:
            return [Problem(field, _apart(min(values), max(values), allowed))]
    above, below = check.readings_from_above_mm, check.readings_from_below_mm
    if above and below:
        gap = sum(below) / len(below) - sum(above) / len(above)
        if gap < -SWAPPED_SIGMAS * math.sqrt(2.0) * READING_SIGMA_MM[check.end].value:
            return [Problem("readings_from_above_mm", Message.of("sag_check.swapped"))]
        if gap > allowed:
            return [Problem("readings_from_below_mm", Message.of("sag_check.friction", gap=whole(gap)))]
    return []


def _apart(low_mm: float, high_mm: float, allowed_mm: float) -> Message:
    low, high, apart = as_typed(low_mm), as_typed(high_mm), as_typed(high_mm - low_mm)
    return Message.of("sag_check.apart", low=low, high=high, apart=apart, allowed=whole(allowed_mm))


def _questions(request: SetupRequest, checks: tuple[TakenCheck, ...], check: SagCheck) -> tuple[Problem, ...]:
    """Return what a check is asked about: first the preload that may hurt somebody, then the readings."""
    end, asked = _end_of(request, check.end), question(request, checks, check)
    return (*(() if end is None else preload_question(end, check)), *(() if asked is None else (asked,)))


def question(request: SetupRequest, checks: tuple[TakenCheck, ...], check: SagCheck) -> Problem | None:
    """Return the question that readings far from what was expected raise, None where they are believable.

    A reading is questioned when it lies more than `FAR_SIGMAS` off, or more than `ODD_SIGMAS` where a slip of the pen
    explains it: centimetres or inches for millimetres, swapped digits.
    """
    end = _end_of(request, check.end)
    if check.confirm or end is None:
        return None
    model = EndModel(check.end, end, request)
    likelihood = sag_likelihood(TakenCheck(check=check, request=request), model)
    expected = expect(learned_of(model, checks), likelihood)
    middle_mm = expected.reading_m * 1000
    # A slip among good readings hides in their middle: the one that lies furthest off is looked at.
    read_mm = max((middle_reading_mm(check), *check.readings_mm), key=lambda mm: abs(mm - middle_mm))
    sigma_mm = math.hypot(expected.sigma_m * 1000, LEAST_SIGMA_MM[check.end])
    off, slip = abs(read_mm - middle_mm) / sigma_mm, _likely_slip(read_mm, middle_mm, sigma_mm)
    if off <= ODD_SIGMAS or (off <= FAR_SIGMAS and slip is None):
        return None
    low, high = (whole(max(0.0, middle_mm + side * 2.0 * sigma_mm)) for side in (-1.0, 1.0))
    values = {"read": as_typed(read_mm), "low": low, "high": high}
    with_what = "sag_check.far_off_coil" if end.spring == "coil" else "sag_check.far_off"
    if slip is None:
        said = Message.of(with_what, **values)
    else:
        kind, meant = slip
        said = Message.of(f"{with_what}_{kind}", **values, meant=as_typed(meant))
    return Problem(_first_field(check), said, question=True)


def _first_field(check: SagCheck) -> str:
    fields = ("readings_mm", "readings_from_above_mm", "readings_from_below_mm")
    return next(field for field in fields if getattr(check, field))


def _likely_slip(read_mm: float, expected_mm: float, sigma_mm: float) -> tuple[str, float] | None:
    """Return (kind, what was probably meant [mm]) of a slip of the pen, None where none explains a reading."""
    digits = f"{read_mm:g}"
    meant = {"centimetres": 10.0 * read_mm, "inches": float(round(25.4 * read_mm))}
    if digits.isdigit() and len(digits) == 2:
        meant["swapped"] = float(digits[::-1])
    kind = min(meant, key=lambda one: abs(meant[one] - expected_mm))
    return (kind, round(meant[kind], 1)) if abs(meant[kind] - expected_mm) <= 1.5 * sigma_mm else None


def middle_reading_mm(check: SagCheck) -> float:
    """Return what a check reads [mm]: the middle between both sides where there are both, else of all readings."""
    if check.is_two_sided:
        sides = (check.readings_from_above_mm, check.readings_from_below_mm)
        return sum(statistics.median(side) for side in sides) / 2.0
    return statistics.median((*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm))


def check_carried_mm(model: EndModel, check: SagCheck, posterior: Posterior) -> float:
    """Return how much more a check of an end reads [mm] than the same spring shows on the ride (`carried_m`)."""
    return 1000.0 * carried_m(sag_likelihood(TakenCheck(check=check, request=model.request), model), posterior)


def with_check(
    request: SetupRequest,
    checks: tuple[TakenCheck, ...],
    check: SagCheck,
    needed: tuple[float, float] | None = None,
) -> tuple[TakenCheck, ...]:
    """Return the checks with one more, or refuse it; beyond `MOST_KEPT` of one end its oldest is let go.

    `needed` is as in `check_problems`.

    Raises
    ------
    RequestError
        When the check cannot be used; `problems` says why and what to do.
    """
    problems = check_problems(request, check, needed)
    if not problems and not check.confirm:
        problems = _questions(request, checks, check)
    if problems:
        raise RequestError(problems)
    kept = list(checks)
    if sum(1 for taken in kept if taken.check.end == check.end) >= MOST_KEPT:
        own = [taken for taken in kept if taken.check.end == check.end]
        kept.remove(next((taken for taken in own if taken.struck), own[0]))
    return (*kept, TakenCheck(check=replace(check), request=request))
