"""What can be wrong with the spring that a sag check of a coil says is in it."""

from __future__ import annotations

from setup_rules.advice.coil_choice import told_limits_mm
from setup_rules.advice.wording import is_over_limit, rate_n_per_mm
from setup_rules.inference.coil_class import CoilRoom
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed
from setup_rules.types.errors import Problem
from setup_rules.types.request import FrontEnd, RearEnd
from setup_rules.types.result import SagCheck
from setup_rules.types.units import LBF_PER_IN_N_PER_M

#: A rate further than this factor from anything the bike could need is questioned (our estimate).
PLAUSIBLE_FACTOR = 3.0


def coil_problems(check: SagCheck, needed: tuple[float, float] | None) -> list[Problem]:
    """Return what is wrong with the rate of a check; `needed` bounds what the bike may need [N/m], where known."""
    if check.pressure_pa:
        return [Problem("pressure_psi", Message.of("sag_check.pressure_on_coil"))]
    if not check.spring_rate_n_per_mm:
        return [Problem("spring_rate_n_per_mm", Message.of("sag_check.rate_needed"))]
    return [] if needed is None else _rate_problems(check.spring_rate_n_per_mm, *needed)


def preload_question(end: FrontEnd | RearEnd, check: SagCheck) -> tuple[Problem, ...]:
    """Return the question that more preload than the end may have raises: a slip, or a spring to turn back at once."""
    if end.spring != "coil" or CoilRoom(end).stroke_needed_mm is not None:
        return ()
    limit = told_limits_mm(end)[1]
    if not is_over_limit(check.preload_mm, limit):
        return ()
    values = {"preload": as_typed(check.preload_mm), "limit": as_typed(limit)}
    return (Problem("preload_mm", Message.of("sag_check.preload_above_limit", **values), question=True),)


def _rate_problems(typed: float, low: float, high: float) -> list[Problem]:
    """Question a rate that no bike of this setup could need: as a rule pounds an inch were typed."""
    least, most = low / PLAUSIBLE_FACTOR, high * PLAUSIBLE_FACTOR
    if least <= 1000 * typed <= most:
        return []
    named = {"low": low, "high": high, "least": least, "most": most, "typed": 1000 * typed}
    values = {name: rate_n_per_mm(value) for name, value in named.items()}
    meant = typed * LBF_PER_IN_N_PER_M
    if least <= meant <= most:
        said = Message.of("sag_check.rate_other_unit", **values, rate=rate_n_per_mm(meant))
    else:
        said = Message.of("sag_check.rate_unlikely", **values)
    return [Problem("spring_rate_n_per_mm", said)]
