"""The invented language itself."""

from __future__ import annotations

import re

import pytest

from tests.pseudo.catalogue import LONGER, PseudoTexts, outside, pseudo

MESSAGES = (
    "Fork",
    "Sag of %(value)s mm at 30 %% of travel",
    '<a href="%(link)s">Open</a> the setup\'s page, then {name}',
    "Set `SETUP_CARD_DATA` to https://cards.example.org",
    "psi",
)


@pytest.mark.parametrize("message", MESSAGES)
def test_a_message_grows_by_a_third_and_keeps_its_fields(message: str) -> None:
    said = pseudo(message)
    assert len(said) >= round(LONGER * len(message))
    kept = re.compile(r"%\(\w+\)s|\{\w+\}|<[^>]*>|`[^`]*`|https?://\S+|%%")
    assert kept.findall(said) == kept.findall(message)
    assert outside(said)[0] == []


def test_plural_forms_grow_too() -> None:
    texts = PseudoTexts()
    one, many = (texts.ngettext("%(num)d click", "%(num)d clicks", n) for n in (1, 2))
    assert (one, many) == (pseudo("%(num)d click"), pseudo("%(num)d clicks"))
    assert outside(many % {"num": 2})[0] == []
