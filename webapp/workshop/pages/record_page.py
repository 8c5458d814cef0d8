"""A service record as the strings of its page, of the list, and of its history."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from setup_rules import Setup
from setup_rules.workshop.checklist import Step
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.local_time import DEFAULT_ZONE, clock_words, local
from webapp.ground.text.own_units import pressure_words
from webapp.ground.text.phrases import preload_words, setting_words, target_sag_words
from webapp.setups.actions.shop_setups import ShopSetupPage
from webapp.workshop.actions.closing_checks import Obstacles
from webapp.workshop.actions.find_records import RecordPage
from webapp.workshop.actions.records import RecordChange, ServiceRecord
from webapp.workshop.pages.step_lines import StepLine, present_steps, step_summary

_NUMBERS: Final = {
    "pressure_psi": (_l("Pressure"), "psi"),
    "before_hose_psi": (_l("Before connecting the hose"), "psi"),
    "temperature_c": (_l("Air temperature"), "°C"),
    "sag_mm": (_l("Sag"), "mm"),
    "rebound_out": (_l("Rebound, clicks out"), ""),
    "compression_out": (_l("Compression, clicks out"), ""),
    "volume_spacers": (_l("Volume spacers"), ""),
    "max_pressure_psi": (_l("Maximum pressure"), "psi"),
}
_TEXTS: Final = {"symptoms": _l("Symptoms"), "note": _l("Note")}

_KINDS: Final = {
    "opened": _l("Record started"),
    "found": _l("As received"),
    "step": _l("Step"),
    "left": _l("Final settings"),
    "first_setup": _l("First setup entered"),
    "linked": _l("Card linked"),
    "closed": _l("Closed"),
    "details": _l("Details corrected"),
    "step_added": _l("Step added"),
    "cancelled": _l("Cancelled"),
    "addendum": _l("Addendum"),
}


@dataclass(frozen=True, slots=True)
class RecordLine:
    """One record in the list."""

    code: str
    bike: str
    unit: str
    reference: str
    opened: str
    state: str
    state_word: str


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One change of a record."""

    moment: str
    who: str
    what: str


@dataclass(frozen=True, slots=True)
class RecordView:
    """The whole page of a record."""

    code: str
    title: str
    is_open: bool
    is_cancelled: bool
    spring_end: str
    state_word: str
    addenda: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    found: tuple[tuple[str, str], ...]
    steps: tuple[StepLine, ...]
    left: tuple[tuple[str, str], ...]
    setup_code: str
    setup_revision: int | None
    has_draft: bool
    expected: tuple[tuple[str, str], ...]
    reasons: tuple[str, ...]
    questions: tuple[str, ...]
    question_key: str
    undone: str
    history: tuple[HistoryLine, ...]


def present_record(
    record: ServiceRecord,
    changes: Sequence[RecordChange],
    obstacles: Obstacles | None,
    expected: Setup | None,
    zone: str = DEFAULT_ZONE,
) -> RecordView:
    """Return the page of a record, with times of day in a zone.

    `obstacles` stand against closing it, `expected` is what closing would save.
    """
    obstacles, steps = obstacles or Obstacles(), present_steps(record.steps, is_open=record.is_open)
    return RecordView(
        code=record.short_code,
        title=record.bike_label,
        is_open=record.is_open,
        is_cancelled=record.is_cancelled,
        spring_end=record.spring_end,
        state_word=state_word(record),
        addenda=tuple(_addendum(change, zone) for change in changes if change.kind == "addendum"),
        facts=_facts(record, zone),
        found=measured(record.as_found),
        steps=steps,
        left=(*measured(record.as_left), *next_due(record)),
        setup_code=record.setup_code or "",
        setup_revision=record.setup_revision,
        has_draft=record.draft is not None,
        expected=_present_expected(expected) if expected else (),
        reasons=obstacles.reasons,
        questions=obstacles.questions,
        question_key=obstacles.key,
        undone=_undone(steps) if record.is_open and not obstacles.reasons else "",
        history=tuple(_history(change, zone) for change in changes),
    )


def _undone(steps: Sequence[StepLine]) -> str:
    """Return the titles of steps that wait to be done or skipped; spacers are no work where the travel stays."""
    waiting = [line.title for line in steps if line.is_waiting and line.kind != "travel"]
    return ", ".join(f"“{title}”" for title in waiting)


def present_list(page: RecordPage, zone: str = DEFAULT_ZONE) -> tuple[RecordLine, ...]:
    """Return the lines of one page of the list, with the time of day in a zone."""
    return tuple(
        RecordLine(
            code=record.short_code,
            bike=record.bike_label,
            unit=record.unit_label or (_("Fork") if record.spring_end == "front" else _("Shock")),
            reference=record.customer_reference,
            opened=_moment(record.opened_at, zone),
            state=record.state,
            state_word=state_word(record),
        )
        for record in page.records
    )


def present_setups(page: ShopSetupPage, zone: str) -> list[tuple[str, str, str, int, str]]:
    """Return (code, short code, bike, version, day) of the setups on a page of the shop's home."""
    return [(one.code, one.short_code, one.bike_label, one.revision, day(one.created_at, zone)) for one in page.setups]


