"""Every later correction of a setup: a bounce check, a ride, a changed circumstance. Composition only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final, Literal, TypeVar, cast

from setup_rules.advice.bounce_check import Turn, bounce_problems, find_turn, places_left, remember
from setup_rules.advice.carried_clicks import (
    bounces_kept,
    follow_notes,
    moved_far,
    offset_for,
    request_with_clicks_of,
    stop_notes,
)
from setup_rules.advice.coil_ride import coil_change, next_spring
from setup_rules.advice.recommend import keep_end, recommend
from setup_rules.advice.ride_report import next_change, report_problems
from setup_rules.advice.sag_check import posterior_of
from setup_rules.advice.wording import VARIANT, no_end, variant_of, whole_psi
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.volume_spacer import SpacerEffect, spacer_effect
from setup_rules.messages.catalogue import sources
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, halves, places, whole
from setup_rules.parsing.request_parsing import read_request, request_data, unknown_key
from setup_rules.physics.damping import known_adjuster
from setup_rules.types import constants as c
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.request import Conditions, EndName, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import BounceCheck, Change, EndSetup, Note, RideReport, Setup, TakenRide, Way

#: Kept with a scale reading: the masses and the stance of its day. Nobody changes them alone.
_OF_THE_SCALES_DAY: Final = ("weighed_kg", "weighed_stance")

Adjuster = Literal["rebound", "compression"]
AnyEnd = TypeVar("AnyEnd", FrontEnd, RearEnd)


def apply_bounce_check(setup: Setup, check: BounceCheck) -> Setup:
    """Return the setup with the rebound corrected by what was seen after one firm dip.

    Parameters
    ----------
    setup : Setup
        The setup in force.
    check : BounceCheck
        What was seen, with the rebound clicks out as they were set.

    Returns
    -------
    Setup
        A new setup; `advice` says how far to turn. At most a quarter of the clicks in one go.

    Raises
    ------
    RequestError
        When the check cannot be used.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> front = {"travel_mm": 140, "rebound_clicks": 16}
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
    >>> after = apply_bounce_check(setup, BounceCheck(end="front", clicks_out=8, seen="more"))
    >>> after.front.rebound.out
    4
    """
    end, result = _end_and_result(setup, check.end)
    if result.rebound is None:
        raise RequestError((Problem("end", Message.of(f"bounce.no_adjuster.{VARIANT[check.end]}")),))
    total = result.rebound.total
    problems = bounce_problems(check, total)
    if problems:
        raise RequestError(problems)
    way = find_turn(check, setup.request.riding_style, total, (), 2.0).direction
    closed = places_left(setup, check.end, check.clicks_out, way)
    spread = known_adjuster(end.rebound_points, total)[1] if end.rebound_points else c.CLICK_RANGE.value
    turn = find_turn(check, setup.request.riding_style, total, closed, spread)
    wanted = check.clicks_out + turn.direction * turn.clicks
    after = _set_clicks(setup, check.end, "rebound", wanted)
    after = replace(after, bounces=remember(setup, check, turn.direction))
    stop = stop_notes(_end_and_result(after, check.end)[1], turn.direction * turn.clicks, "rebound")
    note = _bounce_note(check, turn, total, c.REBOUND_RATIO[setup.request.riding_style])
    return replace(after, advice=(note, *stop, *_sag_first(result)))


def _bounce_note(check: BounceCheck, turn: Turn, total: int, aim: float) -> Note:
    turned = turn.direction * turn.clicks
    values: dict[str, float] = {"out": check.clicks_out + turned, "total": total}
    measured = ""
    if turn.ratio is not None:
        measured, values = ".measured", values | {"ratio": places(turn.ratio, 2), "aim": places(aim, 2)}
    way: Way = "out" if turn.direction > 0 else "in"
    if turn.at_end:
        said = Message.of(f"rebound_at_end.{'open' if turn.direction > 0 else 'closed'}{measured}", **values)
        return Note("rebound_at_end", said, sources.BOUNCE, check.end)
    if turned == 0:
        between = f".nothing_between.{way}" if turn.direction else ""
        said = Message.of(
            f"rebound_right{between or measured}", **({"out": values["out"], "total": total} if between else values)
        )
        return Note("rebound_right", said, sources.BOUNCE, check.end)
    said = Message.of(f"rebound_turn.{way}{measured}", **values, count=abs(turned))
    return Note("rebound_turn", said, sources.BOUNCE, check.end, way)


def _sag_first(result: EndSetup) -> tuple[Note, ...]:
    """Return the word that sag comes before rebound, for an end whose sag nobody has measured."""
    if result.checks_used:
        return ()
    return (Note("sag_before_rebound", Message.of(f"sag_before_rebound.{variant_of(result)}"), c.PRACTICE, result.end),)


def apply_ride(setup: Setup, report: RideReport) -> Setup:
    """Return the setup with the one change that a ride asks for; `advice` says which and why.

    Parameters
    ----------
    setup : Setup
        The setup in force, as ridden.
    report : RideReport
        What was felt, with travel used [mm] and hard hits where known.

    Returns
    -------
    Setup
        A new setup with the ride kept in `rides`. Its numbers are unchanged when all is well, when the sag has to
        be checked first, or when only a workshop can help.

    Raises
    ------
    RequestError
        When the report cannot be used or contradicts itself.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> front = {"travel_mm": 140, "rebound_clicks": 16}
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
    >>> apply_ride(setup, RideReport(end="front", felt=("kicks_back",))).rides[-1].change.amount
    -2.0
    """
    problems = report_problems(setup, report)
    if problems:
        raise RequestError(problems)
    change = next_change(setup, report)
    rides = (*setup.rides, TakenRide(report=report, change=change))
    end, result = _end_and_result(setup, report.end)
    if change.kind in ("none", "sag_check", "workshop"):
        return replace(setup, rides=rides, advice=(_still_note(change, result),), settled=None)
    model = EndModel(report.end, end, setup.request)
    effect = None
    if change.kind == "volume_spacers":
        count = end.volume_spacers + int(change.amount)
        effect = spacer_effect(model, posterior_of(model, setup.checks), count, result.sag_target_mm / 1000)
    if change.kind in ("rebound", "compression"):
        after = _set_clicks(setup, change.end, change.kind, round(change.before or 0) + int(change.amount))
        also = stop_notes(_end_and_result(after, change.end)[1], int(change.amount), change.kind)
    else:
        after = recommend(_changed_request(setup.request, end, result, change), setup.checks)
        after = _clicks_where_they_stand(result, after)
        after = keep_end(setup, after, "rear" if change.end == "front" else "front")
        after = replace(after, bounces=bounces_kept(setup, after))
        also = follow_notes(setup, after)
    note = _change_note(change, result, _end_and_result(after, report.end)[1], effect)
    return replace(after, rides=rides, advice=(note, *also))


def _changed_request(request: SetupRequest, end: FrontEnd | RearEnd, result: EndSetup, change: Change) -> SetupRequest:
    amount = int(change.amount)
    if change.kind == "sag_target":
        return _with_end(request, change.end, sag_target_percent=result.sag_target_percent + change.amount)
    if change.kind == "spring_rate":
        return _with_end(request, change.end, **next_spring(result, change))
    return _with_end(request, change.end, volume_spacers=end.volume_spacers + amount)


def _still_note(change: Change, result: EndSetup) -> Note:
    code = f"ride_{change.kind}"
    variant = variant_of(result) if change.kind == "sag_check" else VARIANT[change.end]
    key = code if change.kind == "none" else f"{code}.{variant}"
    return Note(code, Message.of(key), c.PRACTICE, change.end)


def _change_note(change: Change, before: EndSetup, after: EndSetup, effect: SpacerEffect | None) -> Note:
    code, way, source = f"ride_{change.kind}", _way_of(change), c.PRACTICE
    if after.coil is not None and change.kind in ("sag_target", "spring_rate"):
        return Note(code, coil_change(change, way, after, after.coil), source, change.end, way)
    key = f"{code}.{way}.{VARIANT[change.end]}"
    psi, sag = whole_psi(after.pressure_pa), halves(after.sag_target_mm)
    if change.kind == "volume_spacers" and effect is not None:
        work = whole(100 * abs(effect.work_factor - 1))
        said = Message.of(key, total=after.volume_spacers, psi=psi, sag=sag, work=work)
        source = sources.SPACER_WORK
    elif change.kind == "sag_target":
        points = as_typed(abs(change.amount))
        said = Message.of(key, before=whole_psi(before.pressure_pa), psi=psi, points=points, sag=sag)
    else:
        start = after.rebound if change.kind == "rebound" else after.compression
        out, total = (start.out, start.total) if start else (0, 0)
        said = Message.of(key, count=int(abs(change.amount)), out=out, total=total)
    return Note(code, said, source, change.end, way)


def _way_of(change: Change) -> Way:
    if change.kind in ("rebound", "compression"):
        return "out" if change.amount > 0 else "in"
    return "more" if change.amount > 0 else "less"


def what_if(setup: Setup, changes: Mapping[str, Any]) -> Setup:
    """Return the setup as it would be with some of the request changed; what was learned by checks is kept.

    An end that the changes do not touch keeps its numbers to the last digit. What a rider felt is only kept for an
    end that still feels the same: same rider, kit, bike and style, same spring apart from its adjusters.

    Parameters
    ----------
    setup : Setup
        The setup in force.
    changes : mapping
        Keys of the request with their new values, spring ends as mappings of the keys that change; None clears a
        key back to its default.

    Returns
    -------
    Setup
        A new setup with the same checks.

    Raises
    ------
    RequestError
        When the changed request is outside the limits, or the changes say what a scale's day was.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}))
    >>> what_if(setup, {"kit_mass_kg": 12}).front.pressure_pa > setup.front.pressure_pa
    True
    """
    if told := tuple(unknown_key(key) for key in _OF_THE_SCALES_DAY if key in changes):
        raise RequestError(told)
    request = read_request(_merged(request_data(setup.request), _weighed_today(changes)))
    after = recommend(request, setup.checks)
    for name, _ in request.ends():
        if spring_of(request, name) == spring_of(setup.request, name):
            after = _keep_all_but_clicks(setup, after, name)
    for result in setup.ends():
        if _turns_alike(setup.request, after.request, result.end):
            after = _standing_clicks(after, result)
    same = {name for name, _ in request.ends() if _feel_of(request, name) == _feel_of(setup.request, name)}
    rides = tuple(ride for ride in setup.rides if ride.change.end in same)
    bounces = tuple(bounce for bounce in bounces_kept(setup, after) if bounce.end in same)
    return replace(after, rides=rides, bounces=bounces, advice=follow_notes(setup, after))


def _turns_alike(before: SetupRequest, after: SetupRequest, name: EndName) -> bool:
    """Return whether one end's clicks depend on nothing that changed but its spring, load and pressure."""
    one, other = (request.front if name == "front" else request.rear for request in (before, after))
    if one is None or other is None or before.riding_style != after.riding_style:
        return False
    keys = (
        "rebound_clicks",
        "rebound_points",
        "rebound_offset_clicks",
        "compression_clicks",
        "compression_offset_clicks",
    )
    return all(getattr(one, key) == getattr(other, key) for key in keys)


