"""From a request to a setup, and from a setup and a sag check to the next: composition only, no formula."""

from __future__ import annotations

from dataclasses import replace

from setup_rules.advice.carried_clicks import bounces_kept, follow_notes, moved_far, request_with_clicks_of
from setup_rules.advice.cautions import chart_cautions, earlier_rules, end_cautions, general_cautions
from setup_rules.advice.check_cautions import check_cautions
from setup_rules.advice.coil_reasons import coil_check_advice, in_part_note
from setup_rules.advice.coil_setup import answer_coil, with_fitted
from setup_rules.advice.end_answer import EndAnswer
from setup_rules.advice.measured import measured_cautions, measured_reasons, pushed_spring
from setup_rules.advice.reasons import (
    air_maximum_note,
    air_note,
    bench_notes,
    end_reasons,
    order_notes,
    rules_changed,
    sag_check_advice,
)
from setup_rules.advice.sag_check import check_carried_mm, learned_of, with_check
from setup_rules.advice.second_chamber import answer_second, second_cautions
from setup_rules.advice.start_parts import aim_of, no_finer, standing_parts
from setup_rules.advice.stop_rule import Offer, choose_offer, near_m
from setup_rules.advice.wording import is_above, whole_psi
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import GAUGE_SIGMA, Learned, sag_likelihood
from setup_rules.inference.measured import Measured, posterior_after
from setup_rules.inference.pressure_chart import chart_case, chart_fit_percent
from setup_rules.inference.pumped_setting import wanted_pumped
from setup_rules.inference.size_class import COLUMN, assumed_max_psi
from setup_rules.inference.start_setting import Banded, DrawnEnd, chance_near
from setup_rules.messages.rounding import gauge_psi_below
from setup_rules.types import constants as c
from setup_rules.types.request import EndName, SetupRequest
from setup_rules.types.result import EndSetup, Note, SagCheck, Setup, TakenCheck
from setup_rules.types.units import PSI_PA


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
    # The spring that was measured is the one that is fitted from now on.
    asked = with_fitted(setup.request, check)
    checks = with_check(asked, setup.checks, check, _needed(setup, check.end))
    answer = compose(asked, checks, check)
    before = setup.front if check.end == "front" else setup.rear
    after = answer.front if check.end == "front" else answer.rear
    if before is None or after is None:
        raise KeyError(check.end)
    if not moved_far(before, after):
        request = request_with_clicks_of(before, after, asked)
        answer = answer if request is asked else compose(request, checks, check)
    answer = keep_end(setup, answer, "rear" if check.end == "front" else "front")
    advice = _check_advice(setup.request, check, after, settled=bool(answer.settled))
    also = (*_in_part(asked, checks, check, after, settled=bool(answer.settled)), *rules_changed(setup, check.end))
    also += (*_elsewhere_notes(asked, checks, check, after), *follow_notes(setup, answer), *order_notes(answer))
    return replace(answer, rides=setup.rides, bounces=bounces_kept(setup, answer), advice=(advice, *also))


def _check_advice(request: SetupRequest, check: SagCheck, after: EndSetup, *, settled: bool) -> Note:
    """Return what to do with pump or spring after a sag check that was taken under a request."""
    if after.coil is not None:
        return coil_check_advice(check, after, after.coil, settled=settled)
    set_pa = _at_bench(EndModel(check.end, dict(request.ends())[check.end], request), check)
    return sag_check_advice(check, after, set_pa, settled=settled)


def _elsewhere_notes(
    request: SetupRequest, checks: tuple[TakenCheck, ...], check: SagCheck, after: EndSetup
) -> tuple[Note, ...]:
    """Return what pressure and sag are in the air of the check, or what the sag reads at the bench of the request."""
    model = EndModel(check.end, dict(request.ends())[check.end], request)
    there = sag_likelihood(TakenCheck(check=check, request=request), model).conditions
    if check.place != "bench" or there == request.bench or after.coil is not None:
        return bench_notes(after)
    gauge_pa = float(model.setting.shown(model.setting.acting(after.pressure_pa, there), there))
    if is_above(gauge_pa, after.max_pressure_pa):
        return (air_maximum_note(request.bench, there, after),)  # a printed maximum is that of a gauge in any air
    shift_mm = check_carried_mm(model, replace(check, pressure_pa=gauge_pa), learned_of(model, checks).posterior)
    here = replace(after, bench_shift_mm=shift_mm)
    if whole_psi(gauge_pa) == whole_psi(after.pressure_pa) and not here.reads_otherwise:
        return bench_notes(after)  # so near the bench's air that a gauge and a ruler show the same
    return (air_note(request.bench, there, gauge_pa, here),)


