"""A suspension unit as plain data and back: the shape of the TOML file, of the stored document and of a form's values.

The rules' own reader judges whatever they have a word for, so that an entry can never hold what a setup refuses.
"""

from __future__ import annotations

import difflib
import functools
import itertools
from collections.abc import Callable, Mapping
from dataclasses import asdict, fields
from typing import Any, Final

from setup_rules import Problem, RequestError, read_request
from setup_rules.types.limits import LIMITS, Limit
from webapp.ground.text import numbers
from webapp.ground.text.free_text import text_problem
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say
from webapp.library.bench_test import read_bench_test, test_data
from webapp.library.service_lines import read_lines
from webapp.library.suspension_unit import (
    FORK_ONLY,
    KINDS,
    MOST_SPACER_SIZES,
    MOST_TRAVELS,
    NAME_LONGEST,
    NOTE_LONGEST,
    SERVICE_LISTS,
    SHARED_NUMBERS,
    SHARED_WORDS,
    SuspensionUnit,
    SuspensionUnitChart,
    name_key,
)

#: Keys of a suspension unit in the order in which files list them.
KEYS: Final = tuple(f.name for f in fields(SuspensionUnit))
CHART_KEYS: Final = tuple(f.name for f in fields(SuspensionUnitChart))
#: What the rules call a chart's fields.
_CHART_FIELDS: Final = {"chart_sag_percent": "sag_percent", "chart_weight": "weight", "travel_mm": "travel_mm"}
#: A travel that every size of fork or shock can have, for judging a suspension unit whose own is not known.
_ANY_TRAVEL_MM: Final = {"fork": 120.0, "shock": 50.0}
_RATIO: Final = 2.5
#: The most unknown keys that are named: to look for what each was meant to be takes a while.
_MOST_NAMED: Final = 20

Problems = list[Problem]


def suspension_unit_data(suspension_unit: SuspensionUnit) -> dict[str, Any]:
    """Return `suspension_unit` as plain data that `read_suspension_unit` takes back; unknown fields are left out."""
    data = {key: _read_list(value) for key, value in asdict(suspension_unit).items() if value not in (None, "", ())}
    if suspension_unit.charts:
        data["charts"] = [
            {k: _read_list(v) for k, v in asdict(c).items() if v is not None} for c in suspension_unit.charts
        ]
    if suspension_unit.spring_test is not None:
        data["spring_test"] = test_data(suspension_unit.spring_test)
    return data


def _read_list(value: Any) -> Any:
    return [_read_list(v) for v in value] if isinstance(value, tuple) else value


def read_suspension_unit(data: Mapping[str, Any]) -> SuspensionUnit:
    """Return the suspension unit that plain data describes.

    Raises
    ------
    RequestError
        With one `Problem` for each unknown key and each value that cannot be; its field is the key, for a chart
        with its place from 0 and the chart's own key, as `charts.0.rows`.
    """
    problems: Problems = []
    given = {key: value for key, value in data.items() if value is not None}
    _refuse_unknown(given, problems)
    kind = given.get("kind")
    if kind not in KINDS:
        problems.append(Problem("kind", _("Choose fork or shock.")))
    values: dict[str, Any] = {
        "name": _text(given, "name", NAME_LONGEST, problems),
        "note": _text(given, "note", NOTE_LONGEST, problems),
    }
    if not values["name"] and not any(p.field == "name" for p in problems):
        problems.append(Problem("name", _("Enter a name.")))
    travel_limit = LIMITS["stroke_mm" if kind == "shock" else "travel_mm"]
    values["travels_mm"] = _sizes(given, "travels_mm", travel_limit, MOST_TRAVELS, problems)
    values["travel_spacers_mm"] = _sizes(
        given, "travel_spacers_mm", LIMITS["travel_spacer_mm"], MOST_SPACER_SIZES, problems
    )
    values["rebound_points"] = _points(given, problems)
    values["max_volume_spacers"] = _whole(given, "max_volume_spacers", LIMITS["volume_spacers"], problems)
    for key in SERVICE_LISTS:
        values[key] = _service_lines(given, key, problems)
    _judge(str(kind), given, values, problems)
    if problems:
        raise RequestError(tuple(problems))
    return SuspensionUnit(kind=kind, **values)  # type: ignore[arg-type]  # a known kind by now


