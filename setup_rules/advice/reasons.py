"""The sentences that go with a result: why each number is what it is, and what to do after a sag check."""

from __future__ import annotations

from setup_rules.advice.second_chamber import second_reasons
from setup_rules.advice.wording import VARIANT, expected_at_bench_mm, whole_psi
from setup_rules.inference.class_shift import told_of_class
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.pressure_chart import chart_mass_kg, chart_sag_percent, read_chart
from setup_rules.inference.sag_target import sag_range_percent
from setup_rules.inference.size_class import fork_class
from setup_rules.inference.spring_memory import typical_factor
from setup_rules.messages.catalogue import sources
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, expected_mm, halves, places, whole
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, EndName, FrontEnd
from setup_rules.types.result import RULES_VERSION, ClickStart, EndSetup, Note, SagCheck, Setup
from setup_rules.types.spring_memory import SpringMemory


def end_reasons(model: EndModel, result: EndSetup, load_share: float) -> tuple[Note, ...]:
    """Return why each number of one end is what it is: relation, assumption and source."""
    return (
        load_reason(model, result, load_share),
        *(() if model.end.spring_test else (_spring_reason(model),)),
        *_shop_reason(model),
        _pressure_reason(model, result),
        sag_reason(model, result),
        Note(f"{model.name}_gap", Message.of(f"gap.{result.datum}"), c.PRACTICE, model.name),
        *second_reasons(model, result),
        *_conditions_reason(model, result),
        *click_reasons(model, result),
        *_chart_reason(model, result),
        *_memory_reasons(model),
        *_learned_reason(result),
    )


def load_reason(model: EndModel, result: EndSetup, share: float) -> Note:
    """Return what the end carries, for the share of the rider on it."""
    said = Message.of(
        f"load.{VARIANT[model.name]}",
        share=whole(100 * share),
        bike=whole(model.request.bike_mass_kg),
        load=whole(result.load_n),
    )
    source = c.FRONT_SHARE[model.request.stance].source if model.weighed is None else sources.SCALE
    return Note(f"{model.name}_load", said, source, model.name)


def _spring_reason(model: EndModel) -> Note:
    end, code = model.end, f"{model.name}_spring"
    if end.bore_mm and end.positive_volume_cm3 and (end.negative_volume_cm3 or end.negative_rate_n_per_mm):
        said = Message.of("spring.entered", bore=as_typed(end.bore_mm), volume=as_typed(end.positive_volume_cm3))
        return Note(code, said, sources.ENTERED, model.name)
    if isinstance(end, FrontEnd):
        size = fork_class(end)
        known = "stanchion_entered" if size.stanchion_known else "stanchion_usual"
        said = Message.of(f"spring.fork.{known}.{end.negative_spring}", stanchion=size.stanchion_mm)
    else:
        said = Message.of("spring.shock", low=c.SHOCK_BORE.low, high=c.SHOCK_BORE.high)
    return Note(code, said, c.ESTIMATE, model.name)


def _shop_reason(model: EndModel) -> tuple[Note, ...]:
    """Return what the checks of the shop whose setup this is say of the class, where they count for this end."""
    told = told_of_class(model.end)
    if told is None:
        return ()
    percent = 100 * (told.factor - 1)
    way = "as_typical" if abs(percent) < 1 else "more" if percent > 0 else "less"
    values = {} if way == "as_typical" else {"percent": whole(abs(percent))}
    said = Message.of(f"shop_checks.{way}.{VARIANT[model.name]}", count=told.checks, **values)
    return (Note(f"{model.name}_shop_checks", said, sources.SHOP_CHECKS, model.name),)


def _pressure_reason(model: EndModel, result: EndSetup) -> Note:
    if result.limited:
        near = ".near" if result.reaches_target else ""
        said = Message.of(f"pressure.limited.{VARIANT[model.name]}{near}", psi=whole_psi(result.pressure_pa))
        return Note(f"{model.name}_pressure", said, sources.SAG_LIMITS, model.name)
    what = _how_known(model, result)
    said = Message.of(
        f"pressure.{what}{VARIANT[model.name]}",
        psi=whole_psi(result.pressure_pa),
        low=whole_psi(min(max(result.pressure_low_pa, result.min_pressure_pa), result.max_pressure_pa)),
        high=whole_psi(min(max(result.pressure_high_pa, result.min_pressure_pa), result.max_pressure_pa)),
    )
    return Note(f"{model.name}_pressure", said, sources.FORCE_BALANCE, model.name)


