"""Who is asked for the next pressure: the rules under test or the oracle, behind the same few words."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, Protocol

from .asking import Answer, Readings, Refusal, can_confirm, next_answer
from .oracle import Oracle

Outcome = Literal["taken", "questioned", "refused"]


class Adviser(Protocol):
    """Says what to pump, takes readings, says when it is done and what sag it expects."""

    at_limit: bool
    settled: bool
    target: float
    """The gap that it aims at now [mm]."""

    def pressure(self) -> float:
        """Return what to pump [psi]."""

    def band_mm(self) -> tuple[float, float]:
        """Return the band of the gap that the pressure should give [mm]."""

    def tell(self, readings: Readings) -> Outcome:
        """Take the readings of one check, question them or refuse them."""

    def insist(self, readings: Readings) -> Outcome:
        """Take readings that were questioned and read again."""


class Rules:
    """The rules under test."""

    def __init__(self, first: Answer) -> None:
        self._answer = first
        self.at_limit, self.settled, self.target = first.at_limit, False, first.target

    def pressure(self) -> float:
        """Return what the rules want pumped [psi]."""
        return self._answer.pressure

    def band_mm(self) -> tuple[float, float]:
        """Return the sag band that the rules print [mm]."""
        return self._answer.sag_low, self._answer.sag_high

    def tell(self, readings: Readings) -> Outcome:
        """Hand the readings over; an answer replaces the last one."""
        told = next_answer(self._answer, readings)
        if isinstance(told, Refusal):
            self.settled = False
            return "questioned" if told.question else "refused"
        self._answer, self.settled, self.target = told, told.settled, told.target
        self.at_limit = self.at_limit or told.at_limit
        return "taken"

    def insist(self, readings: Readings) -> Outcome:
        """Say that a questioned reading is right, where the rules can hear it."""
        return self.tell(replace(readings, confirm=True)) if can_confirm() else "refused"


class Knowing:
    """The oracle."""

    def __init__(self, oracle: Oracle, target: float, at_limit: bool) -> None:
        self.oracle = oracle
        self.at_limit, self.settled, self.target = at_limit, False, target

    def pressure(self) -> float:
        """Return the oracle's best pressure [psi]."""
        return self.oracle.pressure()

    def band_mm(self) -> tuple[float, float]:
        """Return the gap band at the oracle's best pressure [mm]."""
        return self.oracle.gap_band_mm(self.oracle.pressure())

    def tell(self, readings: Readings) -> Outcome:
        """Learn from the readings."""
        self.oracle.learn(readings)
        self.settled = self.oracle.is_done(readings.shown_psi)
        return "taken"

    def insist(self, readings: Readings) -> Outcome:
        """Learn from the readings; the oracle never questions any."""
        return self.tell(readings)
