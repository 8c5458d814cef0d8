"""Where somebody could get hurt, or a number is not what was asked for: the cautions that go with a result."""

from __future__ import annotations

from setup_rules.advice.wording import VARIANT, is_above, whole_psi
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.size_class import fork_class
from setup_rules.inference.start_setting import Banded
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, expected_mm, whole
from setup_rules.types import constants as c
from setup_rules.types.limits import USUAL_SAG_PERCENT
from setup_rules.types.request import EndName, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import EndSetup, Note

#: Where the load grows by more than this share of the spring's rate, the sag is not steady (our estimate).
_STEADY_SHARE = 0.7
#: Where bench and ride differ by more than this in height [m], air shut into the lower legs moves the sag (our
#: estimate).
VENTED_M = 800.0


def general_cautions(request: SetupRequest) -> tuple[Note, ...]:
    """Return the cautions that belong to no single end: of every setup, and of coils as negative or main spring."""
    springs = {end.spring if end.spring == "coil" else f"{end.negative_spring}_negative" for _, end in request.ends()}
    also = {"coil_negative": "coil_negative" in springs, "coil_preload": "coil" in springs}
    codes = ("start_point", "stop_and_ask", *(code for code, given in also.items() if given))
    return tuple(Note(code, Message.of(f"caution.{code}")) for code in codes)


def earlier_rules(name: EndName) -> tuple[Note, ...]:
    """Return the caution of an end whose numbers are kept from an earlier version of the rules."""
    return (Note("earlier_rules", Message.of(f"caution.earlier_rules.{VARIANT[name]}"), end=name),)


def end_cautions(model: EndModel, result: EndSetup, wanted: Banded, most_pa: float) -> tuple[Note, ...]:
    """Return the cautions of one end: its limits, an unusual target, a changed travel, the weather and the height.

    `most_pa` is the highest pressure to pump at the bench [Pa, gauge].
    """
    return (
        *_limit_cautions(result, wanted, most_pa),
        *sag_cautions(model, result),
        *_build_cautions(model.end, model.name),
        *place_cautions(model),
    )


def _limit_cautions(result: EndSetup, wanted: Banded, most_pa: float) -> list[Note]:
    """Return what is to be said of the pressure limits of one end, with the way out at a limit."""
    notes: list[Note] = []
    if is_above(wanted.middle, most_pa):
        notes += [_above(result, wanted.middle, most_pa), _way_out("maximum", result)]
    if is_above(result.min_pressure_pa, wanted.middle):
        notes += [_beyond_limit("below_minimum", result, wanted.middle), _way_out("minimum", result)]
    if result.max_pressure_assumed and not is_above(wanted.middle, most_pa):
        said = Message.of(f"caution.maximum_assumed.{VARIANT[result.end]}", limit=whole_psi(result.max_pressure_pa))
        notes.append(Note("maximum_assumed", said, end=result.end))
    return notes


def _above(result: EndSetup, wanted_pa: float, most_pa: float) -> Note:
    """Return the caution above a maximum: printed, assumed, or reached on a warmer or higher ride only."""
    code, variant = "pressure_above_maximum", VARIANT[result.end]
    if result.max_pressure_assumed:
        values = {"wanted": whole_psi(wanted_pa), "limit": whole_psi(result.max_pressure_pa)}
        said = Message.of(f"caution.pressure_above_assumed.{variant}", **values, psi=whole_psi(result.pressure_pa))
        return Note(code, said, c.ESTIMATE, result.end)
    if most_pa < result.max_pressure_pa:
        values = {"wanted": whole_psi(wanted_pa), "psi": whole_psi(result.pressure_pa)}
        said = Message.of(
            f"caution.pressure_above_on_ride.{variant}", **values, limit=whole_psi(result.max_pressure_pa)
        )
        return Note(code, said, end=result.end)
    return _beyond_limit("above_maximum", result, wanted_pa)


def _beyond_limit(which: str, result: EndSetup, wanted_pa: float) -> Note:
    limit_pa = result.max_pressure_pa if which == "above_maximum" else result.min_pressure_pa
    said = Message.of(
        f"caution.pressure_{which}.{VARIANT[result.end]}",
        wanted=whole_psi(wanted_pa),
        limit=whole_psi(limit_pa),
        sag=expected_mm(result.sag_expected_mm, result.sag_target_mm),
    )
    return Note(f"pressure_{which}", said, end=result.end)


