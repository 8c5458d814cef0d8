"""From a request to a setup, and from a setup and a sag check to the next: composition only, no formula."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from setup_rules.advice.carried_clicks import bounces_kept, follow_notes, moved_far, request_with_clicks_of
from setup_rules.advice.cautions import chart_cautions, earlier_rules, end_cautions, general_cautions
from setup_rules.advice.check_cautions import check_cautions
from setup_rules.advice.measured import measured_cautions, measured_reasons, pushed_spring
from setup_rules.advice.reasons import end_reasons, order_notes, rules_changed, sag_check_advice
from setup_rules.advice.sag_check import learned_of, middle_reading_mm, with_check
from setup_rules.advice.wording import is_above
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import GAUGE_SIGMA, Learned, sag_likelihood
from setup_rules.inference.posterior import Posterior, central_row, prior
from setup_rules.inference.pressure_chart import chart_case, chart_fit_percent
from setup_rules.inference.sag_target import sag_target_percent
from setup_rules.inference.size_class import COLUMN, fork_class
from setup_rules.inference.start_setting import Banded, DrawnEnd, chance_near, expected_sag_m, held_of, wanted_setting
from setup_rules.messages.rounding import gauge_psi_below
from setup_rules.physics.damping import clicks_for, damping_n_s_per_m, known_adjuster
from setup_rules.physics.linkage import wheel_rate_n_per_m
from setup_rules.physics.spring import Spring
from setup_rules.types import constants as c
from setup_rules.types.request import EndName, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import ClickStart, Curve, EndSetup, Note, SagCheck, Setup, TakenCheck
from setup_rules.types.units import PSI_PA

_CURVE_POINTS = 49
#: A sag check is done when the sag is within the tolerance with this chance, or a re-pump would gain less than this.
ENOUGH_CHANCE = 0.8
LITTLE_GAIN = 0.28
#: On a short stroke 2 mm are a large share: there the chance is that of this share of the travel.
NEAR_SHARE = 0.025


def recommend(request: SetupRequest, checks: tuple[TakenCheck, ...] = ()) -> Setup:
    """Return the recommended setup for a request.

    Parameters
    ----------
    request : SetupRequest
        As `read_request` gives it: every value inside its limits.
    checks : tuple of TakenCheck
        Sag checks taken so far on this bike, oldest first; each is translated from the request it was taken under.

    Returns
    -------
    Setup
        Per spring end: pressure to pump at the bench [Pa, gauge] and its 90 % band, target sag [mm] and the band of
        the sag to expect, clicks, curve; with reasons and cautions.

    Examples
    --------
    >>> from setup_rules import read_request
    >>> front = {"travel_mm": 140, "stanchion_mm": 34}
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
    >>> setup.front.pressure_low_pa < setup.front.pressure_pa < setup.front.pressure_high_pa
    True
    """
    return compose(request, checks, None)


def apply_sag_check(setup: Setup, check: SagCheck) -> Setup:
    """Return the setup corrected by a sag check, which is kept with all earlier ones.

    `settled` of the answer is true when the sag to expect at the pressure as set is within the tolerance (2 mm or
    2 % of the travel): that end then keeps its pressure.

    Parameters
    ----------
    setup : Setup
        The setup in force.
    check : SagCheck
        One to six readings [mm] at one set pressure [Pa, gauge].

    Returns
    -------
    Setup
        A new setup; the other end is unchanged.

    Raises
    ------
    RequestError
        When the check cannot be used: no reading, zero sag, more than the travel, readings that disagree.

    Examples
    --------
    >>> from setup_rules import read_request
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}))
    >>> pumped = setup.front.pressure_pa
    >>> after = apply_sag_check(setup, SagCheck(end="front", pressure_pa=pumped, readings_mm=(42.0, 41.0, 42.0)))
    >>> after.front.pressure_pa > pumped, after.settled
    (True, False)
    """
    checks = with_check(setup.request, setup.checks, check, _needed_pa(setup, check.end))
    answer = compose(setup.request, checks, check)
    before = setup.front if check.end == "front" else setup.rear
    after = answer.front if check.end == "front" else answer.rear
    if before is None or after is None:
        raise KeyError(check.end)
    if not moved_far(before, after):
        request = request_with_clicks_of(before, after, setup.request)
        answer = answer if request is setup.request else compose(request, checks, check)
    answer = keep_end(setup, answer, "rear" if check.end == "front" else "front")
    set_pa = _at_bench(EndModel(check.end, dict(setup.request.ends())[check.end], setup.request), check)
    advice = sag_check_advice(check, after, set_pa, settled=bool(answer.settled))
    also = (*rules_changed(setup, check.end), *follow_notes(setup, answer), *order_notes(answer))
    return replace(answer, rides=setup.rides, bounces=bounces_kept(setup, answer), advice=(advice, *also))


def _needed_pa(setup: Setup, name: EndName) -> tuple[float, float] | None:
    """Return the lowest and highest pressure [Pa, gauge] that an end may need, by its own band and limits."""
    end = setup.front if name == "front" else setup.rear
    if end is None:
        return None
    # No number above the maximum is named, though the spring may need it.
    high_pa = min(end.pressure_high_pa, end.max_pressure_pa)
    return min(end.pressure_low_pa, end.pressure_pa), max(high_pa, end.pressure_pa)


def keep_end(before: Setup, after: Setup, name: EndName) -> Setup:
    """Return `after` with one end, and what is said of it, as it was in `before`."""
    cautions = tuple(n for n in after.cautions if n.end != name) + tuple(n for n in before.cautions if n.end == name)
    reasons = tuple(n for n in after.reasons if n.end != name) + tuple(n for n in before.reasons if n.end == name)
    if before.rules_version != after.rules_version and any(end.end == name for end in before.ends()):
        cautions += earlier_rules(name)
    kept = replace(after, cautions=cautions, reasons=reasons)
    return replace(kept, front=before.front) if name == "front" else replace(kept, rear=before.rear)


def compose(request: SetupRequest, checks: tuple[TakenCheck, ...], latest: SagCheck | None) -> Setup:
    """Return the setup of a request; where `latest` is given, of that check's end alone, its pressure kept if done."""
    results: dict[str, EndSetup] = {}
    cautions: list[Note] = []
    reasons: list[Note] = []
    settled: bool | None = None
    for name, end in request.ends():
        if latest is not None and latest.end != name:
            continue  # a check says nothing of the other end, which is kept as it was
        model = EndModel(name, end, request)
        learned = learned_of(model, checks)
        used = sum(1 for taken in checks if taken.check.end == name and not taken.struck)
        result, wanted = _end_setup(model, learned, used, None)
        if latest is not None and latest.end == name:
            result, settled = _settle(model, learned, used, latest, result)
        results[name] = result
        cautions += end_cautions(model, result, wanted, pumping_limits_pa(model)[1])
        cautions += check_cautions(model, checks, result)
        if end.chart:
            case = chart_case(model)
            cautions += chart_cautions(name, case.pressure_pa, first_guess(case.model, case.sag_m))
        share = float(model.front_share(learned.posterior.centre[COLUMN["share"]]))
        reasons += end_reasons(model, result, share if name == "front" else 1.0 - share)
        reasons += measured_reasons(model, result)
        cautions += measured_cautions(model)
    has_coil = any(end.negative_spring == "coil" for _, end in request.ends())
    return Setup(
        request=request,
        front=results.get("front"),
        rear=results.get("rear"),
        cautions=(*cautions, *general_cautions(has_coil)),
        reasons=tuple(reasons),
        checks=checks,
        settled=settled,
    )


