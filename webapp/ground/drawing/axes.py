"""Axes of a drawing: round numbers that span the values shown."""

from __future__ import annotations

import math
from collections.abc import Sequence


def spread_ticks(values: Sequence[float], wanted: int = 4) -> list[float]:
    """Return evenly spaced round numbers from below the least to above the greatest of `values`, at least two.

    Examples
    --------
    >>> spread_ticks([78.0, 84.0])
    [76.0, 78.0, 80.0, 82.0, 84.0, 86.0]
    """
    low, high = min(values), max(values)
    rough = max((high - low) / wanted, 0.01 * abs(high), 0.5)
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(m * size for m in (1, 2, 5, 10) if m * size >= rough)
    first = math.floor(low / step - 0.25)
    last = max(math.ceil(high / step + 0.25), first + 2)
    return [step * n for n in range(first, last + 1)]
