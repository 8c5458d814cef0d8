"""The history of a setup: each revision as a line of what changed and why, and two curves over all of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from setup_rules.advice.wording import rate_n_per_mm
from setup_rules.types.result import LEAST_SHIFT_MM, SagCheck
from webapp.checks.pages.answer_page import headline
from webapp.ground.device_units import device_units
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.own_units import Shown, length_text, length_words, pressure_text
from webapp.ground.text.phrases import end_word, moment, place_word, preload_words, rate_and_pounds
from webapp.ground.text.sentences import say
from webapp.setups.actions.list_revisions import PastRevision, RevisionEnd
from webapp.setups.revision import Revision

#: Kinds of revisions whose reason says all: no advice led to them.
_WITHOUT_OUTCOME: Final = ("what_if", "corrected", "borrowed", "returned")


@dataclass(frozen=True, slots=True)
class CheckLine:
    """A sag check that can be struck out: its place among the newest revision's checks, and its spring end."""

    index: int
    end: str
    struck: bool


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One revision: number, moment, what led to it, what came of it, and the numbers that changed."""

    number: int
    before: int
    when: str
    why: str
    outcome: str
    changes: tuple[str, ...]
    is_latest: bool
    checks: tuple[CheckLine, ...]


@dataclass(frozen=True, slots=True)
class TrackRow:
    """One revision in numbers, for the table beside the curves."""

    revision: str
    when: str
    pressure: str
    target: str
    expected: str
    measured: str


@dataclass(frozen=True, slots=True)
class TrackPlot:
    """Pressure and sag of one end over the revisions: numbers to draw and every word in the drawing."""

    name: str
    title: str
    description: str
    revisions: tuple[int, ...]
    pressures: tuple[float, ...]
    target_mm: tuple[float, ...]
    expected_mm: tuple[float, ...]
    measured_mm: tuple[float | None, ...]
    pressure_label: str
    sag_label: str
    across: str
    target_word: str
    expected_word: str
    measured_word: str
    rows: tuple[TrackRow, ...]


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """The whole page, newest revision first."""

    code: str
    title: str
    latest: int
    page: int
    pages: int
    lines: tuple[HistoryLine, ...]
    plots: tuple[TrackPlot, ...]


#: Revisions on one page.
PAGE: Final = 50


def count_pages(latest: int) -> int:
    """Return how many pages a history of `latest` revisions has."""
    return -(-latest // PAGE)


def numbers_on_page(latest: int, page: int) -> tuple[int, int]:
    """Return the first and last revision on a page, the newest revisions on page 1.

    Examples
    --------
    >>> numbers_on_page(120, 1), numbers_on_page(120, 3)
    ((71, 120), (1, 20))
    """
    last = latest - (page - 1) * PAGE
    return max(1, last - PAGE + 1), last


def present_history(saved: Revision, revisions: tuple[PastRevision, ...], page: int = 1) -> HistoryPage:
    """Return a page of the history of the setup `saved`.

    `revisions` are those of the page, the first one first, and the one before them for what changed since.
    """
    oldest, _newest = numbers_on_page(saved.latest_number, page)
    by_number = {past.revision.number: past for past in revisions}
    checks = _find_checks(saved, revisions)
    lines = [
        _line(past, by_number.get(past.revision.number - 1), checks[past.revision.number])
        for past in reversed(revisions)
        if past.revision.number >= oldest
    ]
    names = [end.end for end in revisions[-1].ends]
    return HistoryPage(
        code=saved.code,
        title=saved.texts.bike_label or _("Your setup"),
        latest=saved.number,
        page=page,
        pages=count_pages(saved.latest_number),
        lines=tuple(lines),
        plots=tuple(_plot(name, revisions) for name in names) if len(revisions) > 1 else (),
    )


def _find_checks(saved: Revision, revisions: tuple[PastRevision, ...]) -> dict[int, tuple[CheckLine, ...]]:
    """Return by revision the checks that led to it, where the newest revision still knows them."""
    # By what was measured: a correction of the entries changes what a check was made under.
    known = {index: taken.check for index, taken in enumerate(saved.setup.checks)}
    found: dict[int, tuple[CheckLine, ...]] = {}
    for past in revisions:
        lines = []
        for taken in past.checks:
            index = next((i for i, one in known.items() if one == taken.check), None)
            if index is not None:
                del known[index]
                lines.append(CheckLine(index, end_word(taken.check.end).lower(), saved.setup.checks[index].struck))
        found[past.revision.number] = tuple(lines)
    return found


def _line(past: PastRevision, before: PastRevision | None, checks: tuple[CheckLine, ...]) -> HistoryLine:
    revision, advice = past.revision, past.revision.setup.advice
    return HistoryLine(
        number=revision.number,
        before=revision.number - 1,
        when=moment(revision.created_at),
        why=say(revision.reason),
        outcome="; ".join(filter(None, map(headline, advice))) if revision.kind not in _WITHOUT_OUTCOME else "",
        changes=tuple(_list_changes(past, before)),
        is_latest=revision.is_latest,
        checks=checks,
    )


def _list_changes(past: PastRevision, before: PastRevision | None) -> Iterator[str]:
    old = {end.end: end for end in before.ends} if before else {}
    for end in past.ends:
        said = _list_measured(end) + (_end_changes(old[end.end], end) if end.end in old else _list_first(end))
        if said:
            yield _("%(end)s: %(said)s", end=end_word(end.end), said="; ".join(said))


def _list_measured(end: RevisionEnd) -> list[str]:
    if end.measured_sag_mm is None or end.measured_at_pa is None:
        return []
    if end.coil is not None and end.measured_with is not None:
        return [_say_measured_with(end, end.measured_with)]
    values = {
        "sag": length_words(end.measured_sag_mm),
        "pressure": pressure_text(end.measured_at_pa).short,
        "target": length_words(end.sag_target_mm),
    }
    if not _reads_otherwise(end):
        return [_("measured %(sag)s at %(pressure)s, target %(target)s", **values)]
    values["ride"] = length_words(_on_the_ride_mm(end) or 0.0)
    return [_("measured %(sag)s at %(pressure)s, on the ride %(ride)s; target %(target)s", **values)]


def _reads_otherwise(end: RevisionEnd) -> bool:
    """Return whether a measured sag has to be carried to the ride before it can be compared, as it is shown."""
    return end.measured_sag_mm is not None and abs(end.measured_shift_mm) >= LEAST_SHIFT_MM


def _on_the_ride_mm(end: RevisionEnd) -> float | None:
    """Return a measured sag as it is on the ride [mm]: what the plot compares with the target."""
    if end.measured_sag_mm is None or not _reads_otherwise(end):
        return end.measured_sag_mm
    return end.measured_sag_mm - end.measured_shift_mm


def _measured(end: RevisionEnd) -> str:
    """Return the measured sag for the table, with what it is on the ride where that differs."""
    read, ride = end.measured_sag_mm, _on_the_ride_mm(end)
    if read is None or ride is None:
        return numbers.DASH
    if not _reads_otherwise(end):
        return numbers.halves(read)
    return _("%(sag)s, on the ride %(ride)s", sag=numbers.halves(read), ride=numbers.halves(ride))


def _say_measured_with(end: RevisionEnd, check: SagCheck) -> str:
    return _(
        "measured %(sag)s mm with %(rate)s and %(preload)s mm of preload, target %(target)s mm",
        sag=numbers.halves(end.measured_sag_mm or 0.0),
        rate=rate_and_pounds(1000 * (check.spring_rate_n_per_mm or 0.0)),
        preload=numbers.preload(check.preload_mm),
        target=numbers.halves(end.sag_target_mm),
    )


def _set_words(end: RevisionEnd) -> str:
    """Return what is set on the spring of an end: the pressure, or rate and preload of a coil."""
    if end.second is not None:
        second = pressure_text(end.second.pressure_pa, end.second.max_pressure_pa).short
        return _("%(pressure)s, second chamber %(second)s", pressure=_pressure(end).short, second=second)
    if end.coil is None:
        return _pressure(end).short
    if end.coil.stroke_needed_mm is not None:
        return _("none: a stroke of at least %(mm)s mm is needed", mm=numbers.general(end.coil.stroke_needed_mm))
    rate, preload = rate_and_pounds(end.coil.rate_n_per_m), preload_words(end.coil)
    return _("%(rate)s, preload %(preload)s", rate=rate, preload=preload)


def _pressure(end: RevisionEnd) -> Shown:
    return pressure_text(end.pressure_pa, end.max_pressure_pa)


def _list_first(end: RevisionEnd) -> list[str]:
    said = [
        _set_words(end),
        _("target sag %(sag)s", sag=length_words(end.sag_target_mm)),
    ]
    if end.rebound_out is not None:
        said.append(_("rebound %(out)d out", out=end.rebound_out))
    return said


def _end_changes(old: RevisionEnd, new: RevisionEnd) -> list[str]:
    pairs = (
        _spring_pair(old, new),
        (_("second chamber %(change)s %(pressure)s"), _second(old), _second(new)),
        (_("target sag %(change)s %(length)s"), *(length_text(end.sag_target_mm).value for end in (old, new))),
        (_("rebound %(change)s out"), _count(old.rebound_out), _count(new.rebound_out)),
        (_("compression %(change)s out"), _count(old.compression_out), _count(new.compression_out)),
        (_("volume spacers %(change)s"), *_spacers_pair(old, new)),
        (_("travel %(change)s mm"), numbers.halves(old.travel_mm), numbers.halves(new.travel_mm)),
    )
    units = {"pressure": device_units().pressure_symbol, "length": length_text(0.0).unit}
    return [text % {"change": f"{one} → {other}", **units} for text, one, other in pairs if one != other]


def _spring_pair(old: RevisionEnd, new: RevisionEnd) -> tuple[str, str, str]:
    if old.coil is None and new.coil is None:
        return _("%(change)s %(pressure)s"), _pressure(old).value, _pressure(new).value
    return _("spring %(change)s"), _set_words(old), _set_words(new)


def _spacers_pair(old: RevisionEnd, new: RevisionEnd) -> tuple[str, str]:
    """Return the volume spacers before and after; alike where a coil, which has none, was fitted or taken out."""
    return (str(old.volume_spacers), str(new.volume_spacers)) if old.coil is None and new.coil is None else ("", "")


def _second(end: RevisionEnd) -> str:
    second = end.second
    return numbers.DASH if second is None else pressure_text(second.pressure_pa, second.max_pressure_pa).value


def _count(clicks: int | None) -> str:
    return numbers.DASH if clicks is None else str(clicks)


def _plot(name: str, revisions: tuple[PastRevision, ...]) -> TrackPlot:
    held = [(past.revision, end) for past in revisions for end in past.ends if end.end == name]
    # A curve is of one kind of spring: what was before another kind was fitted is in the list above.
    coil = held[-1][1].coil is not None
    held = [(revision, end) for revision, end in held if (end.coil is not None) == coil]
    first, last = held[0][1], held[-1][1]
    was, now = (numbers.expected_mm(end.sag_expected_mm, end.sag_target_mm) for end in (first, last))
    return TrackPlot(
        name=name,
        title=(
            _("%(end)s %(place)s: spring rate and sag in each version", end=end_word(name), place=place_word(name))
            if coil
            else _("%(end)s %(place)s: pressure and sag in each version", end=end_word(name), place=place_word(name))
        ),
        description=_describe_course(held, _course(was, now, "mm")),
        revisions=tuple(revision.number for revision, _end in held),
        pressures=tuple(_set_number(end) for _revision, end in held),
        target_mm=tuple(end.sag_target_mm for _revision, end in held),
        expected_mm=tuple(end.sag_expected_mm for _revision, end in held),
        measured_mm=tuple(_on_the_ride_mm(end) for _revision, end in held),
        pressure_label=_("Spring rate, N/mm") if coil else _("Pressure, %(unit)s", unit=device_units().pressure_symbol),
        sag_label=_("Sag, mm"),
        across=_("Version"),
        target_word=_("target"),
        expected_word=_("expected"),
        measured_word=_("measured"),
        rows=tuple(_row(revision, end) for revision, end in held),
    )


def _set_text(end: RevisionEnd) -> str:
    return _pressure(end).value if end.coil is None else numbers.rate(end.coil.rate_n_per_m)


def _row_text(end: RevisionEnd) -> str:
    """Return what the table says was set: the preload too, which may be all that changed."""
    if end.coil is None or not end.coil.fits:
        return _set_text(end)
    return _("%(rate)s, preload %(preload)s mm", rate=_set_text(end), preload=numbers.preload(end.coil.preload_mm))


def _set_number(end: RevisionEnd) -> float:
    return _pressure(end).number if end.coil is None else rate_n_per_mm(end.coil.rate_n_per_m)


def _describe_course(held: list[tuple[Revision, RevisionEnd]], sag: str) -> str:
    first, last = held[0][1], held[-1][1]
    values = {"count": len(held), "sag": sag, "target": numbers.halves(last.sag_target_mm)}
    if last.coil is not None:
        return _(
            "In %(count)d versions: spring rate %(rate)s, expected sag %(sag)s. The target is %(target)s mm.",
            rate=_course(_set_text(first), _set_text(last), "N/mm"),
            **values,
        )
    return _(
        "In %(count)d versions: pressure %(pressure)s, expected sag %(sag)s. The target is %(target)s mm.",
        pressure=_course(_set_text(first), _set_text(last), device_units().pressure_symbol),
        **values,
    )


def _course(first: str, last: str, unit: str) -> str:
    """Return where a number began and where it is now, in words."""
    if first == last:
        return _("%(number)s %(unit)s at the start and now", number=first, unit=unit)
    return _("from %(first)s to %(last)s %(unit)s", first=first, last=last, unit=unit)


def _row(revision: Revision, end: RevisionEnd) -> TrackRow:
    return TrackRow(
        revision=str(revision.number),
        when=moment(revision.created_at),
        pressure=_row_text(end),
        target=numbers.halves(end.sag_target_mm),
        expected=numbers.expected_mm(end.sag_expected_mm, end.sag_target_mm),
        measured=_measured(end),
    )