def state_word(record: ServiceRecord) -> str:
    """Return how a record stands, in a word."""
    if record.is_cancelled:
        return _("cancelled")
    return _("open") if record.is_open else _("closed")


def _addendum(change: RecordChange, zone: str) -> str:
    line = _history(change, zone)
    return f"{change.detail.get('note', '')} – {line.who}, {line.moment}"


def day(moment: datetime, zone: str) -> str:
    """Return the day of a moment in a zone, as everywhere on the pages."""
    return numbers.day(local(moment, zone))


def _moment(moment: datetime, zone: str) -> str:
    """Return a day and a time of day in a zone."""
    return _("%(day)s, %(time)s", day=day(moment, zone), time=clock_words(moment, zone))


def measured(values: dict[str, Any]) -> tuple[tuple[str, str], ...]:
    """Return what was measured as (name, value), in the order of the page."""
    facts = [(str(name), _with_unit(values[key], unit)) for key, (name, unit) in _NUMBERS.items() if key in values]
    return tuple(facts + [(str(name), str(values[key])) for key, name in _TEXTS.items() if values.get(key)])


def _with_unit(value: float, unit: str) -> str:
    return f"{round(value, 1):g} {unit}".rstrip().replace("-", "−")


def next_due(record: ServiceRecord) -> tuple[tuple[str, str], ...]:
    """Return when the next service is due, empty where nothing was said."""
    due = []
    if record.next_due_hours:
        due.append(_("after %(n)d hours of riding", n=record.next_due_hours))
    if record.next_due_on:
        due.append(_("on %(day)s", day=numbers.plain_day(record.next_due_on)))
    return ((_("Next service"), _(" or ").join(due)),) if due else ()


def _present_expected(setup: Setup) -> tuple[tuple[str, str], ...]:
    """Return what the card will say, to be set before the bike goes out."""
    facts: list[tuple[str, str]] = []
    for end in setup.ends():
        word = _("Fork") if end.end == "front" else _("Shock")
        if end.coil is None:
            facts.append((_("%(end)s, start pressure", end=word), pressure_words(end.pressure_pa, end.max_pressure_pa)))
            if end.second is not None:
                facts.append(
                    (
                        _("%(end)s, second chamber", end=word),
                        pressure_words(end.second.pressure_pa, end.second.max_pressure_pa),
                    )
                )
        else:
            facts.append((_("%(end)s, spring rate", end=word), setting_words(end)))
            facts.append((_("%(end)s, preload", end=word), preload_words(end.coil)))
        facts.append((_("%(end)s, target sag", end=word), target_sag_words(end)))
        if end.rebound:
            clicks = _("%(out)d clicks out, of %(all)d", out=end.rebound.out, all=end.rebound.total)
            facts.append((_("%(end)s, rebound", end=word), clicks))
    return tuple(facts)


def _facts(record: ServiceRecord, zone: str) -> tuple[tuple[str, str], ...]:
    end = _("Fork") if record.spring_end == "front" else _("Shock")
    facts = [
        (_("Short code"), record.visit),
        (_("Fork or shock"), f"{end}, {record.unit_label}" if record.unit_label else end),
        (_("Customer reference"), record.customer_reference or _("none")),
        (_("Received"), _("%(day)s, by %(who)s", day=_moment(record.opened_at, zone), who=record.opened_by)),
    ]
    if record.closed_at:
        facts.append((_("Closed"), _("%(day)s, by %(who)s", day=_moment(record.closed_at, zone), who=record.closed_by)))
    return tuple(facts)


def _history(change: RecordChange, zone: str) -> HistoryLine:
    there = numbers.plain_day(local(change.made_at, zone))
    return HistoryLine(
        moment=_("%(day)s %(time)s", day=there, time=clock_words(change.made_at, zone)),
        who=change.made_by,
        what=": ".join(part for part in (str(_KINDS.get(change.kind, change.kind)), _detail(change)) if part),
    )


def _detail(change: RecordChange) -> str:
    detail = change.detail
    if change.kind == "step":
        states = {"done": _("done"), "left_out": _("skipped"), "open": _("open")}
        said = _describe_step(detail.get("values", {}))
        return ", ".join(part for part in (_(str(detail["step"])), states.get(detail["state"], ""), said) if part)
    if change.kind == "details":
        return ", ".join(str(value) for key, value in detail.items() if key != "spring_end")
    if change.kind == "closed":
        return _("version %(n)d of the setup", n=detail["revision"])
    found = detail.get("found", detail) if change.kind == "opened" else detail
    return ", ".join(f"{name} {value}" for name, value in measured(found))


def _describe_step(values: dict[str, Any]) -> str:
    """Return what a change of a step noted; its kind shows in the values that it has."""
    marks = (("parts", "parts"), ("after_mm", "travel"), ("torque", "torque"), ("verdict", "leak"), ("what", "seals"))
    kind = next((kind for mark, kind in marks if mark in values), "tick")
    said = step_summary(Step(key="", kind=kind, title="", values=values))  # type: ignore[arg-type]
    return "; ".join(part for part in (said, str(values.get("note", ""))) if part)
