"""The steps of a service as lines: what was entered, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from setup_rules.types.units import unit
from setup_rules.workshop.checklist import Step, opened_with_air, travel_change_mm
from setup_rules.workshop.torque_check import check_torque
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.workshop.pages.leak_page import VERDICTS
from webapp.workshop.waiting import how_long_still

CONDITIONS: Final = {"good": _l("good"), "worn": _l("worn"), "replaced": _l("replaced"), "unsafe": _l("not safe")}
PLACES: Final = {
    "air": _l("air chamber"),
    "left": _l("left lower leg"),
    "right": _l("right lower leg"),
    "damper": _l("damper"),
}
KIND_NAMES: Final = {
    "tick": _l("Tick"),
    "parts": _l("Parts and condition"),
    "seals": _l("Seals"),
    "lubricant": _l("Lubricant"),
    "travel": _l("Travel spacers"),
    "torque": _l("Torque"),
    "leak": _l("Leak check"),
}


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step: its state as a word, what was entered, and whether it keeps the record from being closed."""

    key: str
    title: str
    kind: str
    state: str
    state_word: str
    safety: bool
    summary: str
    fault: str
    note: str
    is_waiting: bool


def present_steps(steps: Sequence[Step], *, is_open: bool = True) -> tuple[StepLine, ...]:
    """Return every step as a line, for a record that is open or closed."""
    changed, early = travel_change_mm(steps) != 0.0, opened_with_air(steps)
    lines = (present_step(step, travel_changed=changed, is_open=is_open) for step in steps)
    return tuple(
        replace(line, fault=line.fault or _say_early(step in early)) for line, step in zip(lines, steps, strict=True)
    )


def _say_early(early: bool) -> str:
    if not early:
        return ""
    return _("Done before the air was released. Never open a fork or shock under pressure: release the air first.")


def present_step(step: Step, *, travel_changed: bool = False, is_open: bool = True) -> StepLine:
    """Return one step as a line; `travel_changed` decides whether the steps after a travel change are needed."""
    needed = step.safety and (travel_changed or not step.after_travel_change)
    words = {
        "done": _("done"),
        "left_out": _("skipped"),
        "open": (_("safety step, open") if needed else _("open")) if is_open else _("not done"),
    }
    unneeded = step.after_travel_change and not travel_changed and step.state == "open"
    return StepLine(
        key=step.key,
        title=_(step.title),
        kind=step.kind,
        state="blocking" if needed and step.state == "open" else step.state,
        state_word=_("only after a change of travel") if unneeded else words[step.state],
        safety=step.safety,
        summary=step_summary(step),
        fault=_fault(step),
        note=str(step.values.get("note", "")),
        is_waiting=step.state == "open" and not unneeded,
    )


def step_summary(step: Step) -> str:
    """Return what was entered for a step in one line, "" for nothing."""
    return _SUMMARIES[step.kind](step.values) if step.values else ""


def _parts(v: dict[str, Any]) -> str:
    return ", ".join(f"{part}: {CONDITIONS.get(condition, condition)}" for part, condition in v.get("parts", []))


def _what(v: dict[str, Any]) -> str:
    amount, place = v.get("amount_cm3"), PLACES.get(v.get("place", ""))
    said = f"{v.get('what', '')}, {amount:g} cm³" if amount else str(v.get("what", ""))
    return f"{place}: {said}" if place else said


def _travel(v: dict[str, Any]) -> str:
    if "after_mm" not in v:
        return ""
    pieces = " + ".join(f"{count} × {size:g} mm" for size, count in v.get("spacers", []))
    return _(
        "%(before)s → %(after)s mm (%(longest)s mm minus %(pieces)s)",
        before=f"{v['before_mm']:g}",
        after=f"{v['after_mm']:g}",
        pieces=pieces or _("no spacer"),
        longest=f"{v['longest_mm']:g}",
    )


