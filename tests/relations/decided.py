"""Relations of which no outside source can say that they are right: decisions and estimates of ours, each with why.

What is decided stands a second time in the file named here, so that it is changed on purpose. A relation is listed
only while the command finds no outside check that catches it in every way; the command says when an entry is idle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Decision:
    """Why no source can give a relation, the file that pins it, and a word that has to stand there."""

    why: str
    pinned_in: str
    word: str


CONSTANTS: Final = "tests/setup_rules/types/decided_constants.py"
DECISIONS: Final[dict[str, Decision]] = {
    "inference.sag_target.sag_range_percent": Decision(
        "common practice, no source: the usual sag by riding style and end, read from a table and only shown",
        CONSTANTS,
        "types.constants.SAG_RANGE",
    ),
    "types.result.EndSetup.tolerance_mm": Decision(
        "what counts as on target is ours to say: the larger of 2 mm and 2 % of the travel",
        "tests/setup_rules/types/test_decisions.py",
        "test_the_tolerance_is_the_larger_of_two_millimetres_and_two_per_cent",
    ),
}

#: Parts of a result that can be anything, by relation and part, with why: to spoil them spoils nothing.
IDLE_PARTS: Final[dict[tuple[str, str], str]] = {
    (
        "inference.size_class.draw_shock",
        ".leg_volume_m3",
    ): "a shock has no lower legs: beside their area of 0 it is unused",
}