def _settle(model: EndModel, learned: Learned, used: int, check: SagCheck, moved: EndSetup) -> tuple[EndSetup, bool]:
    """Keep the pressure as set where the sag there is likely good enough, or no pressure would be much better.

    The newest readings decide, never older ones alone: a reading that is off the target by more than the tolerance
    and its own friction is not done, whatever earlier checks said.
    """
    kept_pa = _at_bench(model, check)
    low_pa, high_pa = pumping_limits_pa(model)
    if not (1.0 - GAUGE_SIGMA) * low_pa <= kept_pa <= (1.0 + GAUGE_SIGMA) * high_pa:
        return moved, False
    # A gauge may read a little above the maximum; what is answered never does.
    kept, _ = _end_setup(model, learned, used, min(max(kept_pa, low_pa), high_pa))
    drawn, target_m = DrawnEnd.of(model, learned.posterior), kept.sag_target_mm / 1000
    near_m = min(kept.tolerance_mm, NEAR_SHARE * kept.travel_mm) / 1000
    chance = chance_near(drawn, kept_pa, target_m, near_m)
    best = chance_near(drawn, moved.pressure_pa, target_m, near_m)
    off_mm = middle_reading_mm(check) - kept.sag_target_mm
    near = abs(off_mm) <= kept.tolerance_mm + _own_mm(model, check, kept)
    good = (
        near
        and abs(kept.sag_expected_mm - kept.sag_target_mm) <= kept.tolerance_mm
        and (chance >= ENOUGH_CHANCE or best - chance <= LITTLE_GAIN)
    )
    # What a gauge hardly shows is not worth a pump.
    same = abs(moved.pressure_pa - kept_pa) <= max(GAUGE_SIGMA * kept_pa, PSI_PA)
    at_limit = moved.limited and same
    against = (moved.pressure_pa - kept_pa) * off_mm < 0.0
    if near and against and check.is_two_sided:
        return kept, True  # read from both sides, the middle tells more than what friction was thought to be
    if not near and not at_limit and (same or against):
        return kept, False  # earlier checks contradict the newest one: measure again before any air moves
    return (kept, True) if good or same else (moved, False)


