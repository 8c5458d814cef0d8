"""Whether all tests run with all examples, or what the README's command has time for.

Seeds move from run to run outside CI, so that few examples a run are many in a week.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import Any

import pytest

WANTED = os.environ.get("SETUP_CARD_TESTS", "")
#: Whether the long tests run, too.
THOROUGH = WANTED in ("all", "night")


def examples(most: int, otherwise: int = 0) -> int:
    """Return `most` with SETUP_CARD_TESTS=night, half of it with all, otherwise as many as named, or a quarter.

    CI draws the same examples at every run, so that a number of them more is soon a number that says nothing new.
    """
    few = otherwise or max(5, most // 4)
    return {"night": most, "all": max(few, most // 2)}.get(WANTED, few)


def sizes(cards: Iterable[str], sheets: Iterable[str]) -> list[Any]:
    """Return the cases of a test of every printed size: a sheet of two stands for the other sheets, which are long.

    A sheet is one of the cards, laid beside itself: what sheets are for themselves has tests of its own.
    """
    return [*cards, *(pytest.param(name, marks=[] if name == "letter-2" else [pytest.mark.long]) for name in sheets)]
