"""First checks added up: how often the range held by kind of spring, and what each class is off."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from setup_rules.inference.calibration import ClassFactor, class_factor, held_share_interval
from setup_rules.inference.checked_guess import CheckedGuess
from setup_rules.inference.class_shift import SPRING_CLASSES
from setup_rules.types.request import ShopChecks

#: Kinds of spring in the order in which they are shown; the last are known by more than their class.
KINDS: Final = ("front_air", "front_coil", "rear_air", "rear_coil", "entered")


@dataclass(frozen=True, slots=True)
class Coverage:
    """How often the range of some first checks held: the share's 90 % interval, and the median correction."""

    checks: int
    held: int
    low: float
    high: float
    correction: float


@dataclass(frozen=True, slots=True)
class Tally:
    """What a shop's first checks say. `waiting` are checks that were not looked at yet."""

    judged: tuple[CheckedGuess, ...]
    by_kind: dict[str, Coverage]
    by_class: dict[str, Coverage]
    factors: dict[str, ClassFactor]
    waiting: int = 0

    @property
    def all_kinds(self) -> Coverage | None:
        """How often the range held over all kinds, None without a check."""
        return _cover(self.judged)


def tally_of(judged: Iterable[CheckedGuess], waiting: int = 0) -> Tally:
    """Add up judged first checks."""
    every = tuple(judged)
    of_class = {name: [one for one in every if one.of_class and one.spring_class == name] for name in SPRING_CLASSES}
    kinds = {kind: _cover([one for one in every if kind_of(one) == kind]) for kind in KINDS}
    return Tally(
        every,
        {kind: found for kind, found in kinds.items() if found is not None},
        {name: found for name, those in of_class.items() if (found := _cover(those)) is not None},
        {name: factor_of(those) for name, those in of_class.items() if those},
        waiting,
    )


def kind_of(one: CheckedGuess) -> str:
    """Return the kind of spring of a check, one of `KINDS`."""
    return f"{one.end}_{one.spring_class.rpartition('_')[2]}" if one.of_class else "entered"


def factor_of(those: Sequence[CheckedGuess]) -> ClassFactor:
    """Return what the checks of one class say of it."""
    return class_factor([one.factor for one in those], [one.factor_sigma for one in those])


def _cover(those: Sequence[CheckedGuess]) -> Coverage | None:
    if not those:
        return None
    held = sum(one.held for one in those)
    low, high = held_share_interval(held, len(those))
    return Coverage(len(those), held, low, high, statistics.median(one.correction for one in those))


def usable_factors(tally: Tally) -> tuple[ShopChecks, ...]:
    """Return what the checks would move, by class; classes with too few checks, which move nothing, are left out.

    In whole per cent: two states of a shop told apart finely would tell what one bike in between said.
    """
    return tuple(
        ShopChecks(
            spring_class=name,
            checks=found.checks,
            factor=round(found.used, 2),
            factor_sigma=round(found.used_sigma, 2),
        )
        for name, found in tally.factors.items()
        if found.used != 1.0
    )
