"""The sentences that go with a coil main spring: why its rate and preload, and what to do after a sag check."""

from __future__ import annotations

from setup_rules.advice.coil_choice import with_preload
from setup_rules.advice.reasons import click_reasons, load_reason, sag_reason
from setup_rules.advice.sag_check import check_carried_mm, middle_reading_mm
from setup_rules.advice.start_parts import aim_of
from setup_rules.advice.wording import VARIANT, is_over_limit, preload_values, rate_n_per_mm, rate_values
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Learned
from setup_rules.inference.start_setting import DrawnEnd, expected_sag_m
from setup_rules.messages.catalogue import sources
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, expected_mm, halves, turns, whole
from setup_rules.types import constants as c
from setup_rules.types.result import CoilSetup, EndSetup, Note, SagCheck


def coil_reasons(model: EndModel, result: EndSetup, load_share: float) -> tuple[Note, ...]:
    """Return why each number of an end with a coil main spring is what it is."""
    coil, name = result.coil, model.name
    if coil is None:
        return ()
    return (
        load_reason(model, result, load_share),
        Note(f"{name}_spring", Message.of(f"coil.spring.{VARIANT[name]}"), sources.COIL, name),
        _rate_reason(result, coil),
        *((_preload_reason(result, coil),) if coil.fits else ()),
        sag_reason(model, result),
        Note(f"{name}_gap", Message.of(f"gap.{result.datum}"), c.PRACTICE, name),
        *click_reasons(model, result),
        *_learned_reason(result),
    )


def _rate_reason(result: EndSetup, coil: CoilSetup) -> Note:
    low, high = rate_n_per_mm(coil.rate_low_n_per_m), rate_n_per_mm(coil.rate_high_n_per_m)
    checked = "checked" if result.checks_used else "first"
    values = rate_values(coil.rate_wanted_n_per_m) | {"low": low, "high": high}
    if not coil.fits:
        said = Message.of("coil.rate.no_spring", **values)
        return Note(f"{result.end}_rate", said, sources.COIL, result.end)
    said = Message.of(f"coil.rate.{checked}", **values)
    if coil.origin != "exact":
        values |= {f"chosen_{key}": value for key, value in rate_values(coil.rate_n_per_m).items()}
        said = Message.of(f"coil.rate.{checked}.{coil.origin}", **values)
    return Note(f"{result.end}_rate", said, sources.COIL, result.end)


def _preload_reason(result: EndSetup, coil: CoilSetup) -> Note:
    sag = expected_mm(result.sag_expected_mm, result.sag_target_mm)
    values = preload_values(coil.preload_mm)
    if coil.preload_mm <= coil.preload_min_mm:
        return Note(f"{result.end}_preload", Message.of("coil.preload.least", **values), c.PRACTICE, result.end)
    said = Message.of("coil.preload.set", **values, sag=sag)
    return Note(f"{result.end}_preload", said, sources.COIL, result.end)


def _learned_reason(result: EndSetup) -> tuple[Note, ...]:
    if not result.checks_used or result.force_factor is None or result.friction_n is None:
        return ()
    percent = 100 * (result.force_factor - 1)
    found = {"count": result.checks_used, "friction": whole(result.friction_n)}
    if abs(percent) < 1:
        said = Message.of(f"learned.as_assumed.{VARIANT[result.end]}", **found)
    else:
        said = Message.of(f"learned.{'more' if percent > 0 else 'less'}.coil", **found, percent=whole(abs(percent)))
    return (Note(f"{result.end}_learned", said, sources.LEARNED, result.end),)


def coil_check_advice(check: SagCheck, result: EndSetup, coil: CoilSetup, *, settled: bool) -> Note:
    """Return what to do with spring and preload after a sag check."""
    target, low, high = (halves(mm) for mm in (result.sag_target_mm, result.sag_low_mm, result.sag_high_mm))
    sag = expected_mm(result.sag_expected_mm, result.sag_target_mm)
    values = rate_values(coil.rate_n_per_m) | preload_values(coil.preload_mm)
    if coil.stroke_needed_mm is not None:
        return Note("sag_no_spring", no_spring_said(coil), sources.COIL, check.end)
    if settled and not result.reaches_target:
        said = Message.of("sag_at_limit.coil", **values, sag=sag, target=target)
        return Note("sag_at_limit", said, sources.COIL, check.end)
    if settled:
        said = Message.of("sag_settled.coil", **values, sag=sag, target=target, low=low, high=high)
        return Note("sag_settled", said, sources.TOLERANCE, check.end)
    counted, likely = _turns(coil), {"sag": sag, "low": low, "high": high}
    if rate_values(coil.rate_n_per_m) != rate_values(1000 * (check.spring_rate_n_per_mm or 0.0)):
        key = "sag_spring.turns" if counted else "sag_spring"
        return Note("sag_spring", Message.of(key, **values, **counted, **likely), "", check.end)
    more = coil.preload_mm - check.preload_mm
    if not preload_values(abs(more))["preload"] and not is_over_limit(check.preload_mm, coil.preload_max_mm):
        return Note("sag_again", Message.of("sag_again.coil", **values, target=target), "", check.end)
    code = "sag_preload_more" if more > 0 else "sag_preload_less"
    key = f"{code}.turns" if counted else code
    said = Message.of(key, **preload_values(coil.preload_mm), **counted, **likely)
    return Note(code, said, "", check.end)


def no_spring_said(coil: CoilSetup) -> Message:
    """Return that nobody is to ride with a spring that is too short, and which one to ask for."""
    needed = rate_values(coil.rate_wanted_n_per_m) | {"needed": as_typed(coil.stroke_needed_mm or 0.0)}
    return Message.of("sag_no_spring", **needed)


def in_part_note(model: EndModel, learned: Learned, check: SagCheck, after: EndSetup) -> tuple[Note, ...]:
    """Return why a correction is smaller than one reading asks for, where both lie far apart; empty otherwise.

    What the spring as it was measured is now expected to read lies between the reading and what was expected before.
    """
    if check.spring_rate_n_per_mm is None:
        return ()
    drawn = with_preload(DrawnEnd.of(model, learned.posterior), check.preload_mm)
    on_ride = 1000 * expected_sag_m(drawn, model.checked_value(check), aim_of(model)[1]).middle
    likely = on_ride + check_carried_mm(model, check, learned.posterior)
    read = middle_reading_mm(check)
    if abs(read - likely) <= 0.5 * after.tolerance_mm:
        return ()
    said = Message.of("sag_in_part", read=halves(read), expected=halves(likely))
    return (Note("sag_in_part", said, sources.LEARNED, check.end),)


def _turns(coil: CoilSetup) -> dict[str, float]:
    return {} if coil.preload_turns is None else {"turns": turns(coil.preload_turns)}