def _own_mm(model: EndModel, check: SagCheck, kept: EndSetup) -> float:
    """Return how far [mm] the newest readings may lie off: by reading error, or by friction that is not bracketed."""
    if check.is_two_sided:
        return 2.0 * c.READING_SIGMA_MM[model.name].value
    return 0.5 * (kept.friction_n or 0.0) / kept.rate_n_per_m * 1000


def _at_bench(model: EndModel, check: SagCheck) -> float:
    likelihood = sag_likelihood(TakenCheck(check=check, request=model.request), model)
    return float(model.setting.bench_value(likelihood.acting, likelihood.conditions))


def _end_setup(model: EndModel, learned: Learned, used: int, kept_pa: float | None) -> tuple[EndSetup, Banded]:
    end, name, posterior = model.end, model.name, learned.posterior
    percent = end.sag_target_percent or sag_target_percent(model.request.riding_style, name)
    target_m = percent / 100 * model.travel_m
    drawn = DrawnEnd.of(model, posterior)
    wanted = _as_read(wanted_setting(drawn, target_m))
    low_pa, high_pa = pumping_limits_pa(model)
    pressure = min(max(wanted.middle, low_pa), high_pa) if kept_pa is None else kept_pa
    # A pressure that stays as it is set is right: it never lies outside the range that is said to be.
    right = wanted.middle if kept_pa is None else kept_pa
    finest_m = c.READING_SIGMA_MM[name].value / 1000
    sag = _no_finer(expected_sag_m(drawn, pressure, target_m), finest_m, 0.0, model.travel_m)
    ride = model.request.ride
    acting = model.setting.acting(pressure, ride)
    spring, site = model.springs(posterior.centre), model.setting.site(ride)
    load = float(model.load_n(posterior.centre))
    rest = float(held_of(model, posterior.centre).rest_m(acting, site))
    x = min(rest + sag.middle, model.travel_m)
    rebound, compression = _clicks(model, posterior, acting, x)
    prior_middle = first_guess(model, target_m).middle if used else None
    printed_low, printed_high = pressure_limits_pa(model)
    return (
        EndSetup(
            end=name,
            travel_mm=end.compression_mm,
            pressure_pa=pressure,
            pressure_low_pa=max(0.0, min(wanted.low, right)),
            pressure_high_pa=max(0.0, wanted.high, right),
            ride_pressure_pa=model.setting.shown(acting, ride),
            max_pressure_pa=printed_high,
            max_pressure_assumed=end.max_pressure_psi is None,
            min_pressure_pa=printed_low,
            min_pressure_assumed=end.min_pressure_psi is None,
            sag_target_mm=target_m * 1000,
            sag_target_percent=percent,
            sag_expected_mm=sag.middle * 1000,
            sag_low_mm=sag.low * 1000,
            sag_high_mm=sag.high * 1000,
            wheel_travel_mm=model.leverage.wheel_travel_m(model.travel_m) * 1000,
            wheel_sag_mm=_wheel_sag_m(model, rest, target_m) * 1000,
            load_n=load * float(model.leverage.at(min(rest + target_m, model.travel_m))),
            rate_n_per_m=float(spring.rate_n_per_m(x, acting, site)),
            full_force_n=float(spring.force_n(model.travel_m, acting, site, c.RIDE_EXPONENT.value)),
            volume_spacers=end.volume_spacers,
            rebound=rebound,
            compression=compression,
            curve=_curve(model, spring, acting, load),
            checks_used=used,
            friction_n=posterior.mean(model.friction_n(posterior.z)) if used or end.spring_test else None,
            chart_fit_percent=chart_fit_percent(model, posterior) if end.chart else None,
            force_factor=None if prior_middle is None else wanted.middle / prior_middle,
            datum=end.datum,
            rest_mm=rest * 1000,
            limited=is_above(low_pa, wanted.middle) or is_above(wanted.middle, high_pa),
            answers_disagree=learned.disagree and used > 1,
            newest_surprise=learned.surprise,
            pushed=pushed_spring(model),
        ),
        wanted,
    )