def _standing_clicks(after: Setup, stood: EndSetup) -> Setup:
    """Return `after` with the clicks of one end where they stood, unless its pressure moved far."""
    result = _end_and_result(after, stood.end)[1]
    request = after.request if moved_far(stood, result) else request_with_clicks_of(stood, result, after.request)
    if request is after.request:
        return after
    again, advice = recommend(request, after.checks), after.advice
    for kind in ("rebound", "compression"):
        after = _only_clicks(after, again, stood.end, kind)
    return replace(after, advice=advice)


def spring_of(request: SetupRequest, name: EndName) -> SetupRequest | None:
    """Return of a request what one end's pressure and sag depend on, None without that end."""
    end = request.front if name == "front" else request.rear
    if end is None:
        return None
    plain = replace(
        end,
        rebound_clicks=None,
        rebound_points=None,
        rebound_offset_clicks=0,
        compression_clicks=None,
        compression_offset_clicks=0,
    )
    if isinstance(plain, FrontEnd):
        return replace(request, front=plain, rear=None)
    return replace(request, front=None, rear=plain)


def _feel_of(request: SetupRequest, name: EndName) -> SetupRequest | None:
    """Return of a request what one end feels like apart from its adjusters, None without that end."""
    spring = spring_of(request, name)
    if spring is None:
        return None
    anywhere = replace(spring, bench=Conditions(), ride=Conditions())
    if anywhere.front is not None:
        return replace(anywhere, front=_unadjusted(anywhere.front))
    if anywhere.rear is not None:
        return replace(anywhere, rear=_unadjusted(anywhere.rear))
    return anywhere


