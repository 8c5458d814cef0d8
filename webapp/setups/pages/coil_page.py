"""A coil main spring as the strings of its page: rate and preload, the springs to choose from, and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from setup_rules import EndSetup
from setup_rules.types.result import CoilSetup
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.phrases import preload_words, rate_and_pounds, rate_parts

#: Where the right rate lies, by whether a sag check is known of.
_NEEDED: Final = {
    False: _l("Most bikes like this need %(rate)s (%(pounds)s). Measure sag to find yours."),
    True: _l("By your sag checks, this bike needs %(rate)s (%(pounds)s)."),
}
_ORIGINS: Final = {
    "exact": _l("The exact rate. Take the nearest spring and enter it."),
    "stocked": _l("Of the springs that you entered, the nearest in sag."),
    "fitted": _l("The spring that is fitted."),
}


@dataclass(frozen=True, slots=True)
class SpringRow:
    """One spring that is to be had: its rate in both units, and the sag at the least and at the best preload."""

    rate: str
    least: str
    preload: str
    sag: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class CoilPage:
    """The coil of one end: its two numbers with what goes with them, and the nearest springs."""

    fits: bool
    stroke_needed: str
    rate: str
    headline: tuple[tuple[str, str], tuple[str, str]]
    rate_range: str
    origin: str
    preload: str
    turns: str
    preload_limit: str
    least: str
    springs: tuple[SpringRow, ...]


def present_coil(end: EndSetup) -> CoilPage | None:
    """Return the coil of an end, None where it has an air spring."""
    coil = end.coil
    if coil is None:
        return None
    turns = "" if coil.preload_turns is None else _("turns: %(turns)s", turns=numbers.turns(coil.preload_turns))
    return CoilPage(
        fits=coil.fits,
        stroke_needed=_stroke_needed(coil),
        rate=numbers.rate(coil.rate_n_per_m),
        headline=rate_parts(coil),
        rate_range=_rate_range(end, coil),
        origin=str(_ORIGINS[coil.origin]),
        preload=numbers.preload(coil.preload_mm),
        turns=turns,
        preload_limit=_preload_limit(coil),
        least=numbers.preload(coil.preload_min_mm),
        springs=tuple(_spring_rows(coil)),
    )


def _stroke_needed(coil: CoilSetup) -> str:
    """Return what is needed instead of a spring that is too short; empty where the spring may be fitted."""
    if coil.stroke_needed_mm is None:
        return ""
    return _(
        "The coils would touch. A spring of about %(rate)s with a stroke of at least %(mm)s mm is needed.",
        rate=rate_and_pounds(coil.rate_wanted_n_per_m),
        mm=numbers.general(coil.stroke_needed_mm),
    )


def _rate_range(end: EndSetup, coil: CoilSetup) -> str:
    rate = numbers.rate_range(coil.rate_low_n_per_m, coil.rate_high_n_per_m)
    pounds = numbers.pounds_range(coil.rate_low_n_per_m, coil.rate_high_n_per_m)
    return str(_NEEDED[end.checks_used > 0] % {"rate": rate, "pounds": pounds})


def _preload_limit(coil: CoilSetup) -> str:
    most = numbers.preload(coil.preload_max_mm)
    if not coil.fits:
        return ""
    if coil.preload_max_bind:
        return _("Never more than %(most)s mm, or the coils touch.", most=most)
    if coil.preload_max_assumed:
        return _("Never more than %(most)s mm, our estimate: check the manual.", most=most)
    return _("Never more than %(most)s mm.", most=most)


def _spring_rows(coil: CoilSetup) -> list[SpringRow]:
    if not coil.fits:
        return []
    return [
        SpringRow(
            rate=rate_and_pounds(one.rate_n_per_m),
            least=_("%(mm)s mm", mm=numbers.halves(one.least_preload_sag_mm)),
            preload=_("%(mm)s mm", mm=numbers.preload(one.preload_mm)),
            sag=_("%(mm)s mm", mm=numbers.halves(one.sag_mm)),
            chosen=one.rate_n_per_m == coil.rate_n_per_m,
        )
        for one in coil.choices
    ]


def coil_facts(end: EndSetup) -> list[tuple[str, str]]:
    """Return the further facts of an end with a coil: none of air."""
    if end.coil is None:
        return []
    limit = _("%(mm)s mm", mm=numbers.preload(end.coil.preload_max_mm))
    if not end.coil.fits:
        return [(_("Rate for the target sag"), rate_and_pounds(end.coil.rate_wanted_n_per_m))]
    if end.coil.preload_max_assumed:
        limit = _("%(limit)s, our estimate: check the manual", limit=limit)
    wanted = rate_and_pounds(end.coil.rate_wanted_n_per_m)
    return [(_("Rate for the target sag"), wanted), (_("Maximum preload"), limit)]


def spring_steps(end: EndSetup) -> tuple[str, ...]:
    """Return how to fit the spring of an end and set its preload, one sentence a step; empty for air."""
    coil = end.coil
    if coil is None:
        return ()
    if not coil.fits:
        return (_("Do not fit the spring. %(why)s", why=_stroke_needed(coil)),)
    fit = _("Turn the preload back until the spring in it is loose. Only then take it off.")
    rate = rate_and_pounds(coil.rate_n_per_m)
    return (
        fit,
        _("Fit the spring of %(rate)s as the manual says. If you are not sure, ask a qualified mechanic.", rate=rate),
        _(
            "Turn the preload on until the spring just no longer moves by hand, then to %(preload)s.",
            preload=preload_words(coil),
        )
        if coil.preload_mm
        else _("Set no preload: the spring just no longer moves by hand at full extension."),
    )
