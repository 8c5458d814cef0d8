"""Where somebody could get hurt with a coil main spring, or a rate is not what was asked for."""

from __future__ import annotations

from setup_rules.advice.cautions import place_cautions, sag_cautions
from setup_rules.advice.wording import preload_values, rate_values
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
    if result.reaches_target:
        return []
    sag = expected_mm(result.sag_expected_mm, result.sag_target_mm)
    said = Message.of("caution.coil_out_of_reach", **rate_values(coil.rate_wanted_n_per_m), sag=sag)
    return [Note("coil_out_of_reach", said, c.PRACTICE, result.end)]


def _bind_cautions(model: EndModel, coil: CoilSetup) -> list[Note]:
    """Return what geometry says: shock and spring are squeezed together, and the coils must not touch."""
    stroke, travel = model.end.coil_stroke_mm, model.end.compression_mm
    if stroke is None:
        return [Note("coil_stroke_unknown", Message.of("caution.coil_stroke_unknown"), c.PRACTICE, model.name)]
    room = stroke - travel
    values = {"stroke": as_typed(stroke), "travel": as_typed(travel)}
    if room < c.LEAST_PRELOAD[model.name].value:
        return [Note("coil_too_short", Message.of("caution.coil_too_short", **values), end=model.name)]
    entered = model.end.preload_mm_max
    if room < (c.ASSUMED_MAX_PRELOAD[model.name].value if entered is None else entered):
        said = Message.of("caution.coil_bind", **values, room=places(coil.preload_max_mm, 1))
        return [Note("coil_bind", said, end=model.name)]
    return []


def _preload_cautions(model: EndModel, coil: CoilSetup) -> list[Note]:
    if not coil.preload_max_assumed:
        return []
    said = Message.of("caution.preload_assumed", limit=places(coil.preload_max_mm, 1))
    return [Note("preload_assumed", said, c.ESTIMATE, model.name)]


def fitted_cautions(check: SagCheck, result: EndSetup) -> tuple[Note, ...]:
    """Return the caution that a spring was measured with more preload than it may have; empty for air."""
    coil = result.coil
    if coil is None or places(check.preload_mm, 1) <= places(coil.preload_max_mm, 1):
        return ()
    values = preload_values(check.preload_mm) | {"limit": places(coil.preload_max_mm, 1)}
    return (Note("preload_above_limit", Message.of("caution.preload_above_limit", **values), end=result.end),)
