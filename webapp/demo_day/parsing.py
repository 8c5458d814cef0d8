"""A bike as plain data: what the JSON interface sends of one, judged by the rules' own reader."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from setup_rules import Problem, RequestError, read_request, request_data
from setup_rules.parsing.request_parsing import read_number, shown, unknown_choice, unknown_key
from setup_rules.types.limits import CORRECTION_LIMITS, Limit, limit_of
from setup_rules.types.request import EndName
from setup_rules.types.spring_memory import BIKE_EVENTS
from webapp.demo_day.bike import ENDS, NUMBER_LONGEST, OF_BIKE, EndStanding, NewBike
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH, text_problem
from webapp.ground.text.i18n import gettext as _
from webapp.library.merging import suspension_unit_problems, with_suspension_unit
from webapp.library.suspension_unit import Kind, SuspensionUnit

FindUnit = Callable[[Kind, str], SuspensionUnit | None]
#: Any rider: a bike's own numbers are judged with one, and the rider is left out again.
_ANYBODY: Final = {"rider_mass_kg": 75.0}
_KIND: Final[dict[str, Kind]] = {"front": "fork", "rear": "shock"}
#: Keys of the body of a bike.
BIKE_KEYS: Final = ("number", "label", "riding_style", *OF_BIKE)
STANDING_LIMITS: Final[dict[str, Limit]] = {
    "pressure_psi": limit_of("read_pressure_psi"),
    "spring_rate_n_per_mm": limit_of("spring_rate_n_per_mm"),
    "preload_mm": limit_of("preload_mm"),
    "rebound_clicks_out": limit_of("clicks_out"),
    "compression_clicks_out": limit_of("clicks_out"),
    "second_pressure_psi": limit_of("read_pressure_psi"),
}
#: What an event may change on its end; another spring is described anew.
FITTED_WITH: Final[dict[str, tuple[str, ...]]] = {
    "spacers": ("volume_spacers", "volume_spacer_cm3"),
    "travel": ("travel_mm", "longest_travel_mm", "stroke_mm", "leverage_start", "leverage_end", "leverage_table"),
    "service": (),
    "leak": (),
}


def read_bike(data: Mapping[str, Any], find_unit: FindUnit) -> NewBike:
    """Return the bike that plain data describes.

    Raises
    ------
    RequestError
        With every problem.
    """
    problems = [unknown_key(key) for key in data if key not in BIKE_KEYS]
    number = _read_text(data, "number", NUMBER_LONGEST, problems)
    if not number and not problems:
        problems.append(Problem("number", _("Give the bike a number, as on its tag.")))
    label = _read_text(data, "label", BIKE_LABEL_LENGTH, problems)
    units: dict[str, str] = {}
    asked = {key: value for key, value in data.items() if key in OF_BIKE or key == "riding_style"}
    for end in ENDS:
        if isinstance(asked.get(end), Mapping):
            asked[end] = _with_unit(end, asked[end], find_unit, units, problems)
    document = _document(asked, problems)
    if problems:
        raise RequestError(tuple(problems))
    return NewBike(number=number, label=label, document=document, units=units)


def _document(asked: Mapping[str, Any], problems: list[Problem]) -> dict[str, Any]:
    try:
        whole = request_data(read_request({"riding_style": "trail", **asked, **_ANYBODY}))
    except RequestError as error:
        problems.extend(error.problems)
        return {}
    return {key: whole[key] for key in (*OF_BIKE, "riding_style") if key in whole}


def _with_unit(
    end: str, given: Mapping[str, Any], find_unit: FindUnit, units: dict[str, str], problems: list[Problem]
) -> dict[str, Any]:
    """Return the values of an end, with those of the library's fork or shock that it names under `unit`."""
    values = {key: value for key, value in given.items() if key != "unit"}
    name = given.get("unit")
    if name is None:
        return values
    unit = find_unit(_KIND[end], name) if isinstance(name, str) else None
    if unit is None:
        told = _("%(name)s is not in this shop's library. Check the name, or describe it here.", name=shown(name))
        problems.append(Problem(f"{end}.unit", told))
        return values
    units[end] = unit.name
    merged = with_suspension_unit(unit, values)
    problems += [Problem(f"{end}.{one.field}", one.said) for one in suspension_unit_problems(unit, merged)]
    return merged


