"""Weights of drawn springs from their log likelihoods, evened out where too few draws would carry them."""

from __future__ import annotations

from typing import Any

import numpy as np


def even_weights(log_weight: Any, least: float) -> tuple[Any, float]:
    """Return weights that add up to 1 and how many draws carry them, evened out where these would be too few."""
    share = log_weight - np.max(log_weight)
    return to_power(share, power_for(share, least))[0], to_power(share, 1.0)[1]


def power_for(log_weight: Any, least: float) -> float:
    """Return the power, at most 1, to which weights are taken so that at least so many draws carry them."""
    if to_power(log_weight, 1.0)[1] >= least:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if to_power(log_weight, middle)[1] >= least else (low, middle)
    return low


def to_power(log_weight: Any, power: float) -> tuple[Any, float]:
    """Return the weights taken to a power, adding up to 1, and how many draws carry them."""
    weight = np.exp(power * log_weight)
    weight = weight / np.sum(weight)
    return weight, float(1.0 / np.sum(weight**2))
