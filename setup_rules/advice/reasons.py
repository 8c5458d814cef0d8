"""The sentences that go with a result: why each number is what it is, and what to do after a sag check."""

from __future__ import annotations

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.pressure_chart import chart_mass_kg, chart_sag_percent, read_chart
from setup_rules.inference.sag_target import sag_range_percent
from setup_rules.inference.size_class import fork_class
from setup_rules.messages.wording import UNIT_WORD, half_mm, whole_psi
from setup_rules.types import constants as c
from setup_rules.types.request import FrontEnd
from setup_rules.types.result import EndSetup, Note, SagCheck
from setup_rules.types.units import PSI_PA


def end_reasons(model: EndModel, result: EndSetup, load_share: float) -> tuple[Note, ...]:
    """Return why each number of one end is what it is: relation, assumption and source."""
    return (
        _load_reason(model, result, load_share),
        _spring_reason(model),
        _pressure_reason(model, result),
        _sag_reason(model, result),
        *_conditions_reason(model, result),
        *_click_reasons(model, result),
        *_chart_reason(model, result),
        *_learned_reason(result),
    )


def _load_reason(model: EndModel, result: EndSetup, share: float) -> Note:
    r = model.request
    values: dict[str, str | float] = {
        "share": f"{100 * share:.0f}",
        "bike": f"{r.bike_mass_kg:.0f}",
        "load": f"{result.load_n:.0f}",
    }
    source = c.FRONT_SHARE[r.stance].source
    if model.name == "front":
        text = (
            "The fork carries {share} % of rider and kit and nearly half of the {bike} kg bike, less "
            "what hangs below the spring: {load} N along the legs."
        )
    else:
        text = (
            "The shock carries {share} % of rider and kit and about half of the {bike} kg bike, less "
            "what hangs below the spring, times the leverage at sag: {load} N along the shock."
        )
    return Note(f"{model.name}_load", text, values, source, model.name)


def _spring_reason(model: EndModel) -> Note:
    end = model.end
    if end.bore_mm and end.positive_volume_cm3 and (end.negative_volume_cm3 or end.negative_rate_n_per_mm):
        return Note(
            f"{model.name}_spring",
            "Spring computed from the internals entered: bore {bore} mm, positive chamber {volume} cm³.",
            {"bore": f"{end.bore_mm:g}", "volume": f"{end.positive_volume_cm3:g}"},
            "as entered",
            model.name,
        )
    if isinstance(end, FrontEnd):
        size = fork_class(end)
        how = "entered" if size.stanchion_known else "usual for this travel"
        return Note(
            "front_spring",
            "Internals not entered are those of forks with {stanchion} mm stanchions ({how}), with {negative} "
            "negative spring; what they may be in yours is the main part of the range.",
            {
                "stanchion": size.stanchion_mm,
                "how": how,
                "negative": "an air" if end.negative_spring == "air" else "a coil",
            },
            c.ESTIMATE,
            "front",
        )
    return Note(
        "rear_spring",
        "Internals not entered are those of common shocks (bore {low} to {high} mm); what they may be in yours is the "
        "main part of the range.",
        {"low": f"{c.SHOCK_BORE.low:g}", "high": f"{c.SHOCK_BORE.high:g}"},
        c.ESTIMATE,
        "rear",
    )


def _pressure_reason(model: EndModel, result: EndSetup) -> Note:
    return Note(
        f"{model.name}_pressure",
        "{psi} psi (gauge, fully extended, after cycling) balances that load at the target sag; in 9 of 10 cases the "
        "right pressure lies between {low} and {high} psi.",
        {
            "psi": whole_psi(result.pressure_pa),
            "low": whole_psi(min(max(result.pressure_low_pa, result.min_pressure_pa), result.max_pressure_pa)),
            "high": whole_psi(min(max(result.pressure_high_pa, result.min_pressure_pa), result.max_pressure_pa)),
        },
        "force balance on the piston; Boyle's law, settled (n = 1)",
        model.name,
    )


def _sag_reason(model: EndModel, result: EndSetup) -> Note:
    if model.end.sag_target_percent is not None:
        return Note(
            f"{model.name}_sag",
            "Target sag of {percent} % as entered.",
            {"percent": f"{result.sag_target_percent:g}"},
            "as entered",
            model.name,
        )
    low, high = sag_range_percent(model.request.riding_style, model.name)
    part = "travel" if model.name == "front" else "stroke"
    return Note(
        f"{model.name}_sag",
        "Target sag of {percent} % of the {part}: the middle of {low} to {high} % for this riding style.",
        {"percent": f"{result.sag_target_percent:g}", "part": part, "low": f"{low:g}", "high": f"{high:g}"},
        c.PRACTICE,
        model.name,
    )


