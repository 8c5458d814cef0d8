"""When a measured sag is done: the newest readings against the target, and what another change would gain.

The newest readings decide, never older ones alone: a reading that is off the target by more than the tolerance and its
own friction is not done, whatever earlier checks said.
"""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules.advice.sag_check import middle_reading_mm
from setup_rules.inference.end_model import EndModel
from setup_rules.types import constants as c
from setup_rules.types.result import EndSetup, SagCheck

#: A sag check is done when the sag is within the tolerance with this chance, or a re-pump would gain less than this.
ENOUGH_CHANCE = 0.8
LITTLE_GAIN = 0.28
#: On a short stroke 2 mm are a large share: there the chance is that of this share of the travel.
NEAR_SHARE = 0.025


@dataclass(frozen=True, slots=True)
class Offer:
    """A spring as it was measured beside what would be set instead, with each one's chance of a sag near the target.

    `same` says that the step between them is too small to show; `firmer` whether the step is to a firmer spring.
    `carried_mm` is how much more the check read than the same spring shows on the ride, where the target is meant.
    """

    kept: EndSetup
    moved: EndSetup
    kept_chance: float
    moved_chance: float
    same: bool
    firmer: bool
    carried_mm: float


def near_m(end: EndSetup) -> float:
    """Return how far from the target a sag counts as near [m]."""
    return min(end.tolerance_mm, NEAR_SHARE * end.travel_mm) / 1000


def choose_offer(model: EndModel, check: SagCheck, offer: Offer) -> tuple[EndSetup, bool]:
    """Return the spring as it was measured or what to set instead, and whether the sag is done."""
    kept, moved = offer.kept, offer.moved
    off_mm = middle_reading_mm(check) - offer.carried_mm - kept.sag_target_mm
    near = abs(off_mm) <= kept.tolerance_mm + own_mm(model, check, kept)
    good = (
        near
        and abs(kept.sag_expected_mm - kept.sag_target_mm) <= kept.tolerance_mm
        and (offer.kept_chance >= ENOUGH_CHANCE or offer.moved_chance - offer.kept_chance <= LITTLE_GAIN)
    )
    at_limit = moved.limited and offer.same
    against = off_mm < 0.0 if offer.firmer else off_mm > 0.0
    if near and against and check.is_two_sided:
        return kept, True  # read from both sides, the middle tells more than what friction was thought to be
    if not near and not at_limit and (offer.same or against):
        return kept, False  # earlier checks contradict the newest one: measure again before anything is changed
    return (kept, True) if good or offer.same else (moved, False)


def own_mm(model: EndModel, check: SagCheck, kept: EndSetup) -> float:
    """Return how far [mm] the newest readings may lie off: by reading error, or by friction that is not bracketed."""
    if check.is_two_sided:
        return 2.0 * c.READING_SIGMA_MM[model.name].value
    return 0.5 * (kept.friction_n or 0.0) / kept.rate_n_per_m * 1000
