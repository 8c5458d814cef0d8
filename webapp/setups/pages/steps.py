"""The work at the bike in its order: pump every end, measure every end, then set the adjusters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from setup_rules import EndSetup
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.phrases import end_word, place_word
from webapp.ground.text.own_units import pressure_text, pressure_words
from webapp.setups.pages.coil_page import spring_steps
from webapp.setups.pages.second_chamber_page import second_steps


@dataclass(frozen=True, slots=True)
class EndSteps:
    """What to do at one spring end in one stage of the work."""

    heading: str
    place: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the work, done at both ends before the next one begins."""

    heading: str
    ends: tuple[EndSteps, ...]


def present_stages(ends: tuple[EndSetup, ...]) -> tuple[Stage, ...]:
    """Return the stages of the work, each done at every end before the next begins."""
    return tuple(_stages(ends))


def _stages(ends: tuple[EndSetup, ...]) -> Iterator[Stage]:
    """Yield the work in its order: pump every end, then measure every end, then set the adjusters."""
    for heading, steps_of in (
        (_spring_heading(ends), _set_steps),
        (_("Measure sag"), _sag_steps),
        (_("Clicks"), _click_steps),
    ):
        done = tuple(
            EndSteps(end_word(end.end), place_word(end.end), steps) for end in ends if (steps := steps_of(end))
        )
        if done:
            yield Stage(heading, done)


def _spring_heading(ends: tuple[EndSetup, ...]) -> str:
    kinds = {end.coil is None for end in ends}
    if kinds == {True}:
        return _("Pump")
    return _("Set the spring") if kinds == {False} else _("Pump, or set the spring")


def _set_steps(end: EndSetup) -> tuple[str, ...]:
    return spring_steps(end) or _pump_steps(end) + second_steps(end)


def _pump_steps(end: EndSetup) -> tuple[str, ...]:
    pressure = pressure_text(end.pressure_pa, end.max_pressure_pa)
    both = pressure_words(end.pressure_pa, end.max_pressure_pa)
    return (
        _("Lift the wheel off the ground, connect the pump and set %(pressure)s.", pressure=both),
        _("Remove the pump. Push through most of the travel 5 to 10 times so that both air chambers equalise."),
        _(
            "Connect the pump again and set %(pressure)s again. Repeat until the reading no longer changes.",
            pressure=pressure.short,
        ),
    )


def _sag_steps(end: EndSetup) -> tuple[str, ...]:
    if end.coil is not None and not end.coil.fits:
        return ()
    stand = _(
        "Open any lockout, wear your full riding kit, lean on a wall in your riding position and stay still for "
        "30 seconds. "
        "Slide the O-ring on the %(ring)s to the seal and step off gently.",
        ring=_("stanchion") if end.end == "front" else _("shock shaft"),
    )
    if end.datum == "wheel_off_ground":
        read = _("Lift the wheel off the ground. Sag is the gap between seal and O-ring. Measure it.")
    else:
        read = _(
            "Leave the bike standing on its wheels without you. Sag is the gap between seal and O-ring. Measure it."
        )
    return stand, f"{read} {_good_sag(end)}"


def _good_sag(end: EndSetup) -> str:
    if end.coil is not None and end.limited:
        return _(
            "The target is %(sag)s mm, but no spring that you entered reaches it: expect about %(expected)s mm.",
            sag=numbers.halves(end.sag_target_mm),
            expected=numbers.expected_mm(end.sag_expected_mm, end.sag_target_mm),
        )
    if end.limited and not end.reaches_target:
        return _(
            "The target is %(sag)s mm, but the pressure limit keeps it out of reach: expect about %(expected)s mm.",
            sag=numbers.halves(end.sag_target_mm),
            expected=numbers.expected_mm(end.sag_expected_mm, end.sag_target_mm),
        )
    return _(
        "The target is %(sag)s mm, and %(low)s to %(high)s mm is good.",
        sag=numbers.halves(end.sag_target_mm),
        low=numbers.halves(end.sag_target_mm - end.tolerance_mm),
        high=numbers.halves(end.sag_target_mm + end.tolerance_mm),
    )


def _click_steps(end: EndSetup) -> tuple[str, ...]:
    steps = []
    if end.rebound:
        clicks = {"out": end.rebound.out, "all": end.rebound.total}
        steps.append(_("Rebound: turn gently to fully closed, then open %(out)d clicks of %(all)d.", **clicks))
    if end.compression:
        clicks = {"out": end.compression.out, "all": end.compression.total}
        steps.append(_("Compression: turn gently to fully closed, then open %(out)d clicks of %(all)d.", **clicks))
    return tuple(steps)
