"""Where somebody could get hurt with a coil main spring, or a rate is not what was asked for."""

from __future__ import annotations

from setup_rules.advice.cautions import place_cautions, sag_cautions
from setup_rules.advice.wording import is_over_limit, rate_values
from setup_rules.inference.end_model import EndModel
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, expected_mm, places
from setup_rules.types import constants as c
from setup_rules.types.result import CoilSetup, EndSetup, Note, SagCheck


def coil_cautions(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    """Return the cautions of one end with a coil main spring."""
    coil = result.coil
    if coil is None:
        return ()
    own = (*_reach_cautions(result, coil), *_bind_cautions(model, coil), *_preload_cautions(model, coil))
    return (*own, *sag_cautions(model, result), *place_cautions(model))


def _reach_cautions(result: EndSetup, coil: CoilSetup) -> list[Note]:
    if result.reaches_target or not coil.fits:
        return []
    sag = expected_mm(result.sag_expected_mm, result.sag_target_mm)
    said = Message.of("caution.coil_out_of_reach", **rate_values(coil.rate_wanted_n_per_m), sag=sag)
    return [Note("coil_out_of_reach", said, c.PRACTICE, result.end)]


def _bind_cautions(model: EndModel, coil: CoilSetup) -> list[Note]:
    """Return what geometry says: shock and spring are squeezed together, and the coils must not touch."""
    stroke, travel = model.end.coil_stroke_mm, model.end.compression_mm
    if stroke is None:
        return [Note("coil_stroke_unknown", Message.of("caution.coil_stroke_unknown"), c.PRACTICE, model.name)]
    values = {"stroke": as_typed(stroke), "travel": as_typed(travel)}
    if coil.stroke_needed_mm is not None:
        wanted = rate_values(coil.rate_wanted_n_per_m) | {"needed": as_typed(coil.stroke_needed_mm)}
        return [Note("coil_too_short", Message.of("caution.coil_too_short", **values, **wanted), end=model.name)]
    if coil.preload_max_bind:
        key = "caution.coil_bind" if model.end.preload_mm_max is not None else "caution.coil_bind.assumed"
        said = Message.of(key, **values, room=places(coil.preload_max_mm, 1))
        return [Note("coil_bind", said, end=model.name)]
    return []


def _preload_cautions(model: EndModel, coil: CoilSetup) -> list[Note]:
    if not coil.preload_max_assumed or not coil.fits:
        return []
    said = Message.of("caution.preload_assumed", limit=places(coil.preload_max_mm, 1))
    return [Note("preload_assumed", said, c.ESTIMATE, model.name)]


def fitted_cautions(check: SagCheck, result: EndSetup, *, now: bool) -> tuple[Note, ...]:
    """Return the caution that a spring was measured with more preload than it may have; empty for air.

    Once another spring was asked for, it is no longer the one that is in it: then only the check taken `now` counts.
    """
    coil = result.coil
    if coil is None or not is_over_limit(check.preload_mm, coil.preload_max_mm):
        return ()
    if not now and rate_values(coil.rate_n_per_m) != rate_values(1000 * (check.spring_rate_n_per_mm or 0.0)):
        return ()
    values = {"preload": as_typed(check.preload_mm), "limit": places(coil.preload_max_mm, 1)}
    return (Note("preload_above_limit", Message.of("caution.preload_above_limit", **values), end=result.end),)
