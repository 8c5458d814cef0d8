"""The list of a shop's bikes as strings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from webapp.demo_day.actions.free_bikes import FreeBike
from webapp.demo_day.bike import Bike
from webapp.demo_day.pages.bike_words import lasted, standing_lines, state_word
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext


@dataclass(frozen=True, slots=True)
class BikeLine:
    """One row of the list."""

    bike_id: int
    number: str
    label: str
    state: str
    state_word: str
    since: str
    who: str
    standing: str


def present_bikes(bikes: Iterable[Bike]) -> tuple[BikeLine, ...]:
    """Return the rows of some bikes."""
    return tuple(
        BikeLine(
            bike_id=bike.bike_id,
            number=bike.number,
            label=bike.label,
            state=bike.turn.state,
            state_word=state_word(bike.turn),
            since=lasted(bike.turn.since) if bike.turn.since else "",
            who=bike.turn.by if bike.turn.state == "being_set" else bike.turn.reason,
            standing="; ".join(_("%(end)s: %(what)s", end=end, what=what) for end, what in standing_lines(bike)),
        )
        for bike in bikes
    )


@dataclass(frozen=True, slots=True)
class FreeLine:
    """One free bike, with how much there is to do."""

    bike_id: int
    number: str
    label: str
    work: str
    unchecked: bool


def present_free(found: Iterable[FreeBike]) -> tuple[FreeLine, ...]:
    """Return the lines of free bikes, in their order."""
    return tuple(
        FreeLine(one.bike.bike_id, one.bike.number, one.bike.label, _work(one), one.bike.turn.state == "back")
        for one in found
    )


def _work(one: FreeBike) -> str:
    """Return in a few words what there is to do on a bike."""
    if not one.fits:
        return _("does not fit this rider: a limit is in the way")
    parts = [ngettext("%(num)d spring change", "%(num)d spring changes", one.springs)] if one.springs else []
    parts += [ngettext("pump at %(num)d end", "pump at %(num)d ends", one.pumped)] if one.pumped else []
    parts += [ngettext("%(num)d click", "%(num)d clicks", one.clicks)] if one.clicks else []
    return ", ".join(parts) or _("nothing to change")
