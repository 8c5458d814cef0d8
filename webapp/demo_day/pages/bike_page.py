"""A bike's own page as strings: for its shop, and for a visitor who may know nothing of its riders."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Protocol

from setup_rules.inference.spring_memory import typical_factor
from setup_rules.types.request import EndName
from webapp.demo_day.bike import ENDS, Bike
from webapp.demo_day.pages.bike_words import done_line, end_word, fitted_line, lasted, standing_lines, state_line
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext
from webapp.setups.pages.setup_page import style_word


class Event(Protocol):
    """What a line of a bike's log is made from."""

    @property
    def kind(self) -> str:
        """The kind of event."""

    @property
    def by(self) -> str:
        """The login of who did it."""

    @property
    def made_at(self) -> Any:
        """When."""


@dataclass(frozen=True, slots=True)
class BikeView:
    """The strings of a bike's page. Pairs are (what, value)."""

    state: str
    facts: tuple[tuple[str, str], ...]
    standing: tuple[tuple[str, str], ...]
    stood_for: str
    learned: tuple[tuple[str, str], ...]
    log: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class VisitorView:
    """What anybody may read who finds the bike's tag: what it is, nothing of what is set on it."""

    number: str
    label: str
    facts: tuple[tuple[str, str], ...]


def present_bike(bike: Bike, events: Iterable[Event]) -> BikeView:
    """Return the page of a bike for its shop."""
    learned = tuple((end_word(name), told) for name in ENDS if (told := _learned(bike, name)))
    return BikeView(
        state=state_line(bike.turn),
        facts=(*_facts(bike), (_("Usual riding style"), style_word(bike.document.get("riding_style", "trail")))),
        standing=standing_lines(bike),
        stood_for=lasted(bike.stands_since) if bike.stands_since else "",
        learned=learned,
        log=tuple(done_line(one.kind, one.by, one.made_at) for one in events),
    )


def present_to_visitor(bike: Bike) -> VisitorView:
    """Return what a visitor without log-in may read: the same whoever rides the bike."""
    return VisitorView(bike.number, bike.label, _facts(bike))


def _facts(bike: Bike) -> tuple[tuple[str, str], ...]:
    units = bike.document.get("units", {})
    ends = [end for end in ENDS if end in bike.document]
    fitted = [(end_word(end), fitted_line(bike.document[end], units.get(end), end)) for end in ends]
    mass = bike.document.get("bike_mass_kg")
    weight = [] if mass is None else [(_("Bike weight"), _("%(kg)s kg", kg=numbers.general(mass)))]
    return (*fitted, *weight)


def _learned(bike: Bike, name: EndName) -> str:
    """Return what an end's spring has taught, "" where nothing."""
    memory = bike.memories.get(name)
    if memory is None or not memory.riders or name not in bike.document:
        return ""
    percent = round(100.0 * (typical_factor(memory, bike.model_of(name)) - 1.0))
    riders = ngettext("%(num)d rider's checks", "%(num)d riders' checks", memory.riders)
    if percent == 0:
        return _("%(riders)s: it needs what is typical.", riders=riders)
    if percent > 0:
        return _("%(riders)s: it needs %(n)d %% more pressure than typical.", riders=riders, n=percent)
    return _("%(riders)s: it needs %(n)d %% less pressure than typical.", riders=riders, n=-percent)
