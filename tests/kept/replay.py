"""Answers a kept case by the public face of the rules, as plain numbers and codes that can be compared.

A case is a request and a chain of steps in the shapes of the JSON interface. Each step starts from what the step
before it left; one that the rules refuse leaves everything as it was. Only names that `setup_rules` exports are
used here, so that modules may move without a word being changed.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

import setup_rules as rules

#: Of each spring end all plain numbers that the rules answer with.
END_NUMBERS: Final = (
    "travel_mm",
    "rest_mm",
    "limited",
    "answers_disagree",
    "pressure_pa",
    "pressure_low_pa",
    "pressure_high_pa",
    "ride_pressure_pa",
    "max_pressure_pa",
    "max_pressure_assumed",
    "min_pressure_pa",
    "min_pressure_assumed",
    "sag_target_mm",
    "sag_target_percent",
    "sag_expected_mm",
    "sag_low_mm",
    "sag_high_mm",
    "wheel_travel_mm",
    "wheel_sag_mm",
    "load_n",
    "rate_n_per_m",
    "full_force_n",
    "volume_spacers",
    "checks_used",
    "friction_n",
    "force_factor",
    "chart_fit_percent",
    "tolerance_mm",
)
CLICK_NUMBERS: Final = ("out", "total", "clamped", "damping_n_s_per_m", "beyond")
#: What checks and rides change in a request.
LEARNED: Final = ("sag_target_percent", "rebound_offset_clicks", "compression_offset_clicks", "volume_spacers")
GEOMETRY: Final = ("head_angle_deg", "bottom_bracket_mm", "front_centre_mm", "wheelbase_mm")
#: The curve is kept at about this many of its points.
CURVE_POINTS: Final = 5
#: Twelve digits are kept. Libraries of numbers may differ in the last of a float's sixteen from machine to machine.
DIGITS: Final = 12
#: How far a number may lie from the kept one: relative, and absolute for those that are nothing but rounding. A search
#: ends a micrometre's square from its root, so where it begins moves a number by up to 1.2e-7 of itself (measured).
RELATIVE: Final = 2e-7
ABSOLUTE: Final = 1e-9


def replay(case: Mapping[str, Any]) -> dict[str, Any]:
    """Return the answer to a case's request and to each of its steps, or what each was refused for."""
    try:
        setup = rules.recommend(rules.read_request(case["request"]))
    except rules.SetupRulesError as error:
        return {"answer": refusal(error), "steps": []}
    answers = {"answer": numbers(setup), "steps": []}
    for step in case["steps"]:
        setup, answer = take(setup, step)
        answers["steps"].append(answer)
    return answers


def take(setup: rules.Setup, step: Mapping[str, Any]) -> tuple[rules.Setup, dict[str, Any]]:
    """Return the setup after one step, and the step's answer."""
    try:
        return STEPS[step["do"]](setup, step["data"])
    except rules.SetupRulesError as error:
        return setup, refusal(error)


def _sag_check(setup: rules.Setup, data: Mapping[str, Any]) -> tuple[rules.Setup, dict[str, Any]]:
    after = rules.apply_sag_check(setup, rules.read_sag_check(data))
    return after, numbers(after)


def _bounce_check(setup: rules.Setup, data: Mapping[str, Any]) -> tuple[rules.Setup, dict[str, Any]]:
    after = rules.apply_bounce_check(setup, rules.read_bounce_check(data))
    return after, numbers(after)


def _ride(setup: rules.Setup, data: Mapping[str, Any]) -> tuple[rules.Setup, dict[str, Any]]:
    after = rules.apply_ride(setup, rules.read_ride(data))
    change = after.rides[-1].change
    return after, {
        **numbers(after),
        "change": [change.end, change.kind, rounded(change.amount), rounded(change.before)],
    }


def _what_if(setup: rules.Setup, data: Mapping[str, Any]) -> tuple[rules.Setup, dict[str, Any]]:
    after = rules.what_if(setup, data)
    return after, numbers(after)


def _travel(setup: rules.Setup, data: Mapping[str, Any]) -> tuple[rules.Setup, dict[str, Any]]:
    spacers = tuple((float(size), int(count)) for size, count in data["spacers"])
    plan = rules.plan_travel(setup, rules.TravelWish(**{**data, "spacers": spacers}))
    answer = {
        "exact": [[list(map(list, stack.pieces)), stack.travel_mm] for stack in plan.stacks.exact],
        "nearest": [[list(map(list, stack.pieces)), stack.travel_mm] for stack in plan.stacks.nearest],
        "geometry": {name: rounded(getattr(plan.geometry, name)) for name in GEOMETRY},
        "before": _end(plan.before.front),
        "after": None if plan.after is None else numbers(plan.after),
    }
    return plan.after or setup, answer