def _in_part(
    request: SetupRequest, checks: tuple[TakenCheck, ...], check: SagCheck, after: EndSetup, *, settled: bool
) -> tuple[Note, ...]:
    """Return why one reading of a coil moves its spring only in part; empty for air, and where all is done."""
    if after.coil is None or not after.coil.fits or settled:
        return ()
    model = EndModel(check.end, dict(request.ends())[check.end], request)
    return in_part_note(model, learned_of(model, checks), check, after)


def _needed(setup: Setup, name: EndName) -> tuple[float, float] | None:
    """Return the lowest and highest pressure [Pa, gauge] or rate [N/m] that an end may need, by its band and limits."""
    end = setup.front if name == "front" else setup.rear
    if end is None:
        return None
    if end.coil is not None:
        return end.coil.rate_low_n_per_m, end.coil.rate_high_n_per_m
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
    """Return the setup of a request; where `latest` is given, of that check's end alone, its spring kept if done."""
    answers: list[EndAnswer] = []
    cautions: list[Note] = []
    reasons: list[Note] = []
    for name, end in request.ends():
        if latest is not None and latest.end != name:
            continue  # a check says nothing of the other end, which is kept as it was
        model = EndModel(name, end, request)
        learned = learned_of(model, checks)
        used = sum(1 for taken in checks if taken.check.end == name and not taken.struck)
        # The one place that chooses between the kinds of main spring.
        answer = (answer_coil if model.has_coil else _answer_air)(model, learned, used, latest)
        share = float(model.front_share(learned.posterior.centre[COLUMN["share"]]))
        answers.append(answer)
        cautions += answer.cautions
        cautions += check_cautions(model, checks, answer.result, now=latest is not None)
        cautions += (*_chart_cautions(model), *measured_cautions(model, answer.result))
        reasons += answer.reasons(share if name == "front" else 1.0 - share)
        reasons += measured_reasons(model, answer.result)
    if latest is not None and checks:
        checks = (*checks[:-1], replace(checks[-1], carried_mm=answers[0].carried_mm))
    results = {answer.result.end: answer.result for answer in answers}
    return Setup(
        request=request,
        front=results.get("front"),
        rear=results.get("rear"),
        cautions=(*cautions, *general_cautions(request)),
        reasons=tuple(reasons),
        checks=checks,
        settled=next((answer.settled for answer in answers if answer.settled is not None), None),
    )


def _answer_air(model: EndModel, learned: Learned, used: int, latest: SagCheck | None) -> EndAnswer:
    result, wanted = _end_setup(model, learned, used, None)
    settled, carried_mm = None, None
    if latest is not None:
        carried_mm = check_carried_mm(model, latest, learned.posterior)
        result, settled = _settle(model, learned, used, latest, result, carried_mm)
    cautions = end_cautions(model, result, wanted, pumping_limits_pa(model)[1]) + second_cautions(model, result)
    return EndAnswer(result, cautions, lambda share: end_reasons(model, result, share), settled, carried_mm)


def _chart_cautions(model: EndModel) -> tuple[Note, ...]:
    if not model.end.chart:
        return ()
    case = chart_case(model)
    return chart_cautions(model.name, case.pressure_pa, first_guess(case.model, case.sag_m))


def _settle(
    model: EndModel, learned: Learned, used: int, check: SagCheck, moved: EndSetup, carried_mm: float
) -> tuple[EndSetup, bool]:
    """Keep the pressure as set where the sag there is likely good enough, or no pressure would be much better."""
    kept_pa = _at_bench(model, check)
    low_pa, high_pa = pumping_limits_pa(model)
    if not (1.0 - GAUGE_SIGMA) * low_pa <= kept_pa <= (1.0 + GAUGE_SIGMA) * high_pa:
        return moved, False
    # A gauge may read a little above the maximum; what is answered never does.
    kept, _ = _end_setup(model, learned, used, min(max(kept_pa, low_pa), high_pa))
    drawn, target_m, near = DrawnEnd.of(model, learned.posterior), kept.sag_target_mm / 1000, near_m(kept)
    offer = Offer(
        kept=kept,
        moved=moved,
        kept_chance=chance_near(drawn.pumped(kept_pa), kept_pa, target_m, near),
        moved_chance=chance_near(drawn.pumped(moved.pressure_pa), moved.pressure_pa, target_m, near),
        # What a gauge hardly shows is not worth a pump.
        same=abs(moved.pressure_pa - kept_pa) <= max(GAUGE_SIGMA * kept_pa, PSI_PA),
        firmer=moved.pressure_pa > kept_pa,
        carried_mm=carried_mm,
    )
    return choose_offer(model, check, offer)


