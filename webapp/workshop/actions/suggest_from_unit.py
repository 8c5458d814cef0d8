"""What the library's fork or shock says for the steps of a service: torques, oils, travels, volumes and intervals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

from setup_rules.workshop.checklist import Step
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name
from webapp.library.parsing import read_suspension_unit, suspension_unit_data
from webapp.library.service_lines import UnitOil, UnitTorque, read_interval, read_oil, read_torque
from webapp.library.suspension_unit import SuspensionUnit
from webapp.setups.actions.find_setup import find_setup
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.actions.serviced_setup import end_of


def find_unit_data(shop_id: int, end: str, name: str) -> dict[str, Any] | None:
    """Return the library's fork or shock of that name as plain data, None where there is none."""
    if not name:
        return None
    unit = find_suspension_unit_by_name(shop_id, "fork" if end == "front" else "shock", name)
    return None if unit is None else suspension_unit_data(unit)


def unit_of(record: ServiceRecord) -> SuspensionUnit | None:
    """Return the library's fork or shock as it was when the record was opened."""
    return None if record.unit is None else read_suspension_unit(record.unit)


def suggest_from_unit(steps: Sequence[Step], unit: SuspensionUnit) -> tuple[Step, ...]:
    """Return the steps with what the unit's manual says to start from; a torque or oil without a step gets one."""
    torques, oils = [read_torque(line) for line in unit.torques], [read_oil(line) for line in unit.oils]
    found: list[Step] = []
    for step in steps:
        if step.kind == "torque":
            found.append(_with_torque(step, torques))
        elif step.kind == "lubricant":
            found.append(_with_oil(step, oils))
        else:
            found.append(replace(step, suggested={**step.suggested, **_own_values(step, unit)}))
        if step.kind in ("torque", "lubricant") and not any(s.kind == step.kind for s in steps[len(found) :]):
            found += _more_torques(torques) if step.kind == "torque" else _more_oils(oils)
    return tuple(found)


def _own_values(step: Step, unit: SuspensionUnit) -> dict[str, Any]:
    if step.kind == "travel" and unit.longest_mm is not None:
        return {"longest_mm": unit.longest_mm}
    if step.kind == "leak" and unit.positive_volume_cm3 is not None:
        return {"chamber_cm3": unit.positive_volume_cm3}
    return {}


def _with_torque(step: Step, torques: list[UnitTorque]) -> Step:
    """Return the step with the range of its fastener: the one that shares a word with it, else the first left."""
    words = set(str(step.suggested.get("part", "")).casefold().split())
    taken = next((one for one in torques if words & set(one.part.casefold().split())), None)
    if taken is None and torques and not words:
        taken = torques[0]
    if taken is None:
        return step
    torques.remove(taken)
    return replace(step, suggested=_torque_values(taken))


def _torque_values(torque: UnitTorque) -> dict[str, Any]:
    return {"part": torque.part, "low": torque.low, "high": torque.high, "range_unit": torque.unit, "unit": torque.unit}


def _more_torques(torques: list[UnitTorque]) -> Iterator[Step]:
    for number, torque in enumerate(torques, 1):
        title = _("Tightened: %(part)s", part=torque.part)
        yield Step(key=f"torque_{number}", kind="torque", title=title, suggested=_torque_values(torque))


def _with_oil(step: Step, oils: list[UnitOil]) -> Step:
    place = step.suggested.get("place")
    taken = next((one for one in oils if place in (None, one.place)), None)
    if taken is None:
        return step
    oils.remove(taken)
    return replace(step, suggested=_oil_values(taken))


def _oil_values(oil: UnitOil) -> dict[str, Any]:
    return {"place": oil.place, "what": oil.what, "amount_cm3": oil.amount_cm3}


def _more_oils(oils: list[UnitOil]) -> Iterator[Step]:
    for number, oil in enumerate(oils, 1):
        title = _title_of(oil)
        yield Step(key=f"oil_{number}", kind="lubricant", title=title, suggested=_oil_values(oil))


def _title_of(oil: UnitOil) -> str:
    """Return what the step of an oil or grease is called: left and right would read alike without their place."""
    if oil.place == "left":
        return _("Lubricant, left lower leg: %(what)s", what=oil.what)
    if oil.place == "right":
        return _("Lubricant, right lower leg: %(what)s", what=oil.what)
    if oil.place == "air":
        return _("Lubricant, air chamber: %(what)s", what=oil.what)
    return _("Lubricant: %(what)s", what=oil.what)


def suggested_due(record: ServiceRecord) -> dict[str, Any]:
    """Return when the next service of this kind is due by the library, for a form that nothing was entered in."""
    unit = unit_of(record)
    kind = record.service_kind or ""
    found = [read_interval(line) for line in (unit.intervals if unit else ())]
    mine = next((one for one in found if kind in ("", "list", one.service)), None)
    if mine is None:
        return {}
    due = _in_months(datetime.now(UTC).date(), mine.months).isoformat() if mine.months else None
    return {"next_due_hours": mine.hours or None, "next_due_on": due}


def _in_months(day: date, months: int) -> date:
    year, month = divmod(day.month - 1 + months, 12)
    return day.replace(year=day.year + year, month=month + 1, day=min(day.day, 28))


def lengths_of(record: ServiceRecord) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the travels or strokes that the fork or shock can have, and its spacers; empty is unknown [mm]."""
    unit = unit_of(record)
    return (unit.travels_mm, unit.travel_spacers_mm) if unit else ((), ())


def ready_steps(record: ServiceRecord) -> tuple[Step, ...]:
    """Return the steps of a record as its forms start: the travel step with what the setup says."""
    known = {key: value for key, value in _known_travel(record).items() if value is not None}
    return tuple(
        replace(step, suggested={**step.suggested, **known}) if step.kind == "travel" else step for step in record.steps
    )


def _known_travel(record: ServiceRecord) -> dict[str, float | None]:
    """Return what the bike's setup, or the one to come, says about travel or stroke."""
    end = end_of(record)
    if record.setup_code:
        try:
            request = find_setup(record.setup_code).setup.request
        except (LinkUnknownError, LinkGoneError):  # erased by its rider meanwhile: the record goes on without it
            return {}
        if end == "rear":
            return {"before_mm": request.rear.stroke_mm} if request.rear else {}
        front = request.front
        return {"before_mm": front.travel_mm, "longest_mm": front.longest_travel_mm} if front else {}
    asked = (record.draft or {}).get(end) or {}
    return {"before_mm": asked.get("travel_mm" if end == "front" else "stroke_mm")} | (
        {"longest_mm": asked.get("longest_travel_mm")} if end == "front" else {}
    )
