"""What every kind of spring end answers alike: sag, force and rate where it stands, its clicks and its curve."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, Final

import numpy as np

from setup_rules.inference.coil_class import preload_limits_mm
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Learned
from setup_rules.inference.posterior import Posterior, central_row
from setup_rules.inference.sag_elsewhere import bench_shift_m
from setup_rules.inference.sag_target import sag_target_percent
from setup_rules.inference.start_setting import MIDDLE_AND_BAND, Banded, DrawnEnd, held_of, sags_m
from setup_rules.physics.damping import clicks_for, damping_n_s_per_m, known_adjuster
from setup_rules.physics.linkage import wheel_rate_n_per_m
from setup_rules.physics.spring import Spring
from setup_rules.types import constants as c
from setup_rules.types.request import FrontEnd
from setup_rules.types.result import ClickStart, Curve

CURVE_POINTS: Final = 49


def aim_of(model: EndModel) -> tuple[float, float]:
    """Return the target sag in per cent of travel or stroke, and in metres: as entered, else by the riding style."""
    percent = model.end.sag_target_percent or sag_target_percent(model.request.riding_style, model.name)
    return percent, percent / 100 * model.travel_m


def standing_parts(drawn: DrawnEnd, learned: Learned, used: int, bench_value: float) -> dict[str, Any]:
    """Return the fields of an `EndSetup` that follow from a setting at the bench, whatever the spring.

    `used` is the number of sag checks that count.
    """
    model, posterior, target_m = drawn.model, drawn.posterior, aim_of(drawn.model)[1]
    finest_m = c.READING_SIGMA_MM[model.name].value / 1000
    sags = sags_m(drawn, bench_value, target_m)
    sag = no_finer(Banded(*posterior.quantiles(sags, MIDDLE_AND_BAND)), finest_m, 0.0, model.travel_m)
    ride = model.request.ride
    acting, site = model.setting.acting(bench_value, ride), model.setting.site(ride)
    spring, load = model.springs(posterior.centre), float(model.load_n(posterior.centre))
    rest = float(held_of(model, posterior.centre).rest_m(acting, site))
    x = min(rest + sag.middle, model.travel_m)
    rebound, compression = start_clicks(model, posterior, acting, x)
    return {
        "end": model.name,
        "travel_mm": model.end.compression_mm,
        "sag_target_mm": target_m * 1000,
        "sag_expected_mm": sag.middle * 1000,
        "sag_low_mm": sag.low * 1000,
        "sag_high_mm": sag.high * 1000,
        "bench_shift_mm": 1000 * bench_shift_m(drawn, bench_value, sags),
        "wheel_travel_mm": model.leverage.wheel_travel_m(model.travel_m) * 1000,
        "wheel_sag_mm": wheel_sag_m(model, rest, target_m) * 1000,
        "load_n": load * float(model.leverage.at(min(rest + target_m, model.travel_m))),
        "rate_n_per_m": float(spring.rate_n_per_m(x, acting, site)),
        "full_force_n": float(spring.force_n(model.travel_m, acting, site, c.RIDE_EXPONENT.value)),
        "rebound": rebound,
        "compression": compression,
        "curve": force_curve(model, spring, acting, load),
        "checks_used": used,
        "friction_n": posterior.mean(model.friction_n(posterior.z)) if used or model.end.spring_test else None,
        "datum": model.end.datum,
        "rest_mm": rest * 1000,
        "answers_disagree": learned.disagree and used > 1,
        "newest_surprise": learned.surprise,
    }


def wheel_sag_m(model: EndModel, rest_m: float, target_m: float) -> float:
    """Return the wheel travel [m] between the place where the gap is read and the rider's, on target."""
    deepest = min(rest_m + target_m, model.travel_m)
    return model.leverage.wheel_travel_m(deepest) - model.leverage.wheel_travel_m(rest_m)


def no_finer(band: Banded, half: float, least: float = -math.inf, most: float = math.inf) -> Banded:
    """Return a band that reaches at least `half` to either side of its middle, inside what can be."""
    low, high = min(band.low, band.middle - half), max(band.high, band.middle + half)
    return Banded(max(low, least), band.middle, min(high, most))


