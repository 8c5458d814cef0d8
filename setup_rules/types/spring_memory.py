"""What a bike keeps of its riders' sag checks: how its spring differs from the typical one, and nothing of a rider."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

#: By what a spring is told from the typical one of its class, in this order: the logarithm of the pressure that it
#: needs, how much more of it a heavy rider needs than a light one, and its stick friction as a share of the spread.
DIFFERENCES: Final = ("level", "slope", "friction")
#: Entries of `SpringMemory.precision`: the lower triangle of a symmetric matrix, row by row.
ENTRIES: Final = len(DIFFERENCES) * (len(DIFFERENCES) + 1) // 2
#: What can happen to a spring that its memory has to hear of.
SpringEvent = Literal["another_rider", "spacers", "travel", "service", "leak", "another_spring"]

#: Those that somebody reports; another rider is noticed by a setup's first check.
BIKE_EVENTS: Final = ("spacers", "travel", "service", "leak", "another_spring")


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringMemory:
    """What sag checks taught of one spring, as log w = shift·d − d·precision·d/2 of its differences d.

    `riders` counts those whose checks are in it. No weight, pressure, reading or date is kept, and every number is
    rounded: two sums of all riders, from which no single one can be told.
    """

    riders: int
    shift: tuple[float, ...]
    precision: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse what is no memory (`ValueError`): a stored one may come from a file."""
        lengths = (len(self.shift), len(self.precision))
        if lengths != (len(DIFFERENCES), ENTRIES) or not all(map(math.isfinite, (*self.shift, *self.precision))):
            raise ValueError("a memory is three numbers and six, all of them finite")

    @classmethod
    def nothing(cls) -> SpringMemory:
        """Return the memory of a spring of which nobody took a check."""
        return cls(riders=0, shift=(0.0,) * len(DIFFERENCES), precision=(0.0,) * ENTRIES)
