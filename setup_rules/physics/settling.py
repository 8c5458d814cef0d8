"""Where a spring comes to rest under a load: one search for every kind of spring."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from setup_rules.physics.linkage import Leverage

#: From a compression [m] to the settled force [N] and its rate [N/m] there.
ForceAndRate = Callable[[Any], tuple[Any, Any]]


def settle(settled: ForceAndRate, load_n: Any, leverage: Leverage, travel_m: Any, start_m: Any) -> Any:
    """Return the settled compression under a load at the wheel, between 0 and the travel.

    Solves F(x) = W·LR(x) by Newton steps kept inside a closing bracket. Where the spring carries the load fully
    extended the answer is 0; where it cannot carry it at all, the travel.

    Parameters
    ----------
    settled : callable
        From compression [m] to force [N] and rate [N/m].
    load_n : float or array [N]
        At the wheel behind, along the legs in front.
    leverage : Leverage
        Leverage over stroke; 1 throughout for a fork.
    travel_m : array [m]
        How far the spring can compress, of the shape of the answer.
    start_m : float or array [m], optional
        Where the search begins, a quarter of the travel if not given.

    Returns
    -------
    float or array [m]

    Examples
    --------
    >>> fork = Leverage()
    >>> round(1000 * float(settle(lambda x: (8000.0 * x, 8000.0), 240.0, fork, np.asarray(0.14), None)), 6)
    30.0

    References
    ----------
    Force balance; Newton's method with bisection, any text on numerical methods.
    """
    shape = np.shape(travel_m)
    low = np.zeros(shape)
    high = np.asarray(travel_m, dtype=float).copy()
    x = 0.25 * high if start_m is None else np.clip(np.broadcast_to(start_m, shape), low, high)
    if np.any(x > low):  # a search from full extension finds out by itself
        topped_out = settled(low)[0] >= load_n * leverage.at(low)
        high = np.where(topped_out, 0.0, high)
        x = np.minimum(x, high)
    for _ in range(60):
        force, rate = settled(x)
        excess = force - load_n * leverage.at(x)
        slope = np.maximum(rate - load_n * leverage.slope_at(x), 1.0)
        above = excess >= 0.0
        high, low = np.where(above, x, high), np.where(above, low, x)
        step = x - excess / slope
        following = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
        moved = np.max(np.abs(following - x))
        x = following
        # Newton squares its error: after a step of a micrometre the next would be far below any measurement.
        if moved < 1e-6:
            break
    return x
