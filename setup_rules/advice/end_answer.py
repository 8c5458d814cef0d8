"""What the rules answer for one spring end, whatever its main spring: numbers, and the sentences that go with them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from setup_rules.types.result import EndSetup, Note


@dataclass(frozen=True, slots=True)
class EndAnswer:
    """One end's numbers and cautions; `reasons` gives why for the share of the rider on this end.

    `settled` is whether the sag check that led here is done, `carried_mm` how much more it read than the same spring
    shows on the ride; None without one.
    """

    result: EndSetup
    cautions: tuple[Note, ...]
    reasons: Callable[[float], tuple[Note, ...]]
    settled: bool | None = None
    carried_mm: float | None = None
