"""Damping: what a damping ratio asks of the adjuster, and what a bounce tells of the ratio."""

from __future__ import annotations

import math
from typing import Any

from setup_rules.types.constants import CLICK_RANGE
from setup_rules.types.errors import LimitError
from setup_rules.types.request import Pairs
from setup_rules.types.result import ClickStart
from setup_rules.types.units import Quantity


def damping_coefficient(rate: Any, mass: Any, ratio: float) -> Any:
    """Return the damping coefficient that gives an oscillator a damping ratio.

    c = 2·ζ·√(k·m)

    Parameters
    ----------
    rate : Quantity [force/length]
        Spring rate, above zero.
    mass : Quantity [mass]
        Sprung mass, above zero.
    ratio : float
        Damping ratio ζ, zero or more.

    Returns
    -------
    Quantity [force·time/length]

    Raises
    ------
    LimitError
        When rate or mass is not above zero or the ratio negative.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity as Q
    >>> round(damping_coefficient(Q(8, "N/mm"), Q(32, "kg"), 0.5).to("N*s/m").magnitude, 3)
    505.964

    References
    ----------
    Damped linear oscillator, any text on vibration.
    """
    k, m = float(rate.to("N/m").magnitude), float(mass.to("kg").magnitude)
    if k <= 0 or m <= 0 or ratio < 0:
        raise LimitError(f"Rate {rate} and mass {mass} must be above zero and the ratio {ratio:g} not negative.")
    return Quantity(damping_n_s_per_m(k, m, ratio), "N*s/m")


def damping_n_s_per_m(rate_n_per_m: float, mass_kg: float, ratio: float) -> float:
    """Return c = 2·ζ·√(k·m) [N·s/m] for a rate [N/m] and a mass [kg]."""
    return 2.0 * ratio * math.sqrt(rate_n_per_m * mass_kg)


def overshoot(ratio: float) -> float:
    """Return the first overshoot, as a share of the step, of an oscillator with damping ratio 0 < ζ < 1.

    exp(−π·ζ/√(1 − ζ²))

    Parameters
    ----------
    ratio : float
        Damping ratio ζ, above 0 and below 1.

    Returns
    -------
    float
        Share of the step, 0 to 1.

    Raises
    ------
    LimitError
        Outside that range.

    Examples
    --------
    >>> round(100 * overshoot(0.5), 2)
    16.3

    References
    ----------
    Step response of a second-order system, any text on control.
    """
    if not 0.0 < ratio < 1.0:
        raise LimitError(f"A damping ratio of {ratio:g} does not overshoot: this holds above 0 and below 1.")
    return math.exp(-math.pi * ratio / math.sqrt(1.0 - ratio**2))


def ratio_from_overshoot(share: float) -> float:
    """Return the damping ratio of an oscillator whose first overshoot is `share` of the step.

    ζ = L/√(π² + L²), L = −ln(share)

    Parameters
    ----------
    share : float
        First overshoot over step, above 0 and below 1.

    Returns
    -------
    float
        Damping ratio ζ.

    Raises
    ------
    LimitError
        Outside that range.

    Examples
    --------
    >>> round(ratio_from_overshoot(0.1630334), 4)
    0.5

    References
    ----------
    Step response of a second-order system, any text on control.
    """
    if not 0.0 < share < 1.0:
        raise LimitError(f"An overshoot of {share:g} of the step cannot be: this holds above 0 and below 1.")
    log = -math.log(share)
    return log / math.hypot(math.pi, log)


def natural_frequency_hz(rate_n_per_m: float, mass_kg: float) -> float:
    """Return the undamped natural frequency [Hz], √(k/m)/2π, for a rate [N/m] and a mass [kg], both above zero."""
    return math.sqrt(rate_n_per_m / mass_kg) / (2.0 * math.pi)


def clicks_between(damping: float, other: float, total: int, spread: float = CLICK_RANGE.value) -> float:
    """Return how many clicks further in `damping` lies than `other` (same unit, above zero) on `total` clicks.

    `spread` is the damping at fully closed over that at fully open.
    """
    return total * math.log(damping / other) / math.log(spread)


def known_adjuster(points: Pairs, total: int) -> tuple[float, float]:
    """Return (damping at half of `total` clicks, damping closed over open) of an adjuster from two points of it.

    Parameters
    ----------
    points : tuple of (clicks out, damping [N·s/m])
        Two, the second further out and lighter.
    total : int
        All clicks, 1 or more; evenly spaced in ratio between and beyond the points.

    Examples
    --------
    >>> middle, spread = known_adjuster(((4.0, 800.0), (12.0, 200.0)), 16)
    >>> round(middle), round(spread)
    (400, 16)
    """
    (near, hard), (far, soft) = points
    per_click = math.log(hard / soft) / (far - near)
    return hard * math.exp(per_click * (near - 0.5 * total)), math.exp(per_click * total)


def clicks_for(
    damping: float, middle: float, total: int, offset: int = 0, spread: float = CLICK_RANGE.value
) -> ClickStart:
    """Return the clicks out from fully closed for a damping coefficient [N·s/m], plus `offset` clicks.

    The clicks are taken as evenly spaced in ratio over `spread` (closed over open), with `middle` [N·s/m] at half
    of `total`; more damping is fewer clicks out. Clamped to 0…total, and said so: the start itself, from which
    `offset` then counts, since that is where the adjuster stood when somebody turned it; and what comes of both.
    """
    computed = round(0.5 * total - clicks_between(damping, middle, total, spread))
    start = min(max(computed, 0), total)
    out = min(max(start + offset, 0), total)
    beyond = start + offset - out
    clamped = beyond != 0 or (offset == 0 and start != computed)
    return ClickStart(out=out, total=total, clamped=clamped, damping_n_s_per_m=damping, beyond=beyond)
