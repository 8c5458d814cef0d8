"""The door says a message: plural form by its count, numbers and labels filled, what is said already left alone."""

from __future__ import annotations

import pytest

from setup_rules.messages.message import Message
from setup_rules.types.limits import LIMITS
from webapp.ground.text.sentences import say


@pytest.mark.parametrize(("count", "words"), [(1, "one click out"), (3, "3 clicks out")])
def test_the_count_chooses_the_form(count: int, words: str) -> None:
    assert words in say(Message.of("ride_rebound.out.fork", count=count, out=8, total=16))


def test_a_label_inside_a_message_is_said_too() -> None:
    said = say(LIMITS["rider_mass_kg"].refusal(500))
    assert said.startswith("Rider weight: 500 kg is outside 20 to 160 kg. ")


def test_a_message_with_a_template_of_its_own_uses_that() -> None:
    assert say(Message("gone", {"psi": "84"}, "Pump {psi} psi, 5 % more.")) == "Pump 84 psi, 5 % more."


def test_what_is_in_the_readers_words_already_comes_back() -> None:
    assert say("So {it} is, 5 %.") == "So {it} is, 5 %."