def _refuse_unknown(given: Mapping[str, Any], problems: Problems) -> None:
    unknown = [key for key in given if key not in KEYS]
    for key in unknown[:_MOST_NAMED]:
        near = difflib.get_close_matches(str(key)[:60], KEYS, 1)
        hint = _(" Did you mean %(near)s?", near=near[0]) if near else ""
        problems.append(Problem(str(key)[:60], _("This is not a known field.") + hint))
    if given.get("kind") == "shock":
        problems += [Problem(key, _("Only a fork has this.")) for key in FORK_ONLY if given.get(key)]


def _text(given: Mapping[str, Any], key: str, longest: int, problems: Problems) -> str:
    raw = given.get(key, "")
    problem = text_problem(raw, longest) if isinstance(raw, str) else _("Enter a text.")
    if problem:
        problems.append(Problem(key, problem))
        return ""
    return " ".join(raw.split())


def _is_number(raw: Any) -> bool:
    return isinstance(raw, int | float) and not isinstance(raw, bool)


def _sizes(given: Mapping[str, Any], key: str, limit: Limit, most: int, problems: Problems) -> tuple[float, ...]:
    raw = given.get(key, ())
    if not isinstance(raw, list | tuple) or not all(_is_number(v) for v in raw):
        problems.append(Problem(key, _("Enter a list of numbers in mm, such as 100, 120, 140.")))
        return ()
    if len(raw) > most or len(set(raw)) != len(raw):
        problems.append(Problem(key, _("Enter at most %(most)d different numbers.", most=most)))
        return ()
    bad = [value for value in raw if not limit.holds(value)]
    if bad:
        problems.append(Problem(key, limit.refusal(bad[0])))
        return ()
    return tuple(sorted(float(value) for value in raw))


def _service_lines(given: Mapping[str, Any], key: str, problems: Problems) -> tuple[str, ...]:
    try:
        return read_lines(given.get(key, ()), key)
    except ValueError as error:
        problems.append(Problem(key, str(error)))
        return ()


def _whole(given: Mapping[str, Any], key: str, limit: Limit, problems: Problems) -> int | None:
    raw = given.get(key)
    if raw is None:
        return None
    if not _is_number(raw) or not limit.holds(raw) or raw != int(raw):
        low, high = numbers.general(limit.low), numbers.general(limit.high)
        problems.append(Problem(key, _("Enter a whole number from %(low)s to %(high)s.", low=low, high=high)))
        return None
    return int(raw)


def _points(given: Mapping[str, Any], problems: Problems) -> tuple[tuple[float, float], ...]:
    """Return the two known points of the damper: more clicks out must damp less."""
    raw = given.get("rebound_points") or ()
    limits = (LIMITS["damper_clicks"], LIMITS["damper_n_s_per_m"])
    shaped = isinstance(raw, list | tuple) and all(isinstance(p, list | tuple) and len(p) == 2 for p in raw)
    if not shaped or len(raw) not in (0, 2) or not all(_is_number(v) for p in raw for v in p):
        message = _("Enter two points, each as clicks out from fully closed and damping in N·s/m, or none.")
        problems.append(Problem("rebound_points", message))
        return ()
    bad = [
        (limit, value) for point in raw for limit, value in zip(limits, point, strict=True) if not limit.holds(value)
    ]
    if bad:
        problems.append(Problem("rebound_points", bad[0][0].refusal(bad[0][1])))
        return ()
    points = tuple(sorted((float(clicks), float(damping)) for clicks, damping in raw))
    total = given.get("rebound_clicks")
    if points and not (points[0][0] < points[1][0] and points[0][1] > points[1][1]):
        message = _("Damping must fall with more clicks out. Check the two points.")
        problems.append(Problem("rebound_points", message))
    elif points and _is_number(total) and points[1][0] > total:  # type: ignore[operator]
        out, most = numbers.general(points[1][0]), numbers.general(float(str(total)))
        message = _("A point at %(n)s clicks out is beyond the total of %(all)s clicks.", n=out, all=most)
        problems.append(Problem("rebound_points", message))
    return points


