"""What to do after a check, a ride or a change: one thing, large, with its reason and the expected effect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from setup_rules import EndSetup, Setup
from setup_rules.advice.wording import expected_at_bench_mm
from setup_rules.types.result import ClickStart, Note
from webapp.checks.pages.difference import DifferenceGroup, differences, spring_shown
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.own_units import length_span, length_text, length_words, pressure_text
from webapp.ground.text.phrases import end_word, place_word, rate_parts, sentence, source
from webapp.ground.text.sentences import say
from webapp.setups.pages.setup_page import GRAVE
from webapp.setups.revision import Revision

_SETTLED: Final = frozenset({"sag_settled", "rebound_right", "ride_none"})

#: What leads to a revision without any advice of the rules.
_WITHOUT_ADVICE: Final = ("what_if", "restored", "created", "check_", "corrected", "borrowed", "returned")

#: What the one change is for, in the rider's words; common practice, as the advice itself says.
_WHY: Final = {
    ("ride_rebound", "out"): _l("Faster rebound lets the wheel come back before the next bump."),
    ("ride_rebound", "in"): _l("Slower rebound stops the bike from bucking you."),
    ("ride_compression", "out"): _l("Less compression damping lets the wheel move up sooner."),
    ("ride_compression", "in"): _l("More compression damping slows the movement into the travel."),
    ("ride_sag_target", "more"): _l("A softer spring follows the ground better and uses more of its travel."),
    ("ride_sag_target", "less"): _l("A firmer spring keeps the bike higher in its travel."),
    ("ride_volume_spacers", "more"): _l(
        "One more volume spacer makes the end of the travel firmer. Sag stays the same."
    ),
    ("ride_volume_spacers", "less"): _l(
        "One volume spacer fewer makes the end of the travel softer. Sag stays the same."
    ),
    ("ride_spring_rate", "more"): _l("A firmer spring takes more force to use all the travel."),
    ("ride_spring_rate", "less"): _l("A softer spring uses more of its travel."),
    ("ride_sag_check", ""): _l("Without measured sag, we cannot tell how to change the pressure."),
    ("ride_workshop", ""): _l("No adjustment is left that helps with this, or there is none."),
}

_HEADLINES: Final = {
    ("sag_settled", ""): _l("Done: go for a ride"),
    ("sag_at_limit", ""): _l("This is as close as it gets"),
    ("sag_again", ""): _l("Measure again before you pump"),
    ("sag_pump", ""): _l("Add air"),
    ("sag_let_out", ""): _l("Let air out"),
    ("sag_preload_more", ""): _l("Add preload"),
    ("sag_preload_less", ""): _l("Take preload off"),
    ("sag_spring", ""): _l("Fit another spring"),
    ("sag_no_spring", ""): _l("Do not ride with this spring"),
    ("rebound_right", ""): _l("Rebound is right"),
    ("rebound_turn", "out"): _l("Turn rebound out (faster)"),
    ("rebound_turn", "in"): _l("Turn rebound in (slower)"),
    ("rebound_at_end", ""): _l("No rebound clicks left"),
    ("ride_none", ""): _l("Nothing to change"),
    ("ride_sag_check", ""): _l("Measure sag first"),
    ("ride_workshop", ""): _l("See a qualified mechanic"),
    ("ride_rebound", "out"): _l("One change: faster rebound"),
    ("ride_rebound", "in"): _l("One change: slower rebound"),
    ("ride_compression", "out"): _l("One change: softer compression"),
    ("ride_compression", "in"): _l("One change: firmer compression"),
    ("ride_sag_target", "more"): _l("One change: less pressure, more sag"),
    ("ride_sag_target", "less"): _l("One change: more pressure, less sag"),
    ("ride_spring_rate", "more"): _l("One change: the next firmer spring"),
    ("ride_spring_rate", "less"): _l("One change: the next softer spring"),
    ("ride_volume_spacers", "more"): _l("One change: add one volume spacer"),
    ("ride_volume_spacers", "less"): _l("One change: remove one volume spacer"),
}

#: The few words for a coil, where those for air speak of pressure.
_COIL_HEADLINES: Final = {
    "sag_again.coil": _l("Measure again before you change the spring"),
    "ride_sag_target.more.coil": _l("One change: a softer spring, more sag"),
    "ride_sag_target.less.coil": _l("One change: a firmer spring, less sag"),
}


@dataclass(frozen=True, slots=True)
class Figure:
    """One large number of an answer."""

    label: str
    big: str
    unit: str
    second: str
    line: str


@dataclass(frozen=True, slots=True)
class EndAnswer:
    """What is to be done at one spring end, or for the whole setup (`end` is then empty)."""

    end: str
    place: str
    headline: str
    done: bool
    advice: str
    more: tuple[str, ...]
    why: str
    source: str
    figures: tuple[Figure, ...]
    learned: str
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    asks_sag: bool


@dataclass(frozen=True, slots=True)
class AnswerPage:
    """The page after something was saved on a setup: an answer for each end that it is about."""

    code: str
    title: str
    what: str
    saved_on: str
    revision: int
    is_latest: bool
    kind: str
    parts: tuple[EndAnswer, ...]
    together: tuple[str, ...]
    changed: tuple[DifferenceGroup, ...]
    asks_leak: bool
    has_air: bool

    @property
    def headline(self) -> str:
        """What the page is called: its one answer, or what led to several."""
        return self.parts[0].headline if len(self.parts) == 1 else self.what

    @property
    def open_parts(self) -> tuple[EndAnswer, ...]:
        """The answers with something left to do and to look at again, each with its end."""
        return tuple(part for part in self.parts if part.end and not part.done)


def headline(note: Note) -> str:
    """Return what a note of advice comes to, in a few words; empty for a note that is none."""
    if note.said.key in _COIL_HEADLINES:
        return str(_COIL_HEADLINES[note.said.key])
    return str(_HEADLINES.get((note.code, note.way), ""))


def present_answer(saved: Revision, before: Revision | None) -> AnswerPage:
    """Return the page of what the revision `saved` asks for, beside the one `before` it."""
    changed = tuple(group for group in differences(before.setup, saved.setup) if group.differs) if before else ()
    return AnswerPage(
        code=saved.code,
        title=saved.texts.bike_label or _("Your setup"),
        what=say(saved.reason),
        saved_on=numbers.day(saved.created_at),
        revision=saved.number,
        is_latest=saved.number == saved.latest_number,
        kind=_kind(saved.kind),
        parts=_parts(saved, before),
        together=_say_of_both(saved),
        changed=changed,
        has_air=any(end.coil is None for end in saved.setup.ends()),
        asks_leak=_kind(saved.kind) == "sag_check" and _may_have_lost_air(saved.setup),
    )


def _may_have_lost_air(setup: Setup) -> bool:
    """Return whether something changed at an end with air: a coil has none to lose."""
    coils = {end.end for end in setup.ends() if end.coil}
    return any(note.code == "something_changed" and note.end not in coils for note in setup.cautions)


def _say_of_both(saved: Revision) -> tuple[str, ...]:
    """Return the advice that belongs to no single end."""
    if saved.kind.startswith(_WITHOUT_ADVICE):
        return ()
    setup = saved.setup
    return tuple(sentence(note, setup) for note in setup.advice if note.end is None and not headline(note))


def _parts(saved: Revision, before: Revision | None) -> tuple[EndAnswer, ...]:
    setup = saved.setup
    asked = () if saved.kind.startswith(_WITHOUT_ADVICE) else tuple(note for note in setup.advice if headline(note))
    if not asked:
        return (_whole_answer(setup, before),)
    return tuple(_end_answer(setup, before, note) for note in asked)


def _whole_answer(setup: Setup, before: Revision | None) -> EndAnswer:
    """Return the answer that is about no check: every number that is to be set anew."""
    figures = tuple(figure for end in setup.ends() for figure in _list_changed(before, end, whose=True))
    return EndAnswer(
        end="",
        place="",
        headline=_("Saved. Now set these numbers") if figures else _("Saved"),
        done=False,
        advice="",
        more=(),
        why="",
        source="",
        figures=figures,
        learned="",
        **_split_cautions(setup, None),
        asks_sag=False,
    )


def _end_answer(setup: Setup, before: Revision | None, note: Note) -> EndAnswer:
    end = setup.front if note.end == "front" else setup.rear
    figures = _figures(note, end)
    if end is not None:
        shown = {figure.label for figure in figures}
        figures += tuple(one for one in _list_changed(before, end, whose=False) if one.label not in shown)
    return EndAnswer(
        end=end.end if end else "",
        place=place_word(end.end) if end else "",
        headline=headline(note),
        done=note.code in _SETTLED,
        advice=sentence(note, setup),
        more=tuple(sentence(one, setup) for one in setup.advice if not headline(one) and one.end == note.end),
        why=str(_WHY.get((note.code, note.way), "")),
        source=source(note),
        figures=figures,
        learned=_say_what_was_learned(setup, note, end),
        **_split_cautions(setup, end),
        asks_sag=note.code == "ride_sag_check",
    )


def _split_cautions(setup: Setup, end: EndSetup | None) -> dict[str, tuple[str, ...]]:
    """Return what to take care of at the end in question, at both where the whole setup changed."""
    notes = tuple(n for n in setup.cautions if n.end and (end is None or n.end == end.end))
    return {
        "warnings": tuple(sentence(n, setup) for n in notes if n.code in GRAVE),
        "cautions": tuple(sentence(n, setup) for n in notes if n.code not in GRAVE),
    }


def _list_changed(before: Revision | None, end: EndSetup, *, whose: bool) -> tuple[Figure, ...]:
    """Return every number of one end that is to be set anew: pressure, clicks and volume spacers."""
    old = next((one for one in before.setup.ends() if one.end == end.end), None) if before else None
    if old is None:
        return ()
    of = _(" of the %(end)s", end=_lower(end)) if whose else ""
    figures = list(_list_spring(end)) if spring_shown(old) != spring_shown(end) else []
    adjusters = ((_("Rebound"), old.rebound, end.rebound), (_("Compression"), old.compression, end.compression))
    figures += [_clicks(name + of, new) for name, was, new in adjusters if new and (was is None or was.out != new.out)]
    if end.coil is None and old.volume_spacers != end.volume_spacers:
        figures.append(_spacers(end, _("Volume spacers") + of))
    return tuple(figures)


def _kind(kind: str) -> str:
    return next((known for known in ("sag_check", "bounce_check", "ride") if kind.startswith(known)), kind)


def _figures(note: Note | None, end: EndSetup | None) -> tuple[Figure, ...]:
    if note is None or end is None or note.code in ("ride_none", "ride_sag_check", "ride_workshop"):
        return ()
    if note.code.startswith("sag_") or note.code in ("ride_sag_target", "ride_spring_rate"):
        unfit = end.coil is not None and not end.coil.fits
        return _list_spring(end) if unfit else (*_list_spring(end), _sag(end))
    if note.code == "ride_volume_spacers":
        return (_spacers(end, _("Volume spacers")), *_list_spring(end))
    adjuster = _("Compression") if note.code == "ride_compression" else _("Rebound")
    start = end.compression if note.code == "ride_compression" else end.rebound
    return () if start is None else (_clicks(adjuster, start),)


def _spacers(end: EndSetup, label: str) -> Figure:
    return Figure(label, str(end.volume_spacers), _("in total"), "", "")


def _clicks(label: str, start: ClickStart) -> Figure:
    total = _("of %(total)d, from fully closed", total=start.total)
    return Figure(label, str(start.out), ngettext("click out", "clicks out", start.out), total, "")


def _pressure(end: EndSetup) -> Figure:
    shown = pressure_text(end.pressure_pa, end.max_pressure_pa)
    line = _("Cycle the suspension 5 to 10 times after every pressure change, then check the pressure again.")
    return Figure(_("Pressure of the %(end)s", end=_lower(end)), shown.value, shown.unit, shown.second, line)


def _list_spring(end: EndSetup) -> tuple[Figure, ...]:
    """Return what is set on the spring of an end: its pressure, or rate and preload of its coil."""
    coil, word = end.coil, _lower(end)
    if coil is None:
        return (_pressure(end), *_list_second(end))
    if coil.stroke_needed_mm is not None:
        needed = _("A stroke of at least %(mm)s mm is needed.", mm=numbers.general(coil.stroke_needed_mm))
        return (Figure(_("Spring of the %(end)s", end=word), _("none yet"), "", "", needed),)
    (first, unit), other = rate_parts(coil)
    turns = "" if coil.preload_turns is None else _("turns: %(turns)s", turns=numbers.turns(coil.preload_turns))
    line = _("Turn the preload back before you take a spring off.")
    return (
        Figure(_("Spring of the %(end)s", end=word), first, unit, " ".join(other), line),
        Figure(_("Preload of the %(end)s", end=word), numbers.preload(coil.preload_mm), _("mm"), turns, ""),
    )


def _list_second(end: EndSetup) -> tuple[Figure, ...]:
    """Return what is pumped into the second chamber of an end; empty without one."""
    if end.second is None:
        return ()
    shown = pressure_text(end.second.pressure_pa, end.second.max_pressure_pa)
    line = _("Through its own valve, in the order that the manual gives.")
    label = _("Second chamber of the %(end)s", end=_lower(end))
    return (Figure(label, shown.value, shown.unit, shown.second, line),)


def _sag(end: EndSetup) -> Figure:
    values = {
        "range": length_span(end.sag_low_mm, end.sag_high_mm),
        "target": length_words(end.sag_target_mm),
        "tolerance": length_words(end.tolerance_mm),
    }
    if end.coil is not None and end.limited:
        line = _("Likely range: %(range)s. No spring that you entered reaches the target of %(target)s.", **values)
    elif end.limited and not end.reaches_target:
        line = _("Likely range: %(range)s. The pressure limit keeps the sag from the target of %(target)s.", **values)
    else:
        line = _("Likely range: %(range)s. The target is %(target)s ± %(tolerance)s.", **values)
    if end.reads_otherwise and (end.coil is None or end.coil.fits):
        here = length_words(expected_at_bench_mm(end))
        line = _("%(line)s That is on the ride; where it was set, it reads about %(here)s.", line=line, here=here)
    met = numbers.expected_mm(end.sag_expected_mm, end.sag_target_mm) == numbers.halves(end.sag_target_mm)
    percent = 100 * end.sag_expected_mm / end.travel_mm
    share = _("%(share)s %%", share=numbers.halves(end.sag_target_percent if met else percent))
    expected = length_text(end.sag_target_mm if met else end.sag_expected_mm)
    return Figure(_("Expected sag"), expected.value, expected.unit, f"{expected.second} {share}".lstrip(), line)


def _lower(end: EndSetup) -> str:
    return end_word(end.end).lower()


def _say_what_was_learned(setup: Setup, note: Note | None, end: EndSetup | None) -> str:
    """Return the one line of what the sag checks have taught about the end that was measured."""
    if note is None or end is None or not note.code.startswith("sag_"):
        return ""
    return next((sentence(reason, setup) for reason in setup.reasons if reason.code == f"{end.end}_learned"), "")
