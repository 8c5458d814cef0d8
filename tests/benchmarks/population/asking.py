"""The only door to the rules under test: ask for a setup, tell it a sag check, read back plain numbers.

What tomorrow's rules can be told is looked up in their own dataclasses: the datum of a gap, and "I read it again".
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any

from setup_rules import (
    RequestError,
    SagCheck,
    Setup,
    SpringMemory,
    apply_sag_check,
    read_request,
    recommend,
    with_memories,
    with_unit_memories,
)

from .spring import PSI, Datum

_CHECK_FIELDS = {spec.name for spec in dataclasses.fields(SagCheck)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the rules said, in psi and mm, for the one spring end that was asked about."""

    setup: Setup
    end: str
    pressure: float
    pressure_low: float
    pressure_high: float
    target: float
    sag_low: float
    sag_high: float
    settled: bool
    at_limit: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """The rules did not take the readings; `question` where they ask to read again rather than refuse."""

    question: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """One check as a person enters it: what the pump shows [psi], gaps [mm], and where the gap was read."""

    shown_psi: float
    either: tuple[float, ...]
    above: tuple[float, ...]
    below: tuple[float, ...]
    datum: Datum
    confirm: bool = False


def _answer(setup: Setup, end: str) -> Answer:
    got: Any = getattr(setup, end)
    edges = (got.min_pressure_pa, got.max_pressure_pa)
    return Answer(
        setup=setup,
        end=end,
        pressure=got.pressure_pa / PSI,
        pressure_low=got.pressure_low_pa / PSI,
        pressure_high=got.pressure_high_pa / PSI,
        target=got.sag_target_mm,
        sag_low=got.sag_low_mm,
        sag_high=got.sag_high_mm,
        settled=bool(setup.settled),
        at_limit=any(abs(got.pressure_pa - edge) < 0.2 * PSI for edge in edges),
    )


def first_answer(
    request: dict[str, Any],
    end: str,
    datum: Datum,
    memory: SpringMemory | None = None,
    unit: SpringMemory | None = None,
) -> Answer:
    """Return the first recommendation for a request in the interface's own words.

    `memory` is what its bike remembers, `unit` what other specimens of its fork or shock taught.
    """
    read = read_request(request)
    if hasattr(getattr(read, end), "datum"):
        read = read_request({**request, end: {**request[end], "datum": datum}})
    knowing = with_unit_memories(with_memories(read, {end: memory}), {end: unit})  # type: ignore[dict-item]
    return _answer(recommend(knowing), end)


def answer_or_refusal(request: dict[str, Any], end: str, datum: Datum) -> Answer | Refusal:
    """Return the first recommendation, or that the rules refuse what was measured."""
    try:
        return first_answer(request, end, datum)
    except RequestError as error:
        return Refusal(question=any(one.question for one in error.problems))


def can_confirm() -> bool:
    """Whether these rules take a questioned reading that the person has read again."""
    return "confirm" in _CHECK_FIELDS


def next_answer(answer: Answer, told: Readings) -> Answer | Refusal:
    """Return the answer to a sag check, or how the rules refused the readings."""
    maybe = {"datum": told.datum, "confirm": told.confirm}
    check = SagCheck(
        end=answer.end,  # type: ignore[arg-type]
        pressure_pa=told.shown_psi * PSI,
        readings_mm=told.either,
        readings_from_above_mm=told.above,
        readings_from_below_mm=told.below,
        **{name: value for name, value in maybe.items() if name in _CHECK_FIELDS},  # type: ignore[arg-type]
    )
    try:
        return _answer(apply_sag_check(answer.setup, check), answer.end)
    except RequestError as error:
        return Refusal(question=any(getattr(about, "question", False) for about in (error, *error.problems)))