def _at_bench(model: EndModel, check: SagCheck) -> float:
    likelihood = sag_likelihood(TakenCheck(check=check, request=model.request), model)
    return float(model.setting.bench_value(likelihood.acting, likelihood.conditions))


def _end_setup(model: EndModel, learned: Learned, used: int, kept_pa: float | None) -> tuple[EndSetup, Banded]:
    end, posterior = model.end, learned.posterior
    percent, target_m = aim_of(model)
    drawn = DrawnEnd.of(model, posterior)
    wanted = _as_read(wanted_pumped(drawn, target_m))
    low_pa, high_pa = pumping_limits_pa(model)
    pressure = min(max(wanted.middle, low_pa), high_pa) if kept_pa is None else kept_pa
    # A pressure that stays as it is set is right: it never lies outside the range that is said to be.
    right = wanted.middle if kept_pa is None else kept_pa
    drawn, ride = drawn.pumped(pressure), model.request.ride
    prior_middle = first_guess(model, target_m).middle if used else None
    printed_low, printed_high = pressure_limits_pa(model)
    return (
        EndSetup(
            **standing_parts(drawn, learned, used, pressure),
            sag_target_percent=percent,
            pressure_pa=pressure,
            pressure_low_pa=max(0.0, min(wanted.low, right)),
            pressure_high_pa=max(0.0, wanted.high, right),
            ride_pressure_pa=model.setting.shown(model.setting.acting(pressure, ride), ride),
            max_pressure_pa=printed_high,
            max_pressure_assumed=end.max_pressure_psi is None,
            min_pressure_pa=printed_low,
            min_pressure_assumed=end.min_pressure_psi is None,
            volume_spacers=end.volume_spacers,
            chart_fit_percent=chart_fit_percent(model, posterior) if end.chart else None,
            force_factor=None if prior_middle is None else wanted.middle / prior_middle,
            limited=is_above(low_pa, wanted.middle) or is_above(wanted.middle, high_pa),
            pushed=pushed_spring(model),
            second=answer_second(drawn, pressure),
        ),
        wanted,
    )


def _as_read(wanted: Banded) -> Banded:
    """Return a pressure band no narrower than a gauge can be read: 1 psi or three of the gauge's own errors."""
    return no_finer(wanted, max(PSI_PA, 3.0 * GAUGE_SIGMA * abs(wanted.middle)))


def first_guess(model: EndModel, target_m: float) -> Banded:
    """Return the bench pressure [Pa, gauge] for a sag [m] before any check, without a chart.

    The stated spreads alone, or what a scale and pushes have left of them.
    """
    return wanted_pumped(DrawnEnd.of(model, posterior_after(Measured.of(model))), target_m)


def pressure_limits_pa(model: EndModel) -> tuple[float, float]:
    """Return the (minimum, maximum) pressure [Pa, gauge] of an end: as entered, else our cautious estimate.

    A maximum counts as far as a gauge shows it: 5.00 bar are 72.5 psi, and nobody is to pump 73.
    """
    end = model.end
    high = gauge_psi_below(end.max_pressure_psi or assumed_max_psi(end))
    if end.second_max_pressure_psi is not None:
        # The first chamber holds less than the second, so what is too much for that is too much for it.
        high = min(high, gauge_psi_below(end.second_max_pressure_psi))
    low = c.ASSUMED_MIN_PSI[model.name].value if end.min_pressure_psi is None else end.min_pressure_psi
    # An entered minimum stands as it was entered; ours leaves room below a low maximum.
    return min(low, high if end.min_pressure_psi is not None else 0.9 * high) * PSI_PA, high * PSI_PA


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
