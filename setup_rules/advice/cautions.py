"""Where somebody could get hurt, or a number is not what was asked for: the cautions that go with a result."""

from __future__ import annotations

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.size_class import fork_class
from setup_rules.inference.start_setting import Banded
from setup_rules.messages.wording import UNIT_WORD, whole_psi
from setup_rules.types import constants as c
from setup_rules.types.limits import USUAL_SAG_PERCENT
from setup_rules.types.request import EndName, FrontEnd, RearEnd
from setup_rules.types.result import EndSetup, Note

#: Where the load grows by more than this share of the spring's rate, the sag is not steady (our estimate).
_STEADY_SHARE = 0.7


def general_cautions(has_coil: bool) -> tuple[Note, ...]:
    """Return the cautions that every setup carries."""
    notes = [
        Note(
            "start_point",
            "These numbers are a start point. The manual of the fork, the shock and the frame and local rules come "
            "first; in doubt, ask a qualified mechanic.",
        ),
        Note(
            "stop_and_ask",
            "Play, a crack, a leak, a spring stuck down or a noise that was not there: stop riding and see a "
            "qualified mechanic.",
        ),
    ]
    if has_coil:
        notes.append(
            Note(
                "coil_negative",
                "With a coil as negative spring altitude changes the sag. Check it where you ride.",
            )
        )
    return tuple(notes)


def end_cautions(model: EndModel, result: EndSetup, wanted: Banded) -> tuple[Note, ...]:
    """Return the cautions of one end: its limits, an unusual target, a changed travel."""
    build = _build_cautions(model.end, model.name)
    return (*_limit_cautions(result, wanted), *_sag_cautions(model, result), *build)


def _limit_cautions(result: EndSetup, wanted: Banded) -> list[Note]:
    """Return what is to be said of the pressure limits of one end."""
    name = result.end
    notes: list[Note] = []
    limit = {"unit": UNIT_WORD[name], "wanted": whole_psi(wanted.middle), "sag": f"{result.sag_expected_mm:.0f}"}
    if wanted.middle > result.max_pressure_pa:
        notes.append(
            Note(
                "pressure_above_maximum",
                "The {unit} would need {wanted} psi, more than its maximum of {limit} psi. Do not go above it: set the "
                "maximum, expect about {sag} mm of sag, and ask a workshop for a spring or a unit made for the load.",
                {**limit, "limit": whole_psi(result.max_pressure_pa)},
                end=name,
            )
        )
    if wanted.middle < result.min_pressure_pa:
        notes.append(
            Note(
                "pressure_below_minimum",
                "The {unit} would need {wanted} psi, less than its minimum of {limit} psi. Do not ride below it: set "
                "the minimum, expect about {sag} mm of sag, and ask a workshop for a lighter spring or a lighter unit.",
                {**limit, "limit": whole_psi(result.min_pressure_pa)},
                end=name,
            )
        )
    if result.max_pressure_assumed:
        notes.append(
            Note(
                "maximum_assumed",
                "The maximum pressure of the {unit} was not entered; {limit} psi is a cautious guess. Read the figure "
                "printed on the unit and never pump above it.",
                {"unit": UNIT_WORD[name], "limit": whole_psi(result.max_pressure_pa)},
                end=name,
            )
        )
    return notes


def _sag_cautions(model: EndModel, result: EndSetup) -> list[Note]:
    """Return what is to be said of a target sag that is unusual, or that cannot be held steadily."""
    notes: list[Note] = []
    low, high = USUAL_SAG_PERCENT
    if not low <= result.sag_target_percent <= high:
        notes.append(
            Note(
                "sag_unusual",
                "A target sag of {percent} % is outside the usual {low} to {high} %. Ride carefully at first.",
                {"percent": f"{result.sag_target_percent:g}", "low": f"{low:g}", "high": f"{high:g}"},
                source=c.PRACTICE,
                end=result.end,
            )
        )
    target_m = result.sag_target_mm / 1000
    wheel_load_n = result.load_n / float(model.leverage.at(target_m))
    if wheel_load_n * float(model.leverage.slope_at(target_m)) > _STEADY_SHARE * result.rate_n_per_m:
        notes.append(
            Note(
                "sag_unsteady",
                "The leverage of this frame rises so much that the load grows almost as fast as the spring's force: "
                "the sag jumps with small changes of pressure. Change it in small steps and measure each time.",
                end=result.end,
            )
        )
    return notes


def _build_cautions(end: FrontEnd | RearEnd, name: EndName) -> list[Note]:
    notes: list[Note] = []
    if isinstance(end, FrontEnd) and (end.longest_travel_mm or end.travel_mm) > end.travel_mm:
        notes.append(
            Note(
                "travel_spacers",
                "Travel was set by spacers: with the air out and the fork fully compressed, check the gap from tyre to "
                "crown and to the frame before riding, and keep to the travel that the makers of fork and frame allow.",
                end=name,
            )
        )
    if isinstance(end, FrontEnd):
        size = fork_class(end)
        low, high = size.usual_travel_mm
        longest = end.longest_travel_mm or end.travel_mm
        if size.stanchion_known and not low - 25 <= longest <= high + 25:
            notes.append(
                Note(
                    "travel_unusual",
                    "{travel} mm of travel is unusual for a stanchion of {stanchion} mm (usual: {low} to {high} mm). "
                    "Check both; if they are right, trust the sag check more than the start pressure.",
                    {
                        "travel": f"{longest:g}",
                        "stanchion": size.stanchion_mm,
                        "low": f"{low:g}",
                        "high": f"{high:g}",
                    },
                    source=c.ESTIMATE,
                    end=name,
                )
            )
    return notes


def chart_cautions(model: EndModel, without_chart: Banded, with_chart: Banded) -> tuple[Note, ...]:
    """Return the caution that a chart differs from the model by more than the model's band; empty otherwise."""
    if not model.end.chart or without_chart.low <= with_chart.middle <= without_chart.high:
        return ()
    percent = 100 * (with_chart.middle / without_chart.middle - 1)
    return (
        Note(
            "chart_differs",
            "The chart asks for {psi} psi, {percent} % {more} than a usual {unit} of this size needs (likely {low} "
            "to {high} psi). Check that the chart, its units and the travel are this unit's, then trust the sag check.",
            {
                "psi": whole_psi(with_chart.middle),
                "percent": f"{abs(percent):.0f}",
                "more": "more" if percent > 0 else "less",
                "unit": UNIT_WORD[model.name],
                "low": whole_psi(without_chart.low),
                "high": whole_psi(without_chart.high),
            },
            end=model.name,
        ),
    )
