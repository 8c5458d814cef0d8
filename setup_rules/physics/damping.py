"""Damping: what a damping ratio asks of the adjuster, and what a bounce tells of the ratio."""

from __future__ import annotations

import math

from setup_rules.types.constants import CLICK_RANGE
from setup_rules.types.errors import LimitError
from setup_rules.types.request import Pairs
from setup_rules.types.result import ClickStart


def damping_n_s_per_m(rate_n_per_m: float, mass_kg: float, ratio: float) -> float:
    """Return the damping coefficient that gives an oscillator a damping ratio.

    c = 2·ζ·√(k·m)

    Parameters
    ----------
    rate_n_per_m : float [N/m]
        Spring rate, above zero.
    mass_kg : float [kg]
        Sprung mass, above zero.
    ratio : float [-]
        Damping ratio ζ, zero or more.

    Returns
    -------
    float [N·s/m]

    Raises
    ------
    LimitError
        When rate or mass is not above zero or the ratio negative.

    Examples
    --------
    >>> round(damping_n_s_per_m(8000.0, 32.0, 0.5), 3)
    505.964

    References
    ----------
    Damped linear oscillator, any text on vibration.
    """
    _refuse_no_oscillator(rate_n_per_m, mass_kg)
    if not ratio >= 0.0:
        raise LimitError(f"A damping ratio of {ratio:g} is below zero. Enter zero or more.")
    return 2.0 * ratio * math.sqrt(rate_n_per_m * mass_kg)


def _refuse_no_oscillator(rate_n_per_m: float, mass_kg: float) -> None:
    if not (rate_n_per_m > 0.0 and mass_kg > 0.0):
        message = f"A rate of {rate_n_per_m:g} N/m and a mass of {mass_kg:g} kg must be above zero. Check both."
        raise LimitError(message)


def ratio_from_overshoot(share: float) -> float:
    """Return the damping ratio of an oscillator whose first overshoot is `share` of the step.

    ζ = L/√(π² + L²), L = −ln(share)

    Parameters
    ----------
    share : float [-]
        First overshoot over step, above 0 and below 1.

    Returns
    -------
    float [-]
        Damping ratio ζ, above 0 and below 1.

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


def overshoot_from_ratio(ratio: float) -> float:
    """Return the first overshoot of an oscillator as a share of the step, from its damping ratio.

    share = exp(−π·ζ/√(1 − ζ²))

    Parameters
    ----------
    ratio : float [-]
        Damping ratio ζ, above 0 and below 1.

    Returns
    -------
    float [-]
        Above 0 and below 1.

    Raises
    ------
    LimitError
        Outside that range.

    Examples
    --------
    >>> round(overshoot_from_ratio(0.5), 4)
    0.163

    References
    ----------
    Step response of a second-order system, any text on control.
    """
    if not 0.0 < ratio < 1.0:
        raise LimitError(f"A damping ratio of {ratio:g} has no overshoot to speak of: this holds above 0 and below 1.")
    return math.exp(-math.pi * ratio / math.sqrt(1.0 - ratio**2))


def clicks_between(damping: float, other: float, total: int, spread: float = CLICK_RANGE.value) -> float:
    """Return how many clicks further in one damping lies than another.

    n·ln(c/c')/ln(spread): clicks are taken as evenly spaced in ratio

    Parameters
    ----------
    damping, other : float [any, the same]
        Two damping coefficients or two damping ratios, above zero.
    total : int [clicks]
        All clicks of the adjuster.
    spread : float [-]
        Damping fully closed over fully open, above zero and not 1.

    Returns
    -------
    float [clicks]
        Above zero when `damping` is the harder one.

    Raises
    ------
    LimitError
        When a damping is not above zero, or the spread is 1 or not above zero.

    Examples
    --------
    >>> clicks_between(400.0, 200.0, 16, spread=16.0)
    4.0

    References
    ----------
    Geometric spacing of the clicks: our estimate; logarithms.
    """
    if not (damping > 0.0 and other > 0.0 and spread > 0.0 and spread != 1.0):
        message = (
            f"Damping of {damping:g} and {other:g} must be above zero, and closed over open ({spread:g}) above "
            f"zero and not 1. Check the two points of the damper."
        )
        raise LimitError(message)
    return total * math.log(damping / other) / math.log(spread)


def known_adjuster(points: Pairs, total: int) -> tuple[float, float]:
    """Return the damping at half of all clicks, and closed over open, of an adjuster known at two points.

    c(n) = c₁·(c₂/c₁)^((n − n₁)/(n₂ − n₁)), read at half of the clicks, fully closed and fully open

    Parameters
    ----------
    points : pairs of float [clicks out, N·s/m]
        Two, the second further out and lighter, both dampings above zero.
    total : int [clicks]
        All clicks, 1 or more; evenly spaced in ratio between and beyond the points.

    Returns
    -------
    tuple of float [N·s/m, -]

    Raises
    ------
    ValueError
        When there are not two points or a damping is not above zero.
    ZeroDivisionError
        When both points are at the same click.

    Examples
    --------
    >>> middle, spread = known_adjuster(((4.0, 800.0), (12.0, 200.0)), 16)
    >>> round(middle), round(spread)
    (400, 16)

    References
    ----------
    Geometric spacing of the clicks: our estimate; logarithms.
    """
    (near, hard), (far, soft) = points
    per_click = math.log(hard / soft) / (far - near)
    return hard * math.exp(per_click * (near - 0.5 * total)), math.exp(per_click * total)


def clicks_for(
    damping_n_s_per_m: float, middle_n_s_per_m: float, total: int, offset: int = 0, spread: float = CLICK_RANGE.value
) -> ClickStart:
    """Return the clicks out from fully closed for a damping coefficient, plus an offset.

    out = n/2 − n·ln(c/c_middle)/ln(spread) + offset, rounded and clamped to 0 … n. More damping is fewer clicks out.
    A clamp is said: that of the start itself, from which the offset then counts, since that is where the adjuster
    stood when somebody turned it; and that of both together.

    Parameters
    ----------
    damping_n_s_per_m : float [N·s/m]
        Wanted, above zero.
    middle_n_s_per_m : float [N·s/m]
        What half of the clicks gives, above zero.
    total : int [clicks]
        All clicks of the adjuster, 1 or more.
    offset : int [clicks]
        Learned from checks and rides; above zero is further out.
    spread : float [-]
        Damping fully closed over fully open, above 1.

    Returns
    -------
    ClickStart [clicks]

    Raises
    ------
    LimitError
        When a damping or the spread is out of range.

    Examples
    --------
    >>> clicks_for(400.0, 400.0, 16).out, clicks_for(800.0, 400.0, 16, spread=16.0).out
    (8, 4)

    References
    ----------
    Geometric spacing of the clicks: our estimate.
    """
    computed = round(0.5 * total - clicks_between(damping_n_s_per_m, middle_n_s_per_m, total, spread))
    start = min(max(computed, 0), total)
    out = min(max(start + offset, 0), total)
    beyond = start + offset - out
    clamped = beyond != 0 or (offset == 0 and start != computed)
    return ClickStart(out=out, total=total, clamped=clamped, damping_n_s_per_m=damping_n_s_per_m, beyond=beyond)
