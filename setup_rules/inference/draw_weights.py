"""Weights of drawn springs from their log likelihoods, evened out where too few draws would carry them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

#: The search for a power ends after so many halvings: it is then known to nine digits.
_HALVINGS: Final = 30


@dataclass(frozen=True, slots=True)
class DrawWeights:
    """Weights that add up to 1, taken to `power` of what they were, at most 1.

    `carried` counts the draws that carry them, `carried_before` those that would have carried them unevened.
    """

    weight: Any
    power: float
    carried: float
    carried_before: float


def evened(log_weight: Any, least: float) -> DrawWeights:
    """Return weights by their logarithms, taken to a power at which at least so many draws carry them."""
    share = log_weight - np.max(log_weight)
    power, before = 1.0, _carried(_to_power(share, 1.0))
    if before < least:
        power, high = 0.0, 1.0
        for _ in range(_HALVINGS):
            middle = 0.5 * (power + high)
            power, high = (middle, high) if _carried(_to_power(share, middle)) >= least else (power, middle)
    weight = _to_power(share, power)
    return DrawWeights(weight, power, _carried(weight), before)


def _to_power(share: Any, power: float) -> Any:
    weight = np.exp(power * share)
    return weight / np.sum(weight)


def _carried(weight: Any) -> float:
    return float(1.0 / np.sum(weight**2))
