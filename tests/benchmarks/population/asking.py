"""The only door to the rules under test: ask for a setup, tell it a sag check, read back plain numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from setup_rules import RequestError, SagCheck, Setup, apply_sag_check, read_request, recommend

from .spring import PSI


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


def first_answer(request: dict[str, Any], end: str) -> Answer:
    """Return the first recommendation for a request in the interface's own words."""
    return _answer(recommend(read_request(request)), end)


def next_answer(
    answer: Answer, shown_psi: float, readings: list[float], above: list[float], below: list[float]
) -> Answer | None:
    """Return the answer to a sag check, or None where the rules refuse the readings."""
    check = SagCheck(
        end=answer.end,  # type: ignore[arg-type]
        pressure_pa=shown_psi * PSI,
        readings_mm=tuple(readings),
        readings_from_above_mm=tuple(above),
        readings_from_below_mm=tuple(below),
    )
    try:
        return _answer(apply_sag_check(answer.setup, check), answer.end)
    except RequestError:
        return None