def _judge(kind: str, given: Mapping[str, Any], values: dict[str, Any], problems: Problems) -> None:
    """Fill `values` with what the rules' own reader accepts of the rest."""
    end = {key: given[key] for key in (*SHARED_NUMBERS, *SHARED_WORDS) if key in given}
    if kind != "shock" and "stanchion_mm" in given:
        end["stanchion_mm"] = given["stanchion_mm"]
    longest = max(values["travels_mm"], default=None)
    if longest is None and "positive_volume_cm3" in end:
        message = _(
            "The volume of the positive chamber is valid for one travel. Enter the travels too, or clear the volume."
        )
        problems.append(Problem("positive_volume_cm3", message))
    asked = _read_asked(kind, end, longest or _ANY_TRAVEL_MM.get(kind, 120.0), problems, _no_prefix)
    values |= {key: getattr(asked, key) for key in end} if asked is not None else {}
    fitted = longest or _ANY_TRAVEL_MM.get(kind, 120.0)
    values |= read_bench_test(given, end, fitted, functools.partial(_read_asked, kind), problems)
    values["charts"] = _charts(kind, given.get("charts") or (), values["travels_mm"], problems)


def _no_prefix(key: str) -> str:
    return "travels_mm" if key in ("travel_mm", "stroke_mm") else key


def _read_asked(
    kind: str, end: dict[str, Any], travel_mm: float, problems: Problems, name: Callable[[str], str]
) -> Any:
    """Return the spring end as the rules read it, None after noting what they refuse."""
    data: dict[str, Any] = {"rider_mass_kg": 75, "riding_style": "trail"}
    if kind == "shock":
        data["rear"] = {**end, "stroke_mm": travel_mm, "leverage_start": _RATIO, "leverage_end": _RATIO}
    else:
        data["front"] = {**end, "travel_mm": travel_mm}
    try:
        request = read_request(data)
    except RequestError as error:
        problems += [Problem(name(p.field.partition(".")[2]), p.said) for p in error.problems]
        return None
    return request.rear if kind == "shock" else request.front


def _charts(kind: str, raw: Any, travels_mm: tuple[float, ...], problems: Problems) -> tuple[SuspensionUnitChart, ...]:
    if not isinstance(raw, list | tuple) or not all(isinstance(chart, Mapping) for chart in raw):
        problems.append(Problem("charts", _("Enter the charts as a list, each with its travel and its rows.")))
        return ()
    if len(raw) > MOST_TRAVELS:
        problems.append(Problem("charts", _("Enter at most %(most)d charts.", most=MOST_TRAVELS)))
        return ()
    read = (_chart(kind, f"charts.{place}", chart, travels_mm, problems) for place, chart in enumerate(raw))
    charts = [chart for chart in read if chart is not None]
    charts.sort(key=lambda chart: chart.travel_mm)
    for one, other in itertools.pairwise(charts):
        if one.travel_mm == other.travel_mm:
            message = _("There are two charts for %(mm)s mm. Keep one.", mm=numbers.general(one.travel_mm))
            problems.append(Problem("charts", message))
    return tuple(charts)


def _chart(
    kind: str, field: str, raw: Mapping[str, Any], travels_mm: tuple[float, ...], problems: Problems
) -> SuspensionUnitChart | None:
    travel = raw.get("travel_mm")
    limit = LIMITS["stroke_mm" if kind == "shock" else "travel_mm"]
    unknown = sorted(str(key)[:40] for key in raw if key not in CHART_KEYS)
    if unknown or not _is_number(travel) or not limit.holds(travel):  # type: ignore[arg-type]
        what = _("%(keys)s is not a field of a chart.", keys=", ".join(unknown)) if unknown else ""
        problems.append(Problem(f"{field}.travel_mm", what or _("Enter the travel in mm that the chart is for.")))
        return None
    where = _("Chart for %(mm)s mm: ", mm=numbers.general(float(str(travel))))
    if travels_mm and travel not in travels_mm:
        problems.append(Problem(f"{field}.travel_mm", where + _("this travel is not in the list of travels above.")))
    end = {"chart": raw.get("rows") or [], "chart_sag_percent": raw.get("sag_percent")}
    if raw.get("weight") is not None:
        end["chart_weight"] = raw["weight"]
    found: Problems = []
    asked = _read_asked(kind, end, float(travel), found, str)  # type: ignore[arg-type]
    problems += [Problem(f"{field}.{_CHART_FIELDS.get(p.field, 'rows')}", where + say(p.said)) for p in found]
    if asked is None:
        return None
    return SuspensionUnitChart(
        travel_mm=float(travel),  # type: ignore[arg-type]
        rows=asked.chart,
        weight=asked.chart_weight,
        sag_percent=asked.chart_sag_percent,
    )


__all__ = ["CHART_KEYS", "KEYS", "name_key", "read_suspension_unit", "suspension_unit_data"]
