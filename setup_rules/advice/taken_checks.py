"""Sag checks of both ends at once, and a check that is struck out: kept in the history, not counted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from setup_rules.advice.carried_clicks import bounces_kept, moved_far, request_with_clicks_of
from setup_rules.advice.corrections import spring_of
from setup_rules.advice.recommend import apply_sag_check, compose, keep_end
from setup_rules.messages.message import Message
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.request import EndName, SetupRequest
from setup_rules.types.result import SagCheck, Setup, TakenCheck


def apply_sag_checks(setup: Setup, checks: Iterable[SagCheck]) -> Setup:
    """Return the setup corrected by the sag checks of both ends, taken at one time: all of them or none.

    Parameters
    ----------
    setup : Setup
        The setup in force.
    checks : iterable of SagCheck
        One for each end that was measured.

    Returns
    -------
    Setup
        A new setup with the advice of each check in their order, each once; `settled` when every end of them is.

    Raises
    ------
    RequestError
        When a check cannot be used; the field of each problem has its end before it, as `front.readings_mm`.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}))
    >>> check = SagCheck(end="front", pressure_pa=setup.front.pressure_pa, readings_mm=(36.0,))
    >>> apply_sag_checks(setup, [check]) == apply_sag_check(setup, check)
    True
    """
    after, problems, answers = setup, list[Problem](), list[Setup]()
    for check in checks:
        try:
            after = apply_sag_check(after, check)
        except RequestError as error:
            problems += [replace(one, field=f"{check.end}.{one.field}") for one in error.problems]
        else:
            answers.append(after)
    if not answers and not problems:
        problems.append(Problem("readings_mm", Message.of("sag_check.no_reading")))
    if problems:
        raise RequestError(tuple(problems))
    advice = [note for answer in answers for note in answer.advice]
    once = tuple(note for place, note in enumerate(advice) if note not in advice[:place])
    return replace(after, advice=once, settled=all(answer.settled for answer in answers))


def strike_check(setup: Setup, index: int, *, struck: bool = True) -> Setup:
    """Return the setup without what one sag check taught, or with it again; the check itself is kept.

    Parameters
    ----------
    setup : Setup
        The setup in force.
    index : int
        The place of the check in `setup.checks`, from 0.
    struck : bool
        Whether it does not count from now on; False counts it again.

    Returns
    -------
    Setup
        A new setup, its end computed anew from the checks that count; the other end is unchanged.

    Raises
    ------
    RequestError
        When there is no such check, or when it is struck out, or counted, already.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}))
    >>> check = SagCheck(end="front", pressure_pa=setup.front.pressure_pa, readings_mm=(36.0,))
    >>> without = strike_check(apply_sag_check(setup, check), 0)
    >>> without.front.pressure_pa == setup.front.pressure_pa, without.checks[0].struck
    (True, True)
    """
    if not 0 <= index < len(setup.checks):
        raise RequestError((Problem("check", Message.of("sag_check.unknown")),))
    taken = setup.checks[index]
    if taken.struck is struck:
        said = Message.of("sag_check.struck_already" if struck else "sag_check.counted_already")
        raise RequestError((Problem("check", said),))
    checks = (*setup.checks[:index], replace(taken, struck=struck), *setup.checks[index + 1 :])
    after = _with_clicks(setup, _recount(setup.request, checks, taken.check.end), taken.check.end)
    for name, _ in setup.request.ends():
        if name != taken.check.end:
            after = keep_end(setup, after, name)
    return replace(after, rides=setup.rides, bounces=bounces_kept(setup, after), settled=None)


def _with_clicks(before: Setup, after: Setup, name: EndName) -> Setup:
    """Return `after` with the clicks of one end as without the check: they go back if they had followed it, else stand.

    Held against the higher pressure as well, since a step up of 10.5 % is one down of 9.5 %.
    """
    stood, stands = (one.front if name == "front" else one.rear for one in (before, after))
    if stood is None or stands is None or moved_far(stood, stands) or moved_far(stands, stood):
        return after
    request = request_with_clicks_of(stood, stands, after.request)
    return after if request is after.request else _recount(request, after.checks, name)


def _recount(request: SetupRequest, checks: tuple[TakenCheck, ...], name: EndName) -> Setup:
    """Return the setup from the checks that count: the newest of an end is judged again, if nothing changed since."""
    newest = next((one for one in reversed(checks) if one.check.end == name and not one.struck), None)
    same = newest is not None and spring_of(newest.request, name) == spring_of(request, name)
    return compose(request, checks, newest.check if newest is not None and same else None)
