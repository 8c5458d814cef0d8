"""The work at the bike in its order: pump every end, measure every end, then set the adjusters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from setup_rules import EndSetup
from setup_rules.advice.wording import expected_at_bench_mm
from setup_rules.messages.rounding import expected_mm
from setup_rules.types.result import ClickStart
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.own_units import length_span, length_words, pressure_text, pressure_words
from webapp.ground.text.phrases import end_word, place_word
from webapp.setups.pages.coil_page import spring_steps
from webapp.setups.pages.second_chamber_page import second_steps


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what is the same at every end, and the numbers of this one; either may be empty."""

    common: str
    own: str = ""

    @property
    def text(self) -> str:
        """The whole step for one end."""
        return " ".join(filter(None, (self.common, self.own)))


@dataclass(frozen=True, slots=True)
class EndSteps:
    """What to do at one spring end in one stage of the work."""

    heading: str
    place: str
    parts: tuple[Step, ...]

    @property
    def steps(self) -> tuple[str, ...]:
        """The steps as whole texts."""
        return tuple(step.text for step in self.parts)


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the work, done at both ends before the next one begins."""

    heading: str
    ends: tuple[EndSteps, ...]

    @property
    def together(self) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
        """Each step once for both ends, with what is each one's own; empty where the ends are set in different ways."""
        lists = [end.parts for end in self.ends]
        alike = len({tuple(step.common for step in parts) for parts in lists}) == 1
        if len(lists) < 2 or not alike:
            return ()
        return tuple(
            (
                row[0].common,
                tuple((end.heading, step.own) for end, step in zip(self.ends, row, strict=True) if step.own),
            )
            for row in zip(*lists, strict=True)
        )


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


def _set_steps(end: EndSetup) -> tuple[Step, ...]:
    return tuple(map(Step, spring_steps(end))) or _pump_steps(end) + tuple(map(Step, second_steps(end)))


def _pump_steps(end: EndSetup) -> tuple[Step, ...]:
    pressure = pressure_text(end.pressure_pa, end.max_pressure_pa)
    both = pressure_words(end.pressure_pa, end.max_pressure_pa)
    return (
        Step(_("Lift the wheel off the ground and connect the pump."), _("Set %(pressure)s.", pressure=both)),
        Step(_("Remove the pump. Push through most of the travel 5 to 10 times so that both air chambers equalise.")),
        Step(
            _("Connect the pump again. Repeat until the reading no longer changes."),
            _("Set %(pressure)s again.", pressure=pressure.short),
        ),
    )


def _sag_steps(end: EndSetup) -> tuple[Step, ...]:
    if end.coil is not None and not end.coil.fits:
        return ()
    stand = _(
        "Open any lockout, wear your full riding kit, lean on a wall in your riding position and stay still for "
        "30 seconds. Slide the O-ring to the seal and step off gently."
    )
    ring = _("Its O-ring is on the stanchion.") if end.end == "front" else _("Its O-ring is on the shock shaft.")
    if end.datum == "wheel_off_ground":
        read = _("Lift the wheel off the ground. Sag is the gap between seal and O-ring. Measure it.")
    else:
        read = _(
            "Leave the bike standing on its wheels without you. Sag is the gap between seal and O-ring. Measure it."
        )
    return Step(stand, ring), Step(read, _good_sag(end))


def _good_sag(end: EndSetup) -> str:
    if end.reads_otherwise:
        return _good_sag_of_both(end)
    if end.coil is not None and end.limited:
        return _(
            "The target is %(sag)s, but no spring that you entered reaches it: expect about %(expected)s.",
            sag=length_words(end.sag_target_mm),
            expected=length_words(expected_mm(end.sag_expected_mm, end.sag_target_mm)),
        )
    if end.limited and not end.reaches_target:
        return _(
            "The target is %(sag)s, but the pressure limit keeps it out of reach: expect about %(expected)s.",
            sag=length_words(end.sag_target_mm),
            expected=length_words(expected_mm(end.sag_expected_mm, end.sag_target_mm)),
        )
    to = _(" to ")  # not within the sentence's own call: texts are collected from outside calls alone
    good = length_span(end.sag_target_mm - end.tolerance_mm, end.sag_target_mm + end.tolerance_mm, to)
    return _(
        "The target is %(sag)s, and %(range)s is close; a sag check tells.",
        sag=length_words(end.sag_target_mm),
        range=good,
    )


def _good_sag_of_both(end: EndSetup) -> str:
    """Return what to aim for where the spring is set, beside what holds on the ride."""
    ride = length_words(end.sag_target_mm)
    if end.limited and not end.reaches_target:
        return _(
            "On the ride the target is %(ride)s, but it is out of reach. Measured where it was set, expect about "
            "%(expected)s.",
            ride=ride,
            expected=length_words(expected_at_bench_mm(end)),
        )
    return _(
        "On the ride the target is %(ride)s. Measured where it was set, that reads %(here)s.",
        ride=ride,
        here=length_words(end.bench_target_mm),
    )


def _click_steps(end: EndSetup) -> tuple[Step, ...]:
    steps = []
    if end.rebound:
        steps.append(Step(_("Rebound: turn gently to fully closed."), _open(end.rebound)))
    if end.compression:
        steps.append(Step(_("Compression: turn gently to fully closed."), _open(end.compression)))
    return tuple(steps)


def _open(start: ClickStart) -> str:
    return ngettext("Open 1 click of %(all)d.", "Open %(num)d clicks of %(all)d.", start.out, all=start.total)
