"""Numbers as fine as a sentence shows them: they stay numbers."""

from __future__ import annotations

import math


def whole(value: float) -> int | float:
    """Return `value` as a whole number; what is none (infinite) stays as it is.

    Examples
    --------
    >>> whole(83.6)
    84
    """
    return int(f"{value:.0f}") if math.isfinite(value) else value


def places(value: float, count: int) -> float:
    """Return `value` with at most `count` decimals, never minus zero."""
    return round(value, count) + 0.0


def halves(value: float) -> float:
    """Return `value` to the nearest half: as fine as a sag can be read.

    Examples
    --------
    >>> halves(27.6), halves(28.1)
    (27.5, 28.0)
    """
    return round(2 * value) / 2


def as_typed(value: float) -> int | float:
    """Return what somebody entered to six figures, whole where it is whole.

    Examples
    --------
    >>> as_typed(140.0), as_typed(0.1 + 0.2)
    (140, 0.3)
    """
    figures = float(f"{value:.6g}")
    return int(figures) if math.isfinite(figures) and figures == int(figures) and abs(figures) < 1e15 else figures
