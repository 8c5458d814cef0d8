"""The back of a card: a service in short, for the rider and for the next workshop. Nothing about the rider."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from webapp.cards.pages.card_words import NO_WORDS, Words
from webapp.ground.link_codes import spaced
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.local_time import DEFAULT_ZONE, local
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.pages.record_page import next_due
from webapp.workshop.pages.step_lines import step_summary

#: Longest entry of a line, in characters.
LINE_LENGTH: Final = 90
#: How many lines each of a size's steps shows, roomy to tight, on a card and on the small label.
_CARD_LINES: Final = {"fit-0": 11, "fit-1": 10, "fit-2": 8, "fit-3": 6}
_LABEL_LINES: Final = {"fit-0": 10, "fit-1": 8, "fit-2": 6, "fit-3": 4, "fit-4": 2}


@dataclass(frozen=True, slots=True)
class BackView:
    """The back of a card as strings, the same for every size."""

    title: str
    bike: str
    issued: str
    lines: tuple[tuple[str, str], ...]
    code: str
    address: str
    link: Words
    safety: Words

    def shown(self, step: str, *, compact: bool) -> tuple[tuple[str, str], ...]:
        """Return the lines that there is room for at a step."""
        return self.lines[: (_LABEL_LINES if compact else _CARD_LINES)[step]]

    def more(self, step: str, *, compact: bool) -> str:
        """Return how many lines stay in the shop's record, or nothing."""
        left = len(self.lines) - len(self.shown(step, compact=compact))
        if not left:
            return ""
        return ngettext("%(num)d more line in the shop's record", "%(num)d more lines in the shop's record", left)


def present_back(
    record: ServiceRecord,
    address: str,
    *,
    link: Words = NO_WORDS,
    short_code: str = "",
    other: ServiceRecord | None = None,
    zone: str = DEFAULT_ZONE,
) -> BackView:
    """Return the back of the card of the setup that a closed record led to, with the front's `short_code`.

    `other` is the other part of the same visit: each line then says which end it is about. The day is that of a zone.
    """
    date = numbers.plain_day(local(record.closed_at or record.opened_at, zone))
    return BackView(
        title=_("Service of %(bike)s, %(date)s", bike=record.bike_label, date=date),
        bike=record.bike_label,
        issued=_("Service of %(date)s, shop code %(code)s", date=date, code=short_code or record.short_code),
        lines=tuple((label, _cut(text)) for label, text in _lines_of_visit(record, other)),
        code=spaced(record.setup_code or ""),
        address=address,
        link=link,
        safety=Words(
            _(
                "Before opening: release all air, cycle, release again, wear eye protection. Use the "
                "torques, oil and amounts in the manual. Damage or play: do not ride, see a qualified "
                "mechanic."
            ),
            _("Release all air before opening. Follow the manual."),
        ),
    )


def _lines_of_visit(record: ServiceRecord, other: ServiceRecord | None) -> Iterator[tuple[str, str]]:
    if other is None:
        yield from _lines(record)
        return
    for part in sorted((record, other), key=lambda one: one.spring_end):
        end = _("Fork") if part.spring_end == "front" else _("Shock")
        for label, text in _lines(part):
            yield _("%(end)s: %(label)s", end=end, label=label), text


def _lines(record: ServiceRecord) -> Iterator[tuple[str, str]]:
    """Yield what matters first on the road, then what was done: a tight label drops the last lines."""
    yield from next_due(record)
    if left := _readings(record.as_left):
        yield _("Final settings"), left
    if found := _readings(record.as_found):
        yield _("As received"), found
    labels = {
        "parts": _("Parts"),
        "seals": _("Seals"),
        "lubricant": _("Lubricant"),
        "travel": _("Travel"),
        "torque": _("Torque"),
        "leak": _("Leak check"),
    }
    for step in record.steps:
        said = step_summary(step) if step.state == "done" else ""
        if said:
            yield labels[step.kind], said
    ticks = [step for step in record.steps if step.kind == "tick"]
    done = sum(step.state == "done" for step in ticks)
    yield _("Checks done"), _("%(done)d of %(all)d", done=done, all=len(ticks))


def _readings(values: dict[str, Any]) -> str:
    parts = []
    pressure = values.get("before_hose_psi", values.get("pressure_psi"))
    if pressure is not None:
        parts.append(f"{numbers.general(round(pressure, 1))} psi")
    if "temperature_c" in values and pressure is not None:
        parts.append(_("at %(c)s °C", c=numbers.general(values["temperature_c"]).replace("-", "−")))
    if "sag_mm" in values:
        parts.append(_("sag %(mm)s mm", mm=numbers.general(values["sag_mm"])))
    if "rebound_out" in values:
        parts.append(_("rebound %(n)s out", n=numbers.general(values["rebound_out"])))
    if "compression_out" in values:
        parts.append(_("compression %(n)s out", n=numbers.general(values["compression_out"])))
    return ", ".join(parts)


def _cut(text: str) -> str:
    if len(text) <= LINE_LENGTH:
        return text
    return text[: LINE_LENGTH - 1].rsplit(" ", 1)[0].rstrip(" ,;:.") + "…"
