"""What can go wrong in the rules: one base, whose children also are the built-in error a caller expects."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules.messages.message import Message


class SetupRulesError(Exception):
    """Base of every error that `setup_rules` raises on purpose."""


class LimitError(SetupRulesError, ValueError):
    """A quantity lies outside the range in which the rules hold.

    `said` is a message where a person may have entered the quantity, plain English where only a programmer can.
    """

    def __init__(self, said: Message | str) -> None:
        super().__init__(str(said))
        self.said = said


class UnknownUnitError(SetupRulesError, KeyError):
    """A unit is not in the closed list of its kind."""

    def __str__(self) -> str:
        return str(self.args[0])


class NoSolutionError(SetupRulesError, ArithmeticError):
    """No pressure or no sag satisfies the balance of forces."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a request: the field's dotted name, and what to say: the fault and how to fix it.

    `said` is a message of the rules, or a text that is in the reader's words already. A `question` is not a refusal:
    the value is taken when it comes again with `confirm`.
    """

    field: str
    said: Message | str
    question: bool = False

    @property
    def message(self) -> str:
        """The sentence in English."""
        return str(self.said)


class RequestError(SetupRulesError, ValueError):
    """A request cannot be computed; `problems` names every field that is wrong, not just the first."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(f"{p.field}: {p.message}" for p in problems))
        self.problems = problems