def force_curve(model: EndModel, spring: Spring, acting: float, load_n: float) -> Curve:
    """Return force and load [N] over the travel, at an acting setting and a load at the wheel or along the legs [N]."""
    x = np.linspace(0.0, model.travel_m, CURVE_POINTS)
    force = spring.force_n(x, acting, model.setting.site(model.request.ride))
    load = load_n * np.broadcast_to(model.leverage.at(x), x.shape)
    return Curve(
        compression_mm=tuple(np.round(1000 * x, 3).tolist()),
        force_n=tuple(np.round(force, 2).tolist()),
        load_n=tuple(np.round(load, 2).tolist()),
    )


def start_clicks(
    model: EndModel, posterior: Posterior, acting: float, sag_m: float
) -> tuple[ClickStart, ClickStart | None]:
    """Return where rebound and compression start, the spring standing at a compression [m] at an acting setting."""
    z, style, end = posterior.centre, model.request.riding_style, model.end
    need = _wheel_damping(model, z, acting, sag_m, 1.0)
    reference = _reference_damping(model)
    usual = c.REBOUND_RATIO["trail"] * reference, c.CLICK_RANGE.value
    total = end.rebound_clicks or int(c.ASSUMED_CLICKS.value)
    middle, spread = known_adjuster(end.rebound_points, total) if end.rebound_points else usual
    rebound = clicks_for(c.REBOUND_RATIO[style] * need, middle, total, end.rebound_offset_clicks, spread)
    if end.compression_clicks is None:
        return rebound, None
    ratio = c.COMPRESSION_RATIO
    start, middle = ratio[style] * need, ratio["trail"] * reference
    return rebound, clicks_for(start, middle, end.compression_clicks, end.compression_offset_clicks)


def _reference_damping(model: EndModel) -> float:
    """Return the critical damping at this end for the reference rider on a bike of the reference mass, for trail."""
    rider = replace(
        model.request,
        rider_mass_kg=c.REFERENCE_RIDER.value,
        kit_mass_kg=0.0,
        bike_mass_kg=c.REFERENCE_BIKE.value,
        luggage_front_kg=None,
        luggage_rear_kg=None,
        rider_front_share_percent=None,
        front_axle_kg=None,
        rear_axle_kg=None,
        riding_style="trail",
    )
    # A coil for the reference rider stands at its least preload, as the exact rate for any rider does.
    preload_m = preload_limits_mm(model.end)[0] / 1000
    reference = EndModel(model.name, model.end, rider, preload_m=preload_m, second_ratio=model.second_ratio)
    centre = central_row()
    sag_m = sag_target_percent("trail", model.name) / 100 * model.travel_m
    setting, ride = model.setting, model.request.ride
    held, site = held_of(reference, centre), model.setting.site(model.request.ride)
    acting = max(float(held.acting_for(sag_m, site)), setting.least(ride))
    x_m = min(float(held.rest_m(acting, site)) + sag_m, model.travel_m)
    return _wheel_damping(reference, centre, acting, x_m, 1.0)


def _wheel_damping(model: EndModel, z: Any, acting: float, sag_m: float, ratio: float) -> float:
    """Return the damping coefficient at the spring [N·s/m] for a damping ratio of the wheel's motion."""
    spring, site = model.springs(z), model.setting.site(model.request.ride)
    rate = float(spring.rate_n_per_m(sag_m, acting, site, c.RIDE_EXPONENT.value))
    mass = float(model.sprung_kg(z))
    if isinstance(model.end, FrontEnd):
        # The wheel moves along the leg, the mass up and down: seen along the leg it counts by the square of the sine.
        return damping_n_s_per_m(rate, mass * math.sin(math.radians(model.end.head_angle_deg)) ** 2, ratio)
    leverage = float(model.leverage.at(sag_m))
    force = float(spring.force_n(sag_m, acting, site))
    at_wheel = wheel_rate_n_per_m(rate, force, leverage, float(model.leverage.slope_at(sag_m)))
    return damping_n_s_per_m(max(at_wheel, 1.0), mass, ratio) * leverage**2
