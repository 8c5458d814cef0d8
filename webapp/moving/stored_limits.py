"""The bounds that an ordinary save keeps, held against what a shop's file wants stored."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import astuple, fields
from typing import Any, Final, get_args

from setup_rules import EndSetup, Setup, read_request, request_data
from setup_rules.types.limits import CORRECTION_LIMITS, LEAST_PUSHES, LIMITS, MOST_PUSHES, limit_of
from setup_rules.types.request import Datum, Place, SetupRequest
from setup_rules.types.result import RULES_VERSION, ClickStart, CoilSetup, PushedSpring, SagCheck, SecondChamber
from setup_rules.types.units import PSI_PA
from setup_rules.workshop.checklist import KINDS, MOST_IN_RECORD, Step
from webapp.ground.text.free_text import SERVICE_NOTE_LENGTH, text_problem

#: Everything that leads to a revision.
_ENDS: Final = ("front", "rear")
REVISION_KINDS: Final = frozenset(
    (
        *("created", "service", "what_if", "travel_change", "restored", "check_struck", "check_counted"),
        *("corrected", "borrowed", "returned"),
        *("sag_check_both", *(f"{kind}_{end}" for kind in ("sag_check", "ride", "bounce_check") for end in _ENDS)),
    )
)
_STEP_STATES: Final = ("open", "done", "left_out")
#: Beyond any force [N], rate [N/m], pressure [Pa] or damping that the rules answer.
_MOST: Final = 1e9
_ROUNDING: Final = 1 + 1e-9
#: A spring that was measured may stay half a step of preload beyond what would be set.
_PRELOAD_SLACK_MM: Final = 1.0
#: What is measured on a unit, by the limit that its field has. The pressure before the hose is worked out from both.
_MEASURED: Final = {
    "pressure_psi": "read_pressure_psi",
    "before_hose_psi": "set_pressure_psi",
    "hose_cm3": "hose_volume_cm3",
    "chamber_cm3": "chamber_volume_cm3",
    "temperature_c": "temperature_c",
    "sag_mm": "measured_sag_mm",
    "rebound_out": "clicks_out",
    "compression_out": "clicks_out",
    "volume_spacers": "volume_spacers",
}


def hold_revision(revision: Mapping[str, Any], setup: Setup) -> None:
    """Return when a revision could have been saved by ourselves (raises ValueError, or `RequestError` of its request).

    `setup` is what its documents were read as.
    """
    base, version = revision["base_number"], revision["rules_version"]
    _need(revision["kind"] in REVISION_KINDS, "kind")
    _need(base is None or base < revision["number"], "base_number")
    _need(version == setup.rules_version and version in _known_versions(), "rules_version")
    _hold_request(setup.request)
    for taken in setup.checks:
        _hold_request(taken.request)
        _hold_check(taken.check)
        _need(abs(taken.carried_mm or 0.0) <= LIMITS["travel_mm"].high, "carried_mm")
    for name in _ENDS:
        end, asked = getattr(setup, name), getattr(setup.request, name)
        _need((end is None) == (asked is None), name)
        if end is not None:
            _need(end.end == name and (end.coil is None) == (asked.spring == "air"), name)
            _hold_end(end, asked.max_pressure_psi)
            _need((end.second is None) == (asked.second_volume_cm3 is None), "second")


def hold_measured(values: Mapping[str, Any]) -> None:
    """Return when what was measured on a unit is numbers and one-line texts, as the forms note it."""
    for name, value in values.items():
        if name in ("symptoms", "note"):
            _need(isinstance(value, str) and text_problem(value, SERVICE_NOTE_LENGTH) is None, name)
        elif name in _MEASURED:
            _need(_is_number(value) and limit_of(_MEASURED[name]).holds(value), name)


def hold_steps(steps: tuple[Step, ...]) -> None:
    """Return when the steps of a checklist or record are ones that we know."""
    _need(len(steps) <= MOST_IN_RECORD, "steps")
    for step in steps:
        _need(isinstance(step.key, str) and isinstance(step.title, str) and isinstance(step.values, dict), "step")
        _need(step.kind in KINDS and step.state in _STEP_STATES, "step")


def _known_versions() -> tuple[str, ...]:
    return tuple(str(number) for number in range(1, int(RULES_VERSION) + 1))


def _hold_request(request: SetupRequest) -> None:
    read_request(request_data(request))


def _hold_check(check: SagCheck) -> None:
    readings = (*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm)
    _need(check.end in _ENDS and bool(readings), "check")
    _need(check.place in get_args(Place) and check.datum in (None, *get_args(Datum)), "check")
    _need(all(CORRECTION_LIMITS["sag_mm"].holds(value) for value in readings), "readings")
    _need(CORRECTION_LIMITS["set_pressure_psi"].holds(check.pressure_pa / PSI_PA / _ROUNDING), "pressure")
    rate = check.spring_rate_n_per_mm
    _need(rate is None or CORRECTION_LIMITS["spring_rate_n_per_mm"].holds(rate), "spring_rate_n_per_mm")
    _need(CORRECTION_LIMITS["preload_mm"].holds(check.preload_mm), "preload_mm")


def _hold_end(end: EndSetup, asked_psi: float | None) -> None:
    most = min(end.max_pressure_pa, (LIMITS["max_pressure_psi"].high if asked_psi is None else asked_psi) * PSI_PA)
    _need(0 <= end.pressure_pa <= most * _ROUNDING, "pressure_pa")
    _need(0 <= end.min_pressure_pa <= LIMITS["min_pressure_psi"].high * PSI_PA * _ROUNDING, "min_pressure_pa")
    _need(LIMITS["stroke_mm"].low <= end.travel_mm <= LIMITS["travel_mm"].high, "travel_mm")
    _need(0 < end.sag_target_mm <= end.travel_mm, "sag_target_mm")
    _need(abs(end.bench_shift_mm or 0.0) <= end.travel_mm, "bench_shift_mm")
    _need(_is_count(end.volume_spacers) and LIMITS["volume_spacers"].holds(end.volume_spacers), "volume_spacers")
    for field in fields(end):
        value = getattr(end, field.name)
        _need(not isinstance(value, float) or (math.isfinite(value) and abs(value) <= _MOST), field.name)
    if end.coil is not None:
        _hold_coil(end.coil)
    for clicks in (end.rebound, end.compression):
        _hold_clicks(clicks)
    _hold_pushed(end.pushed)
    _hold_second(end.second)
    curve = end.curve
    _need(len(curve.compression_mm) == len(curve.force_n) == len(curve.load_n) > 1, "curve")


def _hold_coil(coil: CoilSetup) -> None:
    """Return when a coil is one that could have been answered: within its preload, every rate a number above zero."""
    _need(0 <= coil.preload_mm <= coil.preload_max_mm + _PRELOAD_SLACK_MM, "preload_mm")
    _need(coil.preload_max_mm <= LIMITS["preload_mm_max"].high, "preload_max_mm")
    rates = (coil.rate_n_per_m, *(choice.rate_n_per_m for choice in coil.choices))
    _need(all(_is_number(rate) and 0 < rate <= _MOST for rate in rates), "rate_n_per_m")
    parts: tuple[Any, ...] = (coil, *coil.choices)
    values = [v for part in parts for v in astuple(part)]
    _need(all(not isinstance(v, float) or (math.isfinite(v) and abs(v) <= _MOST) for v in values), "coil")


def _hold_second(second: SecondChamber | None) -> None:
    """Return when a second chamber is one that could have been answered: within its maximum, every number finite."""
    if second is None:
        return
    _need(0 <= second.pressure_pa <= second.max_pressure_pa * _ROUNDING, "second.pressure_pa")
    _need(second.max_pressure_pa <= LIMITS["second_max_pressure_psi"].high * PSI_PA * _ROUNDING, "second.max")
    _need(LIMITS["second_volume_cm3"].holds(second.volume_cm3), "second.volume_cm3")
    values: tuple[Any, ...] = astuple(second)
    _need(all(not isinstance(v, float) or (math.isfinite(v) and abs(v) <= _MOST) for v in values), "second")


def _hold_pushed(pushed: PushedSpring | None) -> None:
    if pushed is None:
        return
    rows = (pushed.compression_mm, pushed.force_n, pushed.residual_n)
    _need(len({len(row) for row in rows}) == 1 and LEAST_PUSHES <= len(rows[0]) <= MOST_PUSHES, "pushed")
    _need(len(pushed.curve_mm) == len(pushed.curve_n) > 1, "pushed")
    numbers = (
        pushed.pressure_pa,
        pushed.friction_n,
        *(n for row in rows for n in row),
        *pushed.curve_mm,
        *pushed.curve_n,
    )
    _need(all(_is_number(n) and math.isfinite(n) and abs(n) <= _MOST for n in numbers), "pushed")


def _hold_clicks(clicks: ClickStart | None) -> None:
    if clicks is None:
        return
    _need(_is_count(clicks.out) and _is_count(clicks.total) and _is_count(clicks.beyond), "clicks")
    _need(0 <= clicks.out <= clicks.total <= LIMITS["rebound_clicks"].high, "clicks")


def _is_count(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _need(good: bool, what: str) -> None:
    if not good:
        raise ValueError(what)
