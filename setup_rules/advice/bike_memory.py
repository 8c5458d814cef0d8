"""A bike that several riders share: what it remembers goes into a request, what a rider's checks teach comes back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from setup_rules.advice.sag_check import learned_of, question
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.spring_memory import lesson_between
from setup_rules.types.request import EndName, SetupRequest
from setup_rules.types.result import Setup, TakenCheck
from setup_rules.types.spring_memory import SpringMemory


def with_memories(request: SetupRequest, memories: Mapping[EndName, SpringMemory | None]) -> SetupRequest:
    """Return a request whose spring ends remember what earlier riders of the bike taught.

    Parameters
    ----------
    request : SetupRequest
        The next rider on the bike.
    memories : mapping of end to SpringMemory
        What the bike remembers of each end; an end without an entry, or None, remembers nothing.

    Returns
    -------
    SetupRequest
        The same with `memory` of each end set.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> request = read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}})
    >>> more = SpringMemory(riders=3, shift=(20.0, 0.0, 0.0), precision=(200.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    >>> after = recommend(with_memories(request, {"front": more})).front
    >>> after.pressure_pa > recommend(request).front.pressure_pa
    True
    """
    found = {name: memory if memory and memory.riders else None for name, memory in memories.items()}
    front, rear = request.front, request.rear
    return replace(
        request,
        front=front and replace(front, memory=found.get("front")),
        rear=rear and replace(rear, memory=found.get("rear")),
    )


def with_unit_memories(request: SetupRequest, memories: Mapping[EndName, SpringMemory | None]) -> SetupRequest:
    """Return a request whose spring ends remember what other specimens of their fork or shock taught.

    Parameters
    ----------
    request : SetupRequest
        A rider's request.
    memories : mapping of end to SpringMemory
        What the unit of each end remembers, as `memory_of_unit` gives it; an end without an entry remembers nothing.

    Returns
    -------
    SetupRequest
        The same with `unit_memory` of each end set.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> request = read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}})
    >>> less = SpringMemory(riders=3, shift=(-20.0, 0.0, 0.0), precision=(200.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    >>> after = recommend(with_unit_memories(request, {"front": less})).front
    >>> after.pressure_pa < recommend(request).front.pressure_pa
    True
    """
    front, rear = request.front, request.rear
    return replace(
        request,
        front=front and replace(front, unit_memory=memories.get("front")),
        rear=rear and replace(rear, unit_memory=memories.get("rear")),
    )


def lesson_of(setup: Setup, name: EndName) -> SpringMemory | None:
    """Return what the checks of one rider taught of one spring end, beyond what the bike remembered before.

    Parameters
    ----------
    setup : Setup
        The rider's setup with all its checks; it began from the memory that its request holds.
    name : {"front", "rear"}
        The spring end.

    Returns
    -------
    SpringMemory or None
        One rider's lesson, to be added to the bike's memory; None without a check that counts, and for a coil.

    Examples
    --------
    >>> from setup_rules import SagCheck, apply_sag_check, read_request, recommend
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}))
    >>> lesson_of(setup, "front") is None
    True
    >>> check = SagCheck(end="front", pressure_pa=setup.front.pressure_pa, readings_mm=(38.0, 39.0))
    >>> lesson_of(apply_sag_check(setup, check), "front").shift[0] > 0.0
    True
    """
    counted = _believable(tuple(one for one in setup.checks if one.check.end == name and not one.struck))
    request = next((one.request for one in reversed(counted) if name not in dict(setup.request.ends())), setup.request)
    end = dict(request.ends()).get(name)
    if end is None or not counted or end.spring == "coil":
        return None  # the rate of a coil is printed on it: what is left to learn is the rider's
    model = EndModel(name, end, request)
    return lesson_between(model, learned_of(model, ()).spring, learned_of(model, counted).spring)


def _believable(checks: tuple[TakenCheck, ...]) -> tuple[TakenCheck, ...]:
    """Return the checks but for those that were kept against a question: slips, or a stranger's.

    The bike waits for a reading that its spring explains; after a correction the next one is.
    """
    kept: tuple[TakenCheck, ...] = ()
    for one in checks:
        asked = one.check.confirm and question(one.request, kept, replace(one.check, confirm=False))
        kept += () if asked else (one,)
    return kept