def _how_known(model: EndModel, result: EndSetup) -> str:
    """Return the part of a key that says whose range it is: of checks, pushes, earlier riders, or of its like."""
    if result.checks_used:
        return "checked."
    if result.pressure_high_pa > result.max_pressure_pa:
        return "cut."
    return "pushed." if model.end.spring_test else "bike." if model.end.memory else ""


def sag_reason(model: EndModel, result: EndSetup) -> Note:
    """Return where the target sag comes from."""
    code, percent = f"{model.name}_sag", as_typed(result.sag_target_percent)
    if model.end.sag_target_percent is not None:
        return Note(code, Message.of("sag.entered", percent=percent), sources.ENTERED, model.name)
    low, high = sag_range_percent(model.request.riding_style, model.name)
    said = Message.of(f"sag.style.{VARIANT[model.name]}", percent=percent, low=low, high=high)
    return Note(code, said, c.PRACTICE, model.name)


def _conditions_reason(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    bench, ride = model.request.bench, model.request.ride
    if bench == ride:
        return ()
    said = Message.of(
        "conditions",
        bench_c=as_typed(bench.temperature_c),
        bench_m=as_typed(bench.altitude_m),
        ride_c=as_typed(ride.temperature_c),
        ride_m=as_typed(ride.altitude_m),
        psi=whole_psi(result.ride_pressure_pa),
    )
    return (Note(f"{model.name}_conditions", said, sources.CONDITIONS, model.name),)


def _chart_reason(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    if not model.end.chart:
        return ()
    mass_kg = chart_mass_kg(model)
    read = read_chart(model.end.chart, mass_kg)
    values = {"psi": whole(read.pressure_psi), "fit": whole(result.chart_fit_percent or 0.0)}
    if read.outside:
        said = Message.of("chart.outside", **values, end=whole(read.mass_kg))
        return (Note(f"{model.name}_chart_outside", said, sources.CHART, model.name),)
    said = Message.of("chart.inside", **values, sag=as_typed(chart_sag_percent(model)))
    return (Note(f"{model.name}_chart", said, sources.CHART, model.name),)


def click_reasons(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    """Return why the adjusters start where they do."""
    notes = []
    if result.rebound is not None:
        known = ".points" if model.end.rebound_points is not None else ""
        known += ".not_counted" if model.end.rebound_clicks is None else ""
        notes.append(_click_reason(model.name, f"clicks.rebound{known}", result.rebound, "rebound"))
    if result.compression is not None:
        notes.append(_click_reason(model.name, "clicks.compression", result.compression, "compression"))
    return tuple(notes)


def _click_reason(name: EndName, key: str, start: ClickStart, adjuster: str) -> Note:
    at_end = ".at_end" if start.clamped else ""
    damping = whole(start.damping_n_s_per_m)
    said = Message.of(f"{key}{at_end}", out=start.out, total=start.total, damping=damping)
    return Note(f"{name}_{adjuster}", said, sources.DAMPING, name)


def _learned_reason(result: EndSetup) -> tuple[Note, ...]:
    if not result.checks_used or result.force_factor is None or result.friction_n is None:
        return ()
    percent, variant = 100 * (result.force_factor - 1), VARIANT[result.end]
    found = {"count": result.checks_used, "friction": whole(result.friction_n)}
    if abs(percent) < 1:
        said = Message.of(f"learned.as_assumed.{variant}", **found)
    else:
        way = "more" if percent > 0 else "less"
        said = Message.of(f"learned.{way}.{variant}", **found, percent=whole(abs(percent)))
    return (Note(f"{result.end}_learned", said, sources.LEARNED, result.end),)


def _memory_reasons(model: EndModel) -> tuple[Note, ...]:
    """Return what others taught: earlier riders of a bike that remembers, and riders of other specimens of its unit."""
    return tuple(
        Note(f"{model.name}_{of}", _taught(f"learned_{of}", memory, model), sources.LEARNED, model.name)
        for of, memory in (("bike", model.end.memory), ("unit", model.end.unit_memory))
        if memory is not None
    )


def _taught(key: str, memory: SpringMemory, model: EndModel) -> Message:
    percent, variant = 100 * (typical_factor(memory, model) - 1), VARIANT[model.name]
    if abs(percent) < 1:
        return Message.of(f"{key}.as_assumed.{variant}", count=memory.riders)
    way = "more" if percent > 0 else "less"
    return Message.of(f"{key}.{way}.{variant}", count=memory.riders, percent=whole(abs(percent)))


def rules_changed(before: Setup, name: EndName) -> tuple[Note, ...]:
    """Return what explains a step away from numbers of an earlier version of the rules; empty without one."""
    marked = any(note.code == "earlier_rules" and note.end == name for note in before.cautions)
    if before.rules_version == RULES_VERSION and not marked:
        return ()
    return (Note("rules_changed", Message.of(f"rules_changed.{VARIANT[name]}"), end=name),)


def sag_check_advice(check: SagCheck, result: EndSetup, set_pa: float, *, settled: bool) -> Note:
    """Return what to do with the pump after a sag check.

    `set_pa` is the pressure as it was set, carried to where the bike is pumped [Pa, gauge].
    """
    variant = VARIANT[check.end]
    values = {"psi": whole_psi(result.pressure_pa), "sag": expected_mm(result.sag_expected_mm, result.sag_target_mm)}
    target, low, high = (halves(mm) for mm in (result.sag_target_mm, result.sag_low_mm, result.sag_high_mm))
    if settled and abs(result.sag_expected_mm - result.sag_target_mm) > result.tolerance_mm:
        said = Message.of(f"sag_at_limit.{variant}", **values, target=target)
        return Note("sag_at_limit", said, sources.SAG_LIMITS, check.end)
    if settled:
        said = Message.of(f"sag_settled.{variant}", **values, target=target, low=low, high=high)
        return Note("sag_settled", said, sources.TOLERANCE, check.end)
    # The difference of the two numbers as they are shown, so that the three agree.
    change = as_typed(whole_psi(result.pressure_pa) - whole_psi(set_pa))
    if not change:
        said = Message.of(f"sag_again.{variant}", psi=values["psi"], target=target)
        return Note("sag_again", said, "", check.end)
    code = "sag_pump" if change > 0 else "sag_let_out"
    said = Message.of(f"{code}.{variant}", **values, low=low, high=high, change=abs(change))
    return Note(code, said, "", check.end)


def bench_notes(result: EndSetup) -> tuple[Note, ...]:
    """Return what the gap reads where the spring is set, where that differs from the ride as it is shown."""
    if not result.reads_otherwise or (result.coil is not None and not result.coil.fits):
        return ()
    said = Message.of(f"sag_where_set.{VARIANT[result.end]}", sag=expected_at_bench_mm(result))
    return (Note("sag_where_set", said, sources.CONDITIONS, result.end),)


def air_note(bench: Conditions, there: Conditions, gauge_pa: float, result: EndSetup) -> Note:
    """Return what pressure [Pa, gauge] to set in the air of a check, and what the gap should then read there.

    `result` has the shift of that place for that of the bench.
    """
    values = {**_both_airs(bench, there), "psi": whole_psi(gauge_pa), "sag": expected_at_bench_mm(result)}
    said = Message.of(f"sag_in_this_air.{VARIANT[result.end]}", **values)
    return Note("sag_in_this_air", said, sources.CONDITIONS, result.end)


def air_maximum_note(bench: Conditions, there: Conditions, result: EndSetup) -> Note:
    """Return that the maximum holds in the air of a check too, where what to set there would be above it."""
    values = {**_both_airs(bench, there), "psi": whole_psi(result.max_pressure_pa)}
    said = Message.of(f"sag_air_maximum.{VARIANT[result.end]}", **values)
    return Note("sag_air_maximum", said, sources.CONDITIONS, result.end)


def _both_airs(bench: Conditions, there: Conditions) -> dict[str, float]:
    """Return temperature and altitude of two places for a sentence, no finer than anybody reads them."""
    return {
        "bench_c": places(bench.temperature_c, 1),
        "bench_m": whole(bench.altitude_m),
        "here_c": places(there.temperature_c, 1),
        "here_m": whole(there.altitude_m),
    }


def order_notes(setup: Setup) -> tuple[Note, ...]:
    """Return the order of work of a bike with both ends, while a sag is not yet on target."""
    if setup.front is None or setup.rear is None or setup.settled:
        return ()
    coil = ".coil" if any(end.coil for end in setup.ends()) else ""
    return (Note("order_of_work", Message.of(f"order_of_work{coil}"), c.PRACTICE),)
