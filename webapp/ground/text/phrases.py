"""Words that several pages share: fork or shock, a note as a sentence, a moment, what is set on a spring."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Final

from setup_rules import Conditions, EndSetup, Setup
from setup_rules.types.result import CoilSetup, Note
from setup_rules.types.units import LBF_PER_IN_N_PER_M, PSI_PA, to_base
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.own_unit_sentences import say_in_own_units
from webapp.ground.text.own_units import air_words, pressure_words

#: Rates in N/mm go in halves [N/m].
_HALF_N_PER_MM: Final = 500.0


def end_word(name: str) -> str:
    """Return what the spring end `name` is called, as a heading."""
    return _("Fork") if name == "front" else _("Shock")


def place_word(name: str) -> str:
    """Return where the spring end `name` is on the bike."""
    return _("front") if name == "front" else _("rear")


def sentence(note: Note, setup: Setup) -> str:
    """Return a note of the rules on `setup` in the reader's language and units, filled in."""
    return say_in_own_units(note.said, most_allowed_pa(note, setup))


def most_allowed_pa(note: Note, setup: Setup) -> float:
    """Return the lowest maximum pressure [Pa, gauge] of the ends that a note is about."""
    return min((maximum_pa(end, setup) for end in setup.ends() if note.end in (None, end.end)), default=math.inf)


def source(note: Note) -> str:
    """Return where a note's numbers come from, in the reader's language; empty where nothing is to be said."""
    return _(note.source) if note.source else ""


def moment(when: datetime) -> str:
    """Return a moment (aware, UTC) as day and time."""
    return _("%(day)s, %(time)s UTC", day=numbers.day(when), time=numbers.clock(when))


def rate_and_pounds(rate_n_per_m: float) -> str:
    """Return a spring rate [N/m] in both units, as either is printed on springs."""
    return f"{numbers.rate(rate_n_per_m)} N/mm ({numbers.pounds_per_inch(rate_n_per_m)} lb/in)"


def rate_parts(coil: CoilSetup) -> tuple[tuple[str, str], tuple[str, str]]:
    """Return the rate of a coil as (number, unit) twice: first in the unit that its springs are sold in."""
    metric = (numbers.rate(coil.rate_n_per_m), "N/mm")
    pounds = (numbers.pounds_per_inch(coil.rate_n_per_m), "lb/in")
    return (pounds, metric) if _are_in_pounds(coil) else (metric, pounds)


def _are_in_pounds(coil: CoilSetup) -> bool:
    """Return whether the springs are named in pounds an inch: all whole fives of them, and no halves of N/mm."""
    rates = [one.rate_n_per_m for one in coil.choices]
    if coil.origin != "exact":
        rates.append(coil.rate_n_per_m)
    metric = all(_is_whole(rate, _HALF_N_PER_MM, 1.0) for rate in rates)
    return bool(rates) and not metric and all(_is_whole(rate, 5 * LBF_PER_IN_N_PER_M, 10.0) for rate in rates)


def _is_whole(rate_n_per_m: float, step_n_per_m: float, slack_n_per_m: float) -> bool:
    return abs(rate_n_per_m - step_n_per_m * round(rate_n_per_m / step_n_per_m)) <= slack_n_per_m


def preload_words(coil: CoilSetup) -> str:
    """Return the preload of a coil in mm, and in turns where the pitch is known."""
    if not coil.fits:
        return numbers.DASH
    millimetres = _("%(mm)s mm", mm=numbers.preload(coil.preload_mm))
    if coil.preload_turns is None:
        return millimetres
    return _("%(mm)s (turns: %(turns)s)", mm=millimetres, turns=numbers.turns(coil.preload_turns))


def setting_words(end: EndSetup) -> str:
    """Return what is set on the spring of an end: its pressure, or the rate of its coil, each in both units.

    A spring whose coils would touch is never named: nobody is to fit it.
    """
    if end.coil is not None and end.coil.stroke_needed_mm is not None:
        return _("none: a stroke of at least %(mm)s mm is needed", mm=numbers.general(end.coil.stroke_needed_mm))
    return (
        pressure_words(end.pressure_pa, end.max_pressure_pa)
        if end.coil is None
        else rate_and_pounds(end.coil.rate_n_per_m)
    )


def target_sag_words(end: EndSetup) -> str:
    """Return the target sag in millimetres, with what it reads where the spring is set where that differs."""
    target = numbers.halves(end.sag_target_mm)
    if not end.names_bench_target:
        return _("%(mm)s mm", mm=target)
    return _("%(mm)s mm on the ride, %(here)s mm where set", mm=target, here=numbers.halves(end.bench_target_mm))


def air(place: Conditions) -> str:
    """Return temperature and altitude of a place."""
    return air_words(place.temperature_c, place.altitude_m)


def maximum_pa(end: EndSetup, setup: Setup) -> float:
    """Return the maximum pressure [Pa, gauge] of an end as it was entered, where it was.

    The rules count with the whole psi below it: 20 bar, which is 290.08 psi, would read as 19.9 bar.
    """
    entered = next((one.max_pressure_psi for name, one in setup.request.ends() if name == end.end), None)
    if entered is None:
        return end.max_pressure_pa
    entered_pa = to_base("pressure", entered, "psi")
    return entered_pa if end.max_pressure_pa <= entered_pa < end.max_pressure_pa + PSI_PA else end.max_pressure_pa


def pump_range_pa(end: EndSetup) -> tuple[float, float]:
    """Return the band of the right pressure [Pa, gauge] as far as it may be pumped: within minimum and maximum.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> front = {"travel_mm": 140, "max_pressure_psi": 60}
    >>> end = recommend(read_request({"rider_mass_kg": 95, "riding_style": "trail", "front": front})).front
    >>> end.pressure_high_pa > end.max_pressure_pa, pump_range_pa(end)[1] == end.max_pressure_pa
    (True, True)
    """
    low, high = end.min_pressure_pa, end.max_pressure_pa
    return min(max(end.pressure_low_pa, low), high), min(max(end.pressure_high_pa, low), high)