STEPS: Final[dict[str, Callable[..., tuple[rules.Setup, dict[str, Any]]]]] = {
    "sag_check": _sag_check,
    "bounce_check": _bounce_check,
    "ride": _ride,
    "what_if": _what_if,
    "travel": _travel,
}


def numbers(setup: rules.Setup) -> dict[str, Any]:
    """Return every number of a setup, the codes of its notes, and what it says was learned."""
    asked = rules.request_data(setup.request)
    return {
        "front": _end(setup.front),
        "rear": _end(setup.rear),
        "learned": {e: [asked[e].get(name) for name in LEARNED] for e in ("front", "rear") if e in asked},
        "cautions": _codes(setup.cautions),
        "reasons": _codes(setup.reasons),
        "advice": _codes(setup.advice),
        "settled": setup.settled,
    }


def _end(end: rules.EndSetup | None) -> dict[str, Any] | None:
    if end is None:
        return None
    curve, step = end.curve, max(1, (len(end.curve.force_n) - 1) // (CURVE_POINTS - 1))
    return {
        **{name: rounded(getattr(end, name)) for name in END_NUMBERS},
        "rebound": _clicks(end.rebound),
        "compression": _clicks(end.compression),
        **{name: _plain_record(found) for name in ("coil", "second") if (found := getattr(end, name)) is not None},
        "curve": [
            [rounded(one) for one in line[::step]] for line in (curve.compression_mm, curve.force_n, curve.load_n)
        ],
    }


def _clicks(start: Any) -> dict[str, Any] | None:
    return None if start is None else {name: rounded(getattr(start, name)) for name in CLICK_NUMBERS}


def _plain_record(value: Any) -> Any:
    """Return a record, or a row of them, as plain rounded values by name."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {one.name: _plain_record(getattr(value, one.name)) for one in dataclasses.fields(value)}
    return [_plain_record(one) for one in value] if isinstance(value, tuple) else rounded(value)


def _codes(notes: tuple[Any, ...]) -> list[str]:
    return [f"{note.end or '-'} {note.code}" for note in notes]


def refusal(error: rules.SetupRulesError) -> dict[str, Any]:
    """Return what was refused: the fields that are named, or the kind of failure."""
    named = [problem.field for problem in error.problems] if isinstance(error, rules.RequestError) else []
    return {"refused": named or type(error).__name__}


def rounded(value: Any) -> Any:
    """Return a float with the digits that are kept, anything else as it is."""
    return float(f"{value:.{DIGITS}g}") if isinstance(value, float) else value


def ask_over_http(client: Any, case: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the JSON interface says of a case's request, and of its first step where that is a sag check."""
    made = client.post("/api/v1/setups", json=case["request"])
    said = {"created": plain(made)}
    if made.status_code == 201 and case["steps"] and case["steps"][0]["do"] == "sag_check":
        step = case["steps"][0]["data"]
        said["checked"] = plain(client.post(f"/api/v1/setups/{made.json['code']}/sag-checks", json=step))
    return said


def plain(answer: Any) -> dict[str, Any]:
    """Return the status, numbers and codes of a JSON answer, without its sentences and addresses."""
    body = dict(answer.json)
    for name in ("cautions", "reasons", "advice"):
        if name in body:
            body[name] = [f"{note['end'] or '-'} {note['code']}" for note in body[name]]
    if "errors" in body:
        body["errors"] = [problem["field"] for problem in body["errors"]]
    return {"status": answer.status_code, **{k: v for k, v in body.items() if k not in ("code", "url", "card_url")}}


def differences(kept: Any, now: Any, where: str = "") -> Iterator[str]:
    """Yield where an answer differs from the kept one; keys that were added since are no difference."""
    if isinstance(kept, dict) and isinstance(now, dict):
        for key, value in kept.items():
            yield from differences(value, now.get(key, "missing"), f"{where}.{key}")
    elif isinstance(kept, list) and isinstance(now, list) and len(kept) == len(now):
        for number, pair in enumerate(zip(kept, now, strict=True)):
            yield from differences(*pair, f"{where}[{number}]")
    elif not _same(kept, now):
        yield f"{where}: kept {kept!r}, now {now!r}"


def _same(kept: Any, now: Any) -> bool:
    numeric = all(isinstance(one, int | float) and not isinstance(one, bool) for one in (kept, now))
    if numeric and float in (type(kept), type(now)):
        return math.isclose(kept, now, rel_tol=RELATIVE, abs_tol=ABSOLUTE)
    return type(kept) is type(now) and bool(kept == now)