def _wheel_sag_m(model: EndModel, rest_m: float, target_m: float) -> float:
    """Return the wheel travel [m] between the place where the gap is read and the rider's, on target."""
    deepest = min(rest_m + target_m, model.travel_m)
    return model.leverage.wheel_travel_m(deepest) - model.leverage.wheel_travel_m(rest_m)


def _as_read(wanted: Banded) -> Banded:
    """Return a pressure band no narrower than a gauge can be read: 1 psi or three of the gauge's own errors."""
    return _no_finer(wanted, max(PSI_PA, 3.0 * GAUGE_SIGMA * abs(wanted.middle)))


def _no_finer(band: Banded, half: float, least: float = -math.inf, most: float = math.inf) -> Banded:
    """Return a band that reaches at least `half` to either side of its middle, inside what can be."""
    low, high = min(band.low, band.middle - half), max(band.high, band.middle + half)
    return Banded(max(low, least), band.middle, min(high, most))


def first_guess(model: EndModel, target_m: float) -> Banded:
    """Return the bench pressure [Pa, gauge] for a sag [m] with nothing but the stated spreads, no check, no chart."""
    return wanted_setting(DrawnEnd.of(model, prior()), target_m)


def pressure_limits_pa(model: EndModel) -> tuple[float, float]:
    """Return the (minimum, maximum) pressure [Pa, gauge] of an end: as entered, else our cautious estimate.

    A maximum counts as far as a gauge shows it: 5.00 bar are 72.5 psi, and nobody is to pump 73.
    """
    end = model.end
    high = gauge_psi_below(end.max_pressure_psi or assumed_max_psi(end))
    low = c.ASSUMED_MIN_PSI[model.name].value if end.min_pressure_psi is None else end.min_pressure_psi
    # An entered minimum stands as it was entered; ours leaves room below a low maximum.
    return min(low, high if end.min_pressure_psi is not None else 0.9 * high) * PSI_PA, high * PSI_PA


def assumed_max_psi(end: FrontEnd | RearEnd) -> float:
    """Return the maximum [psi, gauge] that counts until somebody enters the figure printed on the unit."""
    if not isinstance(end, FrontEnd):
        return c.ASSUMED_MAX_PSI["rear"].value
    return c.ASSUMED_MAX_PSI["thick" if fork_class(end).stanchion_mm >= c.THICK_STANCHION_MM else "thin"].value


def pumping_limits_pa(model: EndModel) -> tuple[float, float]:
    """Return the (minimum, maximum) to pump at the bench [Pa, gauge]: the maximum holds there and on the ride."""
    low, high = pressure_limits_pa(model)
    ride = model.request.ride
    if ride == model.request.bench:
        return low, high  # to and from the ride would lose a last digit, and look like a warmer ride
    from_ride = float(model.setting.bench_value(high + model.setting.site(ride).ambient_pa, ride))
    # Where no pressure fits both, the maximum on the ride counts more than the minimum at the pump.
    most = min(high, max(from_ride, 0.0))
    return min(low, most), most


def _curve(model: EndModel, spring: Spring, acting: float, load_n: float) -> Curve:
    x = np.linspace(0.0, model.travel_m, _CURVE_POINTS)
    force = spring.force_n(x, acting, model.setting.site(model.request.ride))
    load = load_n * np.broadcast_to(model.leverage.at(x), x.shape)
    return Curve(
        compression_mm=tuple(np.round(1000 * x, 3).tolist()),
        force_n=tuple(np.round(force, 2).tolist()),
        load_n=tuple(np.round(load, 2).tolist()),
    )


def _clicks(model: EndModel, posterior: Posterior, acting: float, sag_m: float) -> tuple[ClickStart, ClickStart | None]:
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
        front_axle_kg=None,
        rear_axle_kg=None,
        riding_style="trail",
    )
    reference = EndModel(model.name, model.end, rider)
    centre = central_row()
    sag_m = sag_target_percent("trail", model.name) / 100 * model.travel_m
    setting, ride = model.setting, model.request.ride
    held, site = held_of(reference, centre[None, :]), model.setting.site(model.request.ride)
    acting = max(float(held.acting_for(sag_m, site)[0]), setting.least(ride))
    x_m = min(float(held.rest_m(acting, site)[0]) + sag_m, model.travel_m)
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
