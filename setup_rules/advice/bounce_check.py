"""The bounce check: damping ratio from what is seen after one firm dip, and the rebound clicks that follow from it."""

from __future__ import annotations

import math
from typing import Final

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import Posterior
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, places
from setup_rules.physics.damping import clicks_between, natural_frequency_hz, ratio_from_overshoot
from setup_rules.physics.linkage import wheel_rate_n_per_m
from setup_rules.types.constants import CLICK_RANGE, REBOUND_RATIO, RIDE_EXPONENT
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.feedback import SEEN
from setup_rules.types.request import FrontEnd
from setup_rules.types.result import BounceCheck, EndSetup

#: No single check moves the adjuster by more than this share of its clicks: look again before going further.
LARGEST_STEP: Final = 0.25


def bounce_problems(check: BounceCheck, total: int) -> tuple[Problem, ...]:
    """Return what is wrong with a bounce check on an adjuster of `total` clicks; empty when it can be used."""
    problems = []
    if not 0 <= check.clicks_out <= total:
        problems.append(Problem("clicks_out", Message.of("bounce.clicks", clicks=check.clicks_out, total=total)))
    ways = (check.seen is not None, check.dip_mm is not None, check.frames is not None)
    if sum(ways) != 1:
        problems.append(Problem("seen", Message.of("bounce.one_way")))
    elif check.seen is not None and check.seen not in SEEN:
        said = Message.of("problem.unknown_choice", found=repr(check.seen[:40]), choices=", ".join(SEEN))
        problems.append(Problem("seen", said))
    elif check.dip_mm is not None and not 0 < (check.beyond_mm or 0) < check.dip_mm <= 250:
        beyond, dip = as_typed(check.beyond_mm or 0), as_typed(check.dip_mm)
        problems.append(Problem("beyond_mm", Message.of("bounce.swing", beyond=beyond, dip=dip)))
    elif check.frames is not None:
        problems += _frame_problems(check.frames, check.frames_per_second or 0.0)
    return tuple(problems)


def _frame_problems(frames: int, rate: float) -> list[Problem]:
    seconds = frames / rate if rate else 0.0
    if 0.05 <= seconds <= 2.0:
        return []
    said = Message.of("bounce.frames", frames=frames, rate=as_typed(rate), seconds=places(seconds, 2))
    return [Problem("frames", said)]


def seen_ratio(check: BounceCheck, frequency_hz: float) -> float:
    """Return the damping ratio that a usable check stands for, with the end's natural frequency [Hz].

    From a swing: overshoot = beyond/dip. From frames: half a damped period passes from lowest to next highest point,
    so √(1 − ζ²) = 1/(2·t·f); faster than undamped reads as 0.1.
    """
    if check.seen is not None:
        return SEEN[check.seen]
    if check.dip_mm is not None and check.beyond_mm is not None:
        return ratio_from_overshoot(check.beyond_mm / check.dip_mm)
    if check.frames is None or check.frames_per_second is None:
        raise RequestError((Problem("seen", Message.of("bounce.one_way")),))
    slowed = check.frames_per_second / (2.0 * check.frames * frequency_hz)
    return math.sqrt(max(0.01, 1.0 - min(1.0, slowed) ** 2))


def wheel_frequency_hz(model: EndModel, posterior: Posterior, result: EndSetup) -> float:
    """Return the natural frequency [Hz] of the sprung mass on one end at its sag, in motion."""
    row, ride = posterior.centre, model.request.ride
    spring, site, sag_m = model.springs(row), model.setting.site(ride), result.sag_expected_mm / 1000
    acting = model.setting.acting(result.pressure_pa, ride)
    rate = float(spring.rate_n_per_m(sag_m, acting, site, RIDE_EXPONENT.value))
    if not isinstance(model.end, FrontEnd):
        ratio, slope = float(model.leverage.at(sag_m)), float(model.leverage.slope_at(sag_m))
        rate = wheel_rate_n_per_m(rate, float(spring.force_n(sag_m, acting, site)), ratio, slope)
    return natural_frequency_hz(max(rate, 1.0), float(model.sprung_kg(row)))


def clicks_to_turn(ratio: float, style: str, total: int, spread: float = CLICK_RANGE.value) -> int:
    """Return the clicks to turn (out above zero) from a damping ratio to the style's, at most a quarter of `total`.

    `spread` is the damping fully closed over fully open, where two points of the damper are known.
    """
    wanted = clicks_between(ratio, REBOUND_RATIO[style], total, spread)
    most = max(1, round(LARGEST_STEP * total))
    return min(max(round(wanted), -most), most)
