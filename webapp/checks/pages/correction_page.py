"""What every correction page shows around its form: bike, fork or shock, current numbers, a conflict."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from setup_rules import EndSetup
from setup_rules.advice.wording import expected_at_bench_mm
from webapp.checks.pages.difference import DifferenceGroup, differences
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.own_units import pressure_words, sag_words
from webapp.ground.text.phrases import end_word, place_word, preload_words, setting_words
from webapp.ground.text.sentences import say
from webapp.setups.revision import Revision


@dataclass(frozen=True, slots=True)
class EndLink:
    """One spring end: its name in addresses, its words, whether the page is about it, and its numbers in force."""

    name: str
    heading: str
    place: str
    here: bool
    now: tuple[tuple[str, str], ...]
    ring: str
    aim: str
    coil: bool


@dataclass(frozen=True, slots=True)
class CorrectionPage:
    """The frame of a correction's page. `now` are the numbers in force of its end."""

    code: str
    title: str
    revision: int
    end: str
    heading: str
    place: str
    ends: tuple[EndLink, ...]
    now: tuple[tuple[str, str], ...]

    @property
    def has_coil(self) -> bool:
        """Whether any end has a coil main spring, so that a word about pumping alone would be wrong."""
        return any(one.coil for one in self.ends)

    @property
    def has_air(self) -> bool:
        """Whether any end has an air spring, whose air takes time to settle."""
        return any(not one.coil for one in self.ends)


@dataclass(frozen=True, slots=True)
class Conflict:
    """What someone else saved after this page was opened."""

    revision: int
    reason: str
    changed: tuple[DifferenceGroup, ...]


def present_correction(saved: Revision, name: str) -> CorrectionPage:
    """Return the frame of a page on the setup `saved` about the end `name`, "" for both."""
    ends = tuple(_end(one, here=one.end == name) for one in saved.setup.ends())
    end = next((one for one in ends if one.here), None)
    return CorrectionPage(
        code=saved.code,
        title=saved.texts.bike_label or _("Your setup"),
        revision=saved.number,
        end=name,
        heading=end.heading if end else "",
        place=end.place if end else "",
        ends=ends,
        now=end.now if end else (),
    )


def _end(end: EndSetup, *, here: bool) -> EndLink:
    return EndLink(
        name=end.end,
        heading=end_word(end.end),
        place=place_word(end.end),
        here=here,
        now=tuple(_now(end)),
        ring=_("stanchion") if end.end == "front" else _("shock shaft"),
        aim=_say_aim(end),
        coil=end.coil is not None,
    )


def _say_aim(end: EndSetup) -> str:
    """Return what to enter, and what the target reads."""
    target, travel = numbers.halves(end.sag_target_mm), numbers.halves(end.travel_mm)
    if end.reads_otherwise and not end.reaches_target:
        return _(
            "Enter one to three readings. The target of %(mm)s mm of %(travel)s is out of reach: expect about %(here)s "
            "mm where it was set. You can also enter a percentage, such as 22 %%.",
            mm=target,
            travel=travel,
            here=numbers.halves(expected_at_bench_mm(end)),
        )
    if end.reads_otherwise:
        return _(
            "Enter one to three readings. The target is %(mm)s mm of %(travel)s on the ride and reads %(here)s mm "
            "where it was set. You can also enter a percentage, such as 22 %%.",
            mm=target,
            travel=travel,
            here=numbers.halves(end.bench_target_mm),
        )
    return _(
        "Enter one to three readings. The target is %(mm)s mm of %(travel)s. You can also enter a percentage, such as "
        "22 %%.",
        mm=target,
        travel=travel,
    )


def _now(end: EndSetup) -> Iterator[tuple[str, str]]:
    """Yield the numbers in force of one end."""
    if end.coil is None:
        yield _("Pressure"), pressure_words(end.pressure_pa, end.max_pressure_pa)
    else:
        yield _("Spring rate"), setting_words(end)
        yield _("Preload"), preload_words(end.coil)
    yield _("Target sag"), sag_words(end.sag_target_mm, end.sag_target_percent)
    if end.rebound is not None:
        yield _("Rebound"), _("%(out)d of %(total)d out", out=end.rebound.out, total=end.rebound.total)


def present_conflict(seen: Revision, latest: Revision) -> Conflict:
    """Return what changed from the revision that was `seen` to the `latest` one."""
    changed = tuple(group for group in differences(seen.setup, latest.setup) if group.differs)
    return Conflict(revision=latest.number, reason=say(latest.reason), changed=changed)
