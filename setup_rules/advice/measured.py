"""What a scale under a wheel and pushes on a spring have shown, beside what was guessed before."""

from __future__ import annotations

import numpy as np

from setup_rules.advice.wording import VARIANT, is_above, whole_psi
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.spring_test import fit_of
from setup_rules.inference.weighed_wheel import is_weighed, share_by_scale, total_kg
from setup_rules.messages.catalogue import sources
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, whole
from setup_rules.types import constants as c
from setup_rules.types.limits import LIMITS
from setup_rules.types.request import SetupRequest
from setup_rules.types.result import EndSetup, Note, PushedSpring
from setup_rules.types.units import PSI_PA


def pushed_spring(model: EndModel) -> PushedSpring | None:
    """Return the pushes of an end's test beside the likeliest spring; None without a test."""
    test = model.end.spring_test
    if test is None:
        return None
    fit = fit_of(model)
    return PushedSpring(
        pressure_pa=test.pressure_psi * PSI_PA,
        compression_mm=tuple(round(1000 * x, 3) for x in fit.pushes.x_m),
        force_n=tuple(round(float(n), 2) for n in fit.pushes.mean_n),
        residual_n=tuple(round(n, 2) for n in fit.residual_n),
        friction_n=fit.friction_n,
        curve_mm=tuple(round(1000 * x, 3) for x in fit.curve_m),
        curve_n=tuple(round(n, 2) for n in fit.curve_n),
    )


def measured_reasons(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    """Return what the scale and the pushes of one end have shown; empty where nothing was measured."""
    notes = []
    if is_weighed(model.request):
        share, guess = share_by_scale(model.request), _guessed_share(model.request)
        if model.name == "rear":
            share, guess = 1.0 - share, 1.0 - guess
        said = Message.of(f"scale.share.{model.name}", share=whole(100 * share), guess=whole(100 * guess))
        notes.append(Note(f"{model.name}_scale", said, sources.SCALE, model.name))
    if result.pushed is not None:
        said = Message.of(
            f"pushes.found.{VARIANT[model.name]}",
            count=len(result.pushed.compression_mm),
            psi=whole_psi(result.pushed.pressure_pa),
            off=whole(float(np.max(np.abs(result.pushed.residual_n)))),
            friction=whole(result.pushed.friction_n),
        )
        notes.append(Note(f"{model.name}_pushes", said, sources.PUSHES, model.name))
    return tuple(notes)


def _guessed_share(request: SetupRequest) -> float:
    """Return the share of rider, kit and bike on the front wheel as it was guessed before the scale."""
    bike = request.bike_mass_kg
    rider = total_kg(request) - bike
    return (c.FRONT_SHARE[request.stance].mean * rider + c.BIKE_FRONT_SHARE.mean * bike) / (rider + bike)


def measured_cautions(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    """Return what is doubtful of a scale reading and of the pushes of one end; empty where nothing is."""
    return (*_scale_caution(model), *_pressure_caution(model, result), *_fit_caution(model))


def _scale_caution(model: EndModel) -> tuple[Note, ...]:
    """Return that a scale reading makes no riding position: of the whole bike, so with its first end alone."""
    request = model.request
    if not is_weighed(request) or model.name != next(iter(request.ends()))[0]:
        return ()
    bike, whole_kg = request.bike_mass_kg, total_kg(request)
    on_front = share_by_scale(request) * whole_kg - c.BIKE_FRONT_SHARE.mean * bike
    percent = 100 * on_front / (whole_kg - bike)
    if LIMITS["rider_front_share_percent"].holds(percent):
        return ()
    said = Message.of("caution.scale_unlikely", share=whole(percent))
    return (Note("scale_unlikely", said, c.ESTIMATE, model.name),)


def _pressure_caution(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    pushed = result.pushed
    if pushed is None or not result.max_pressure_assumed or not is_above(pushed.pressure_pa, result.max_pressure_pa):
        return ()
    shown = {"psi": whole_psi(pushed.pressure_pa), "limit": whole_psi(result.max_pressure_pa)}
    said = Message.of(f"caution.pushed_above_assumed.{VARIANT[model.name]}", **shown)
    return (Note("pushed_above_assumed", said, c.ESTIMATE, model.name),)


def _fit_caution(model: EndModel) -> tuple[Note, ...]:
    """Return that the pushes lie on one side of any air spring, or one of them far off it."""
    if model.end.spring_test is None:
        return ()
    fit = fit_of(model)
    worst, variant = fit.farthest, VARIANT[model.name]
    off_n = fit.residual_n[worst]
    values = {"off": whole(abs(off_n))}
    if abs(fit.side) > c.DOUBTED_SIDE.value:
        way = "above" if fit.side > 0.0 else "below"
        values["off"] = whole(abs(float(np.mean(fit.residual_n))))
    elif abs(off_n) > c.DOUBTED_PUSH.value * fit.sigma_n[worst]:
        way = "one"
        values["x"] = as_typed(round(1000 * fit.pushes.x_m[worst], 1))
    else:
        return ()
    said = Message.of(f"caution.pushes_doubted.{way}.{variant}", **values)
    return (Note("pushes_doubted", said, c.ESTIMATE, model.name),)