def _conditions_reason(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    bench, ride = model.request.bench, model.request.ride
    if bench == ride:
        return ()
    return (
        Note(
            f"{model.name}_conditions",
            "Pumped at {bench_c} °C and {bench_m} m, the pump would read {psi} psi on the ride at {ride_c} °C and "
            "{ride_m} m: the start pressure already allows for it.",
            {
                "bench_c": f"{bench.temperature_c:g}",
                "bench_m": f"{bench.altitude_m:g}",
                "ride_c": f"{ride.temperature_c:g}",
                "ride_m": f"{ride.altitude_m:g}",
                "psi": whole_psi(result.ride_pressure_pa),
            },
            "Gay-Lussac's law; standard atmosphere, ISO 2533",
            model.name,
        ),
    )


def _chart_reason(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    if not model.end.chart:
        return ()
    read = read_chart(model.end.chart, chart_mass_kg(model))
    values: dict[str, str | float] = {
        "psi": f"{read.pressure_psi:.0f}",
        "mass": f"{chart_mass_kg(model):.0f}",
        "sag": f"{chart_sag_percent(model):g}",
        "fit": f"{result.chart_fit_percent or 0.0:.0f}",
        "end": f"{read.mass_kg:.0f}",
    }
    if read.outside:
        text = (
            "{mass} kg lies beyond the chart, which ends at {end} kg with {psi} psi: from there on the spring model "
            "carries it. Chart and fitted spring agree within {fit} %."
        )
        return (Note(f"{model.name}_chart_outside", text, values, "the unit's chart, as entered", model.name),)
    text = (
        "The unit's chart gives {psi} psi for {mass} kg, taken as meant for {sag} % sag at 20 °C near sea level; chart "
        "and fitted spring agree within {fit} %."
    )
    return (Note(f"{model.name}_chart", text, values, "the unit's chart, as entered", model.name),)


def _click_reasons(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    notes = []
    for kind, start, entered in (
        ("rebound", result.rebound, model.end.rebound_clicks),
        ("compression", result.compression, model.end.compression_clicks),
    ):
        if start is None:
            continue
        values: dict[str, str | float] = {
            "kind": kind,
            "out": start.out,
            "total": start.total,
            "damping": f"{start.damping_n_s_per_m:.0f}",
        }
        known = kind == "rebound" and model.end.rebound_points is not None
        where = "between the two points entered" if known else "about the middle of a usual adjuster"
        text = f"{{out}} {{kind}} clicks out from fully closed, of {{total}}: {{damping}} N·s/m wanted, placed {where}."
        if entered is None:
            text += " The number of clicks was not entered: count yours and set the same share of them."
        if start.clamped:
            text += " More would be needed than the adjuster has; this is its end."
        notes.append(Note(f"{model.name}_{kind}", text, values, f"c = 2ζ√(k·m); {c.ESTIMATE}", model.name))
    return tuple(notes)


def _learned_reason(result: EndSetup) -> tuple[Note, ...]:
    if not result.checks_used or result.force_factor is None or result.friction_n is None:
        return ()
    percent = 100 * (result.force_factor - 1)
    values: dict[str, str | float] = {
        "count": result.checks_used,
        "unit": UNIT_WORD[result.end],
        "percent": f"{abs(percent):.0f}",
        "friction": f"{result.friction_n:.0f}",
    }
    if abs(percent) < 1:
        text = "this {unit} needs what was assumed, within 1 %."
    elif percent > 0:
        text = "this {unit} needs about {percent} % more pressure than was first assumed."
    else:
        text = "this {unit} needs about {percent} % less pressure than was first assumed."
    begun = "From one sag check: " if result.checks_used == 1 else "From {count} sag checks: "
    text = f"{begun}{text} Friction is about {{friction}} N."
    return (Note(f"{result.end}_learned", text, values, "Bayes' rule on the readings", result.end),)


def sag_check_advice(check: SagCheck, result: EndSetup, settled: bool) -> Note:
    """Return what to do with the pump after a sag check."""
    values: dict[str, str | float] = {
        "unit": UNIT_WORD[check.end],
        "psi": whole_psi(result.pressure_pa),
        "sag": half_mm(result.sag_expected_mm),
        "target": half_mm(result.sag_target_mm),
        "low": half_mm(result.sag_low_mm),
        "high": half_mm(result.sag_high_mm),
    }
    if settled and abs(result.sag_expected_mm - result.sag_target_mm) > result.tolerance_mm:
        text = (
            "{psi} psi is as near as this {unit} can come: it sags about {sag} mm, the target is {target} mm. The "
            "cautions say what to do instead."
        )
        return Note("sag_at_limit", text, values, "limits of the unit", check.end)
    if settled:
        text = (
            "Done, ride it: at {psi} psi the {unit} sags about {sag} mm (likely {low} to {high}), close enough to the "
            "target of {target} mm."
        )
        return Note("sag_settled", text, values, "tolerance: 2 mm or 2 % of the travel", check.end)
    change = result.pressure_pa - check.pressure_pa
    values["change"] = f"{abs(change) / PSI_PA:.0f}"
    if change > 0:
        text = "Pump about {change} psi more into the {unit}, to {psi} psi; "
    else:
        text = "Let about {change} psi out of the {unit}, to {psi} psi; "
    text += (
        "cycle it 5 to 10 times and read the pressure again until it stays. It should then sag {sag} mm, likely {low} "
        "to {high}. Measure once more."
    )
    return Note("sag_pump" if change > 0 else "sag_let_out", text, values, "", check.end)