def _read_text(data: Mapping[str, Any], key: str, longest: int, problems: list[Problem]) -> str:
    raw = data.get(key)
    if raw is None:
        return ""
    if not isinstance(raw, str):
        problems.append(Problem(key, _("Send a text.")))
        return ""
    if problem := text_problem(raw, longest):
        problems.append(Problem(key, problem))
    return raw.strip()


def read_standing(data: Mapping[str, Any], document: Mapping[str, Any]) -> dict[EndName, EndStanding]:
    """Return what plain data says to stand on the ends of a bike (raises `RequestError`)."""
    problems = [unknown_key(key) for key in data if key not in ENDS]
    found: dict[EndName, EndStanding] = {}
    for end in (one for one in ENDS if data.get(one) is not None):
        if end not in document:
            problems.append(Problem(end, _("This bike has no such spring.")))
        elif not isinstance(data[end], Mapping):
            problems.append(Problem(end, _("Send one JSON object with named values.")))
        else:
            found[end] = _read_end_standing(end, data[end], document[end], problems)
    if problems:
        raise RequestError(tuple(problems))
    return found


def _read_end_standing(
    end: str, data: Mapping[str, Any], fitted: Mapping[str, Any], problems: list[Problem]
) -> EndStanding:
    problems += [unknown_key(key, f"{end}.") for key in data if key not in STANDING_LIMITS]
    values: dict[str, Any] = {}
    others = ("pressure_psi",) if fitted.get("spring") == "coil" else ("spring_rate_n_per_mm", "preload_mm")
    told = _("The main spring here is a coil.") if fitted.get("spring") == "coil" else _("This is an air spring.")
    problems += [Problem(f"{end}.{key}", told) for key in others if data.get(key) is not None]
    if data.get("second_pressure_psi") is not None and fitted.get("second_volume_cm3") is None:
        problems.append(Problem(f"{end}.second_pressure_psi", _("This spring has no second chamber.")))
    for key, limit in STANDING_LIMITS.items():
        if data.get(key) is not None:
            values[key] = read_number(limit, data[key], f"{end}.{key}", problems)
        total = fitted.get(key.replace("_out", ""))
        if total is not None and values.get(key) is not None and values[key] > total:
            told = _("This adjuster has %(total)d clicks.", total=total)
            problems.append(Problem(f"{end}.{key}", told))
    return EndStanding(**values)


def read_event(data: Mapping[str, Any]) -> tuple[str, str, Mapping[str, Any], int | None]:
    """Return (end, event, what is fitted now, version looked at) of plain data (raises `RequestError`)."""
    known = ("end", "event", "fitted", "version")
    problems = [unknown_key(key) for key in data if key not in known]
    for key, choices in (("end", ENDS), ("event", BIKE_EVENTS)):
        if data.get(key) not in choices or not isinstance(data.get(key), str):
            problems.append(Problem(key, unknown_choice(data.get(key), choices)))
    fitted, version = data.get("fitted") or {}, None
    if data.get("version") is not None:
        version = read_number(CORRECTION_LIMITS["base_revision"], data["version"], "version", problems)
    if not isinstance(fitted, Mapping):
        problems.append(Problem("fitted", _("Send one JSON object with named values.")))
    elif not problems:
        allowed = FITTED_WITH.get(data["event"])
        refused = [key for key in fitted if allowed is not None and key not in allowed]
        problems += [unknown_key(key, "fitted.") for key in refused]
    if problems:
        raise RequestError(tuple(problems))
    return data["end"], data["event"], fitted, None if version is None else int(version)


def read_fitted(document: Mapping[str, Any], end: str, event: str, fitted: Mapping[str, Any]) -> dict[str, Any]:
    """Return a bike's document after something else was fitted to one end (raises `RequestError`)."""
    if end not in document:
        raise RequestError((Problem("end", _("This bike has no such spring.")),))
    other = dict(fitted) if event == "another_spring" else {**document[end], **fitted}
    problems: list[Problem] = []
    after = _document({**{key: document[key] for key in document if key != "units"}, end: other}, problems)
    if problems:
        raise RequestError(tuple(problems))
    units = {name: unit for name, unit in document.get("units", {}).items() if name != end or event != "another_spring"}
    return {**after, **({"units": units} if units else {})}