def _torque(v: dict[str, Any]) -> str:
    if "torque" not in v:
        return ""
    applied = f"{v['torque']:g} {unit('torque', v['unit']).symbol}"
    part = f"{v['part']}: " if v.get("part") else ""
    return _("%(part)s%(applied)s, manual %(range)s", part=part, applied=applied, range=_range(v))


def _range(v: dict[str, Any]) -> str:
    return f"{v['low']:g}–{v['high']:g} {unit('torque', v['range_unit']).symbol}"


def _leak(v: dict[str, Any]) -> str:
    if "verdict" not in v:
        return ""
    if v["verdict"] == "cannot_tell" and "hours_needed" not in v:
        return _(
            "%(first)s → %(second)s psi in %(hours)s h: no result, the hose took some air. Leave the pump connected, "
            "or enter the air volumes of hose and spring",
            first=f"{v['first_psi']:g}",
            second=f"{v['second_psi']:g}",
            hours=f"{v['hours']:g}",
        )
    time = how_long_still(Step(key="", kind="leak", title="", values=v))
    if not time:
        return _leak_words(v)
    if "hose_cm3" in v:
        return _("%(readings)s (measure again after %(time)s)", readings=_leak_words(v), time=time)
    return _(
        "%(readings)s (measure again after %(time)s, or enter the air volumes of hose and spring)",
        readings=_leak_words(v),
        time=time,
    )


def _leak_words(v: dict[str, Any]) -> str:
    return _(
        "%(first)s → %(second)s psi in %(hours)s h, expected %(expected)s: %(verdict)s",
        first=f"{v['first_psi']:g}",
        second=f"{v['second_psi']:g}",
        hours=f"{v['hours']:g}",
        expected=numbers.number(v["expected_psi"], 1),
        verdict=str(VERDICTS[v["verdict"]]).lower(),
    )


_SUMMARIES: Final[dict[str, Callable[[dict[str, Any]], str]]] = {
    "tick": lambda v: "",  # noqa: ARG005 a tick has nothing but its note
    "parts": _parts,
    "seals": _what,
    "lubricant": _what,
    "travel": _travel,
    "torque": _torque,
    "leak": _leak,
}


def _fault(step: Step) -> str:
    v = step.values
    if step.kind == "torque" and "torque" in v:
        return torque_fault(v)
    if step.kind == "leak" and v.get("verdict") == "leaks":
        return _("Losing air. Find the cause before you return the bike.")
    if step.kind == "leak" and v.get("hose_needed"):
        return _("More air is gone than a usual hose takes. Measure again with the pump left connected.")
    unsafe = [part for part, condition in v.get("parts", []) if condition == "unsafe"]
    if unsafe:
        return _("Not safe: %(parts)s. Do not ride the bike.", parts=", ".join(unsafe))
    return ""


def torque_fault(v: dict[str, Any]) -> str:
    """Return what is wrong with a torque, "" where it lies in the manual's range."""
    result = check_torque(v["torque"], v["unit"], v["low"], v["high"], v["range_unit"])
    given = f"{v['torque']:g} {unit('torque', v['unit']).symbol}"
    shown = f"{result.value:.3g} {unit('torque', v['range_unit']).symbol}"
    same = given if v["unit"] == v["range_unit"] else f"{given} ({shown})"
    if result.verdict == "in":
        return ""
    if result.verdict == "unit":
        return _(
            "Out of range, and possibly the wrong unit: %(given)s is outside %(range)s, but %(value)s "
            "%(unit)s would be inside. Check the unit on the wrench.",
            given=same,
            range=_range(v),
            value=f"{v['torque']:g}",
            unit=result.likely_unit,
        )
    if result.verdict == "low":
        return _(
            "Too loose: %(given)s is below %(range)s. Tighten to the torque in the manual.", given=same, range=_range(v)
        )
    return _(
        "Too tight: %(given)s is above %(range)s. Check for damage and follow the manual.", given=same, range=_range(v)
    )
