"""A second positive chamber as the strings of its page: its pressure, where it joins, and how it is pumped."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import EndSetup
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.own_units import Shown, pressure_text, pressure_words


@dataclass(frozen=True, slots=True)
class SecondPage:
    """The second positive chamber of one end: its pressure in both units, and where it joins the first."""

    pressure: Shown
    joins: str


def present_second(end: EndSetup) -> SecondPage | None:
    """Return the second chamber of an end, None where it has none."""
    second = end.second
    if second is None:
        return None
    if second.joins_at_mm is None:
        joins = _("It stays closed over the whole travel at this pressure.")
    else:
        joins = _("It joins about %(mm)s mm into the travel.", mm=numbers.number(second.joins_at_mm))
    return SecondPage(pressure_text(second.pressure_pa, second.max_pressure_pa), joins)


def second_facts(end: EndSetup, *, elsewhere: bool) -> list[tuple[str, str]]:
    """Return the further facts of a second chamber: its maximum, and what a gauge shows out on the ride."""
    second = end.second
    if second is None:
        return []
    most = pressure_words(second.max_pressure_pa, second.max_pressure_pa)
    if second.max_pressure_assumed:
        most = _("%(pressure)s, our estimate: check the fork or shock", pressure=most)
    facts = [(_("Second chamber, maximum"), most)]
    if elsewhere:
        there = _("A gauge would show %(pressure)s", pressure=pressure_words(second.ride_pressure_pa))
        facts.append((_("Second chamber, out on the ride"), there))
    return facts


def second_steps(end: EndSetup) -> tuple[str, ...]:
    """Return how to pump the second chamber of an end, one sentence a step; empty without one."""
    second = end.second
    if second is None:
        return ()
    return (
        _(
            "Set the second chamber through its own valve to %(pressure)s. Whether it comes before or "
            "after the first is as the manual says.",
            pressure=pressure_words(second.pressure_pa, second.max_pressure_pa),
        ),
        _("Check both pressures again. Before opening anything, let the air out of both chambers."),
    )
