"""The answer for an end with a coil main spring: rate and preload, and after a sag check whether they stay."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final, Literal

from setup_rules.advice.coil_cautions import coil_cautions
from setup_rules.advice.coil_choice import find_coils, preload_step_mm, preload_steps_mm, told_limits_mm, with_preload
from setup_rules.advice.coil_reasons import coil_reasons
from setup_rules.advice.end_answer import EndAnswer
from setup_rules.advice.sag_check import check_carried_mm
from setup_rules.advice.start_parts import aim_of, standing_parts
from setup_rules.advice.stop_rule import Offer, choose_offer, near_m
from setup_rules.advice.wording import is_over_limit
from setup_rules.inference.coil_class import CoilRoom
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Learned
from setup_rules.inference.posterior import prior
from setup_rules.inference.start_setting import DrawnEnd, chance_near, wanted_setting
from setup_rules.types.request import SetupRequest
from setup_rules.types.result import CoilChoice, CoilSetup, EndSetup, Note, SagCheck

#: Two springs whose rates differ by no more than this share are the same spring, as its print can be read.
SAME_RATE = 0.005


def answer_coil(model: EndModel, learned: Learned, used: int, latest: SagCheck | None) -> EndAnswer:
    """Return the answer for an end with a coil main spring; the spring of the check `latest` is kept if done."""
    result = _end_setup(model, learned, used, None)
    settled, carried_mm = None, None
    if latest is not None:
        carried_mm = check_carried_mm(model, latest, learned.posterior)
        result, settled = _settle(model, learned, used, latest, result, carried_mm)

    def reasons(share: float) -> tuple[Note, ...]:
        return coil_reasons(model, result, share)

    return EndAnswer(result, coil_cautions(model, result), reasons, settled, carried_mm)


def with_fitted(request: SetupRequest, check: SagCheck) -> SetupRequest:
    """Return the request with the spring that a check was taken with as the one that is fitted; as it was for air."""
    end = request.front if check.end == "front" else request.rear
    if end is None or end.spring != "coil" or check.spring_rate_n_per_mm is None:
        return request
    if check.end == "front" and request.front is not None:
        return replace(request, front=replace(request.front, fitted_rate_n_per_mm=check.spring_rate_n_per_mm))
    if request.rear is not None:
        return replace(request, rear=replace(request.rear, fitted_rate_n_per_mm=check.spring_rate_n_per_mm))
    return request


def _settle(
    model: EndModel, learned: Learned, used: int, check: SagCheck, moved: EndSetup, carried_mm: float
) -> tuple[EndSetup, bool]:
    """Keep the spring and its preload where the sag is likely good enough, or no change would be much better."""
    rate = model.checked_value(check)
    # More preload than is allowed is never kept, nor is a spring whose coils would touch.
    if moved.coil is None or not moved.coil.fits or is_over_limit(check.preload_mm, moved.coil.preload_max_mm):
        return moved, False
    kept = _end_setup(model, learned, used, (rate, check.preload_mm))
    target_m, near, drawn = kept.sag_target_mm / 1000, near_m(kept), DrawnEnd.of(model, learned.posterior)

    def chance(rate_n_per_m: float, preload_mm: float) -> float:
        return chance_near(with_preload(drawn, preload_mm), rate_n_per_m, target_m, near)

    other = abs(moved.coil.rate_n_per_m - rate) > SAME_RATE * rate
    offer = Offer(
        kept=kept,
        moved=moved,
        kept_chance=chance(rate, check.preload_mm),
        moved_chance=chance(moved.coil.rate_n_per_m, moved.coil.preload_mm),
        # What a turn of the adjuster hardly shows is not worth it.
        same=not other and abs(moved.coil.preload_mm - check.preload_mm) <= preload_step_mm(model.end),
        firmer=moved.sag_expected_mm < kept.sag_expected_mm,
        carried_mm=carried_mm,
    )
    return choose_offer(model, check, offer)


def _end_setup(model: EndModel, learned: Learned, used: int, kept: tuple[float, float] | None) -> EndSetup:
    """Return the numbers of an end; `kept` is a spring that stays, as (rate [N/m], preload [mm])."""
    end, (percent, target_m) = model.end, aim_of(model)
    coils = find_coils(model, learned.posterior, target_m)
    rate, preload = (coils.chosen.rate_n_per_m, coils.chosen.preload_mm) if kept is None else kept
    drawn = with_preload(DrawnEnd.of(model, learned.posterior), preload)
    first = _first_guess(model, target_m) if used else None
    parts, (least, most) = standing_parts(drawn, learned, used, rate), told_limits_mm(end)
    bind = CoilRoom(end).bind_mm < CoilRoom(end).entered_max_mm
    result = EndSetup(
        **parts,
        sag_target_percent=percent,
        **_NO_AIR,
        force_factor=None if first is None else coils.wanted.middle / first,
        coil=CoilSetup(
            rate_n_per_m=rate,
            rate_wanted_n_per_m=coils.wanted.middle,
            rate_low_n_per_m=max(0.0, coils.wanted.low),
            rate_high_n_per_m=coils.wanted.high,
            origin=_origin(model, rate, coils.choices),
            preload_mm=preload,
            preload_turns=None if end.preload_pitch_mm is None else preload / end.preload_pitch_mm,
            preload_min_mm=least,
            preload_max_mm=most,
            preload_max_assumed=end.preload_mm_max is None and not bind,
            choices=coils.choices if CoilRoom(end).stroke_needed_mm is None else (),
            preload_max_bind=bind,
            stroke_needed_mm=CoilRoom(end).stroke_needed_mm,
        ),
    )
    return replace(result, limited=not result.reaches_target or CoilRoom(end).stroke_needed_mm is not None)


#: An end with a coil has no air to set.
_NO_AIR: Final[dict[str, Any]] = {
    "pressure_pa": 0.0,
    "pressure_low_pa": 0.0,
    "pressure_high_pa": 0.0,
    "ride_pressure_pa": 0.0,
    "max_pressure_pa": 0.0,
    "max_pressure_assumed": False,
    "min_pressure_pa": 0.0,
    "min_pressure_assumed": False,
    "volume_spacers": 0,
}


def _origin(model: EndModel, rate: float, choices: tuple[CoilChoice, ...]) -> Literal["exact", "stocked", "fitted"]:
    fitted = model.end.fitted_rate_n_per_mm
    if fitted is not None and abs(1000 * fitted - rate) <= SAME_RATE * rate:
        return "fitted"
    return "stocked" if any(choice.rate_n_per_m == rate for choice in choices) else "exact"


def _first_guess(model: EndModel, target_m: float) -> float:
    """Return the rate [N/m] for a sag [m] at the least preload with nothing but the stated spreads."""
    drawn = with_preload(DrawnEnd.of(model, prior()), preload_steps_mm(model.end)[0])
    return wanted_setting(drawn, target_m).middle
