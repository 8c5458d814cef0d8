"""What an error says by itself, and that a problem refuses unless it is a question."""

from __future__ import annotations

import pytest

from setup_rules.messages.message import Message
from setup_rules.types.errors import LimitError, Problem, RequestError, UnknownUnitError
from setup_rules.types.units import unit


def test_an_unknown_unit_is_said_without_quotes_around_the_sentence() -> None:
    with pytest.raises(UnknownUnitError) as refused:
        unit("torque", "kgf·m")
    assert str(refused.value).startswith("The unit 'kgf·m' is not known for torque.")
    assert str(UnknownUnitError("One sentence.")) == "One sentence."


def test_a_problem_refuses_unless_it_asks() -> None:
    assert not Problem("front.travel_mm", "Too long.").question
    assert Problem("front.travel_mm", "Sure?", question=True).question
    assert Problem("front.travel_mm", "Too long.").message == "Too long."


def test_a_refused_request_names_every_field() -> None:
    both = (Problem("front.travel_mm", "Too long."), Problem("rear.stroke_mm", "Too short."))
    refused = RequestError(both)
    assert str(refused) == "front.travel_mm: Too long.; rear.stroke_mm: Too short."
    assert refused.problems == both


def test_a_limit_says_its_sentence_and_keeps_the_message() -> None:
    said = Message.of("problem.no_fork")
    assert str(LimitError(said)) == "This setup has no fork. Choose the shock."
    assert LimitError(said).said is said
