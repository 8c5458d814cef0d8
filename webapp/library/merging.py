"""What of an entry goes into a setup's request: everything that was not typed, at the travel that is fitted."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from setup_rules import Problem
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.library.bench_test import test_data
from webapp.library.suspension_unit import (
    SECOND_CHAMBER,
    SHARED_NUMBERS,
    SHARED_WORDS,
    SPRING_KEYS,
    SuspensionUnit,
    SuspensionUnitChart,
)

#: Travels that differ by less are one [mm].
_SAME_MM = 0.5


def with_suspension_unit(suspension_unit: SuspensionUnit, typed: Mapping[str, Any]) -> dict[str, Any]:
    """Return the values of a spring end: those `typed`, and the suspension unit's where nothing was."""
    values = {key: getattr(suspension_unit, key) for key in (*SHARED_NUMBERS, *SHARED_WORDS)}
    travel_key = "travel_mm" if suspension_unit.kind == "fork" else "stroke_mm"
    if len(suspension_unit.travels_mm) == 1:
        values[travel_key] = suspension_unit.longest_mm
    if suspension_unit.kind == "fork":
        values["stanchion_mm"] = suspension_unit.stanchion_mm
        values["longest_travel_mm"] = suspension_unit.longest_mm
    whole = {key: value for key, value in values.items() if value is not None} | dict(typed)
    travel = whole.get(travel_key)
    if travel is None:
        return whole
    _fit_volume(suspension_unit, typed, whole, float(travel))
    return _chart_values(suspension_unit, float(travel)) | _test_values(suspension_unit, float(travel)) | whole


def suspension_unit_problems(suspension_unit: SuspensionUnit, values: Mapping[str, Any]) -> tuple[Problem, ...]:
    """Return what a setup asks of an entry that the entry cannot be; the fields are those of the spring end."""
    travel_key = "travel_mm" if suspension_unit.kind == "fork" else "stroke_mm"
    problems = []
    travel, longest = values.get(travel_key), suspension_unit.longest_mm
    if travel is None and len(suspension_unit.travels_mm) > 1:
        message = _(
            "This fork or shock comes with %(all)s mm. Enter the travel or stroke that is fitted.",
            all=_row(suspension_unit.travels_mm),
        )
        problems.append(Problem(travel_key, message))
    elif travel is not None and longest is not None and travel > longest + _SAME_MM:
        mm, longest_mm = numbers.general(travel), numbers.general(longest)
        message = _(
            "%(mm)s mm is longer than the maximum of %(longest)s mm for this fork or shock.", mm=mm, longest=longest_mm
        )
        problems.append(Problem(travel_key, message))
    elif travel is not None and len(suspension_unit.travels_mm) > 1 and not _is_listed(suspension_unit, travel):
        message = _(
            "%(mm)s mm is none of the lengths of this fork or shock in the library: %(all)s mm.",
            mm=numbers.general(travel),
            all=_row(suspension_unit.travels_mm),
        )
        problems.append(Problem(travel_key, message))
    spacers, most = values.get("volume_spacers") or 0, suspension_unit.max_volume_spacers
    if most is not None and spacers > most:
        message = _("%(n)d volume spacers do not fit. This fork or shock takes at most %(most)d.", n=spacers, most=most)
        problems.append(Problem("volume_spacers", message))
    return tuple(problems)


def _is_listed(suspension_unit: SuspensionUnit, travel_mm: float) -> bool:
    return any(abs(one - travel_mm) <= _SAME_MM for one in suspension_unit.travels_mm)


def is_spring_of(suspension_unit: SuspensionUnit, values: Mapping[str, Any], *, at_travel: bool = False) -> bool:
    """Return whether values of a spring end say nothing of its spring that the entry does not say.

    The positive volume of an end `at_travel` that is fitted is another than the entry's, and is not compared. Where the
    entry does not tell the stanchions or the negative spring, any may stand in the values.
    """
    told = {key: values[key] for key in SPRING_KEYS if values.get(key) is not None}
    own = {key: getattr(suspension_unit, key) for key in told}
    free = {key for key in ("negative_spring", "stanchion_mm") if own.get(key) is None}
    if at_travel and own.get("positive_volume_cm3") is not None:
        free.add("positive_volume_cm3")
    return all(told[key] == own[key] for key in told if key not in free)


def chart_for(suspension_unit: SuspensionUnit, travel_mm: float) -> SuspensionUnitChart | None:
    """Return the chart of this travel, for a fork else that of the nearest travel; None without one."""
    if not suspension_unit.charts:
        return None
    nearest = min(suspension_unit.charts, key=lambda chart: abs(chart.travel_mm - travel_mm))
    exact = abs(nearest.travel_mm - travel_mm) <= _SAME_MM
    return nearest if exact or suspension_unit.kind == "fork" else None


def assumed_fields(suspension_unit: SuspensionUnit) -> tuple[str, ...]:
    """Return the fields of a suspension unit that are not known and fall back to the size class."""
    skipped = {"name", "note", "kind", "travels_mm", "charts", "travel_spacers_mm", "rebound_points", "spring_test"}
    skipped |= set(SECOND_CHAMBER)  # most units have none
    coil = suspension_unit.negative_spring == "coil"
    skipped |= (
        {"port_position_mm", "negative_volume_cm3", "negative_size"}
        if coil
        else {"negative_rate_n_per_mm", "negative_length_mm"}
    )
    if suspension_unit.negative_volume_cm3 is not None:
        skipped |= {"negative_size"}  # the volume says more
    names = (
        *SHARED_NUMBERS,
        *SHARED_WORDS,
        "max_volume_spacers",
        *(("stanchion_mm",) if suspension_unit.kind == "fork" else ()),
    )
    return tuple(name for name in names if name not in skipped and getattr(suspension_unit, name) is None)


def _row(sizes: tuple[float, ...]) -> str:
    return ", ".join(numbers.general(size) for size in sizes)


def _fit_volume(
    suspension_unit: SuspensionUnit, typed: Mapping[str, Any], whole: dict[str, Any], travel_mm: float
) -> None:
    """Bring the positive volume from the longest travel to the one fitted: less travel, less room at full extension."""
    if (
        suspension_unit.positive_volume_cm3 is None
        or "positive_volume_cm3" in typed
        or suspension_unit.longest_mm is None
    ):
        return
    bore = whole.get("bore_mm")
    if bore is None:
        return
    swept_cm3 = math.pi / 4 * float(bore) ** 2 * (suspension_unit.longest_mm - travel_mm) / 1000
    whole["positive_volume_cm3"] = round(suspension_unit.positive_volume_cm3 - swept_cm3, 4)


def _chart_values(suspension_unit: SuspensionUnit, travel_mm: float) -> dict[str, Any]:
    chart = chart_for(suspension_unit, travel_mm)
    if chart is None:
        return {}
    values: dict[str, Any] = {"chart": chart.rows, "chart_weight": chart.weight}
    if chart.sag_percent is not None:
        values["chart_sag_percent"] = chart.sag_percent
    if abs(chart.travel_mm - travel_mm) > _SAME_MM:
        values["chart_travel_mm"] = chart.travel_mm
    return values


def _test_values(suspension_unit: SuspensionUnit, travel_mm: float) -> dict[str, Any]:
    """Return the pushes that were measured on this fork, or on this shock at the stroke that is fitted."""
    test = suspension_unit.spring_test
    if test is None:
        return {}
    same = abs((test.tested_travel_mm or travel_mm) - travel_mm) <= _SAME_MM
    return {"spring_test": test_data(test)} if same or suspension_unit.kind == "fork" else {}
