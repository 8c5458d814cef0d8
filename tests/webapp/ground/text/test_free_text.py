"""The free texts: bounded, on one line, without tricks."""

from __future__ import annotations

import pytest

from webapp.ground.text.free_text import BIKE_LABEL_LENGTH, text_problem


@pytest.mark.parametrize("text", ["", "Heron 1, red", "Größe 54 – 2×", "青い自転車", "👩‍🔧 done"])
def test_plain_texts_in_any_script_are_fine(text: str) -> None:
    assert text_problem(text, BIKE_LABEL_LENGTH) is None


@pytest.mark.parametrize("text", ["a\x00b", "a\nb", "a\tb", "\x1b[31m", "a\u202eb", "a\u2028b", "\ud800", "a\x7fb"])
def test_control_characters_and_turned_directions_are_refused(text: str) -> None:
    assert "Control characters" in (text_problem(text, BIKE_LABEL_LENGTH) or "")


def test_the_longest_text_is_taken_and_one_more_character_is_not() -> None:
    assert text_problem("x" * 60, 60) is None
    assert text_problem("x" * 61, 60) == "Use at most 60 characters. This text has 61."