def _way_out(limit: str, result: EndSetup) -> Note:
    """Return that the answer is limited and what to do, by another target where the sag that is left is usual."""
    percent = 100 * result.sag_expected_mm / result.travel_mm
    low, high = USUAL_SAG_PERCENT
    key = f"caution.limited.{limit}.{VARIANT[result.end]}"
    if result.reaches_target:
        sag = expected_mm(result.sag_expected_mm, result.sag_target_mm)
        return Note("limited", Message.of(f"caution.limited.{limit}.near", sag=sag), c.PRACTICE, result.end)
    if limit == "maximum" and result.max_pressure_assumed:  # the way out is to read the printed one
        return Note("limited", Message.of(f"caution.limited.assumed.{VARIANT[result.end]}"), c.ESTIMATE, result.end)
    if low <= percent <= high:
        return Note("limited", Message.of(f"{key}.target", percent=whole(percent)), c.PRACTICE, result.end)
    return Note("limited", Message.of(key), c.PRACTICE, result.end)


def place_cautions(model: EndModel) -> list[Note]:
    """Return what is to be said of a ride below freezing, and of lower legs opened at another height."""
    notes: list[Note] = []
    bench, ride = model.request.bench, model.request.ride
    if ride.temperature_c < 0.0:
        said = Message.of(f"caution.cold_oil.{VARIANT[model.name]}", celsius=as_typed(ride.temperature_c))
        notes.append(Note("cold_oil", said, c.PRACTICE, model.name))
    if model.name == "front" and not model.has_coil and abs(bench.altitude_m - ride.altitude_m) > VENTED_M:
        said = Message.of("caution.lower_legs", bench=as_typed(bench.altitude_m), ride=as_typed(ride.altitude_m))
        notes.append(Note("lower_legs", said, c.ESTIMATE, model.name))
    return notes


def sag_cautions(model: EndModel, result: EndSetup) -> list[Note]:
    """Return what is to be said of a target sag that is unusual, or that cannot be held steadily."""
    notes: list[Note] = []
    low, high = USUAL_SAG_PERCENT
    if not low <= result.sag_target_percent <= high:
        percent = as_typed(result.sag_target_percent)
        said = Message.of("caution.sag_unusual", percent=percent, low=low, high=high)
        notes.append(Note("sag_unusual", said, source=c.PRACTICE, end=result.end))
    # Where the load was taken: a bike that stands on its wheels rests some way in already.
    stands_m = min((result.rest_mm + result.sag_target_mm) / 1000, model.travel_m)
    wheel_load_n = result.load_n / float(model.leverage.at(stands_m))
    if wheel_load_n * float(model.leverage.slope_at(stands_m)) > _STEADY_SHARE * result.rate_n_per_m:
        notes.append(
            Note("sag_unsteady", Message.of(f"caution.sag_unsteady{'.coil' if result.coil else ''}"), end=result.end)
        )
    return notes


def _build_cautions(end: FrontEnd | RearEnd, name: EndName) -> list[Note]:
    """Return what is to be said of a fork's travel: set by spacers, or unusual for its stanchions."""
    if not isinstance(end, FrontEnd):
        return []
    notes: list[Note] = []
    longest, size = end.longest_travel_mm or end.travel_mm, fork_class(end)
    if longest > end.travel_mm:
        notes.append(Note("travel_spacers", Message.of("caution.travel_spacers"), end=name))
    low, high = size.usual_travel_mm
    if size.stanchion_known and not low - 25 <= longest <= high + 25:
        said = Message.of(
            "caution.travel_unusual", travel=as_typed(longest), stanchion=size.stanchion_mm, low=low, high=high
        )
        notes.append(Note("travel_unusual", said, source=c.ESTIMATE, end=name))
    return notes


def chart_cautions(name: EndName, chart_pa: float, usual: Banded) -> tuple[Note, ...]:
    """Return the caution that a chart's pressure lies outside what is usual for its own case; empty otherwise.

    `chart_pa` and `usual` are of the chart's row for the rider [Pa, gauge].
    """
    if usual.low <= chart_pa <= usual.high:
        return ()
    percent = 100 * (chart_pa / usual.middle - 1)
    said = Message.of(
        f"caution.chart_{'higher' if percent > 0 else 'lower'}.{VARIANT[name]}",
        psi=whole_psi(chart_pa),
        percent=whole(abs(percent)),
        low=whole_psi(usual.low),
        high=whole_psi(usual.high),
    )
    return (Note("chart_differs", said, end=name),)
