"""What can go wrong in the rules: one base, whose children also are the built-in error a caller expects."""

from __future__ import annotations

from dataclasses import dataclass


class SetupRulesError(Exception):
    """Base of every error that `setup_rules` raises on purpose."""


class LimitError(SetupRulesError, ValueError):
    """A quantity lies outside the range in which the rules hold."""


class UnknownUnitError(SetupRulesError, KeyError):
    """A unit is not in the closed list of its kind."""

    def __str__(self) -> str:
        return str(self.args[0])


class NoSolutionError(SetupRulesError, ArithmeticError):
    """No pressure or no sag satisfies the balance of forces."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a request: the field's dotted name and a sentence that says how to mend it."""

    field: str
    message: str
    question: bool = False


class RequestError(SetupRulesError, ValueError):
    """A request cannot be computed; `problems` names every field that is wrong, not just the first."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(f"{p.field}: {p.message}" for p in problems))
        self.problems = problems