def _unadjusted(end: AnyEnd) -> AnyEnd:
    """Return an end without what a ride may change of its spring."""
    return replace(
        end, sag_target_percent=None, volume_spacers=0, stocked_rates_n_per_mm=None, fitted_rate_n_per_mm=None
    )


def _keep_all_but_clicks(before: Setup, after: Setup, name: EndName) -> Setup:
    """Return `after` with one end as it was in `before`, but for its clicks and what is said of them."""
    new, old = _end_and_result(after, name)[1], _end_and_result(before, name)[1]
    end = replace(old, rebound=new.rebound, compression=new.compression)
    codes = (f"{name}_rebound", f"{name}_compression")
    kept = keep_end(before, after, name)
    clicks = {note.code: note for note in after.reasons if note.code in codes}
    reasons = [clicks.pop(note.code, note) for note in kept.reasons if note.code in clicks or note.code not in codes]
    kept = replace(kept, reasons=(*reasons, *clicks.values()))
    return replace(kept, front=end) if name == "front" else replace(kept, rear=end)


def _merged(data: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(data)
    for key, value in changes.items():
        inner = merged.get(key)
        # A new spring test is another test, of another day: nothing of the old one goes with it.
        inside = isinstance(inner, Mapping) and isinstance(value, Mapping) and key != "spring_test"
        merged[key] = _merged(cast("Mapping[str, Any]", inner), value) if inside else value
    return merged


def _weighed_today(changes: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return changes in which a new scale reading is of the masses and the stance of today."""
    if "front_axle_kg" not in changes and "rear_axle_kg" not in changes:
        return changes
    return {**dict.fromkeys(_OF_THE_SCALES_DAY), **changes}


def _clicks_where_they_stand(before: EndSetup, after: Setup) -> Setup:
    """Return `after` with the clicks of one end as they were, unless its pressure moved so far that they follow."""
    result = _end_and_result(after, before.end)[1]
    if moved_far(before, result):
        return after
    request = request_with_clicks_of(before, result, after.request)
    return after if request is after.request else recommend(request, after.checks)


def _set_clicks(setup: Setup, name: EndName, kind: Adjuster, out: int) -> Setup:
    """Return `setup` with one adjuster of one end at `out` clicks and nothing else moved.

    The clicks in force may go with a pressure that was kept as set, so the offset is taken from what the request gives.
    """
    request, field = setup.request, f"{kind}_offset_clicks"
    after = recommend(request, setup.checks)
    end, result = _end_and_result(after, name)
    start = result.rebound if kind == "rebound" else result.compression
    if start is not None and start.out != out:
        request = _with_end(request, name, **{field: offset_for(getattr(end, field), start, out)})
        after = recommend(request, setup.checks)
    return _only_clicks(setup, after, name, kind)


def _only_clicks(before: Setup, after: Setup, name: EndName, kind: Adjuster) -> Setup:
    """Return `before` with the request of `after` and one adjuster of one end: nothing else moves."""
    new, old = _end_and_result(after, name)[1], _end_and_result(before, name)[1]
    end = replace(old, rebound=new.rebound) if kind == "rebound" else replace(old, compression=new.compression)
    clicks = {note.code: note for note in after.reasons if note.code == f"{name}_{kind}"}
    reasons = tuple(clicks.get(note.code, note) for note in before.reasons)
    kept = replace(before, request=after.request, reasons=reasons, settled=None)
    return replace(kept, front=end) if name == "front" else replace(kept, rear=end)


def _with_end(request: SetupRequest, name: EndName, **changes: Any) -> SetupRequest:
    data = request_data(request)
    return read_request(_merged(data, {name: changes}))


def _end_and_result(setup: Setup, name: EndName) -> tuple[FrontEnd | RearEnd, EndSetup]:
    end = setup.request.front if name == "front" else setup.request.rear
    result = setup.front if name == "front" else setup.rear
    if end is None or result is None:
        raise RequestError((no_end(name),))
    return end, result
