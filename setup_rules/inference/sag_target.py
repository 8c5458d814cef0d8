"""Target sag by riding style and spring end."""

from __future__ import annotations

from setup_rules.types.constants import SAG_RANGE
from setup_rules.types.request import EndName, RidingStyle


def sag_target_percent(style: RidingStyle, end: EndName) -> float:
    """Return the middle of the usual sag range for a riding style.

    (low + high)/2

    Parameters
    ----------
    style : str
        One of `RidingStyle`.
    end : str
        "front" or "rear".

    Returns
    -------
    float [%]
        Share of the fork's travel, or of the shock's stroke.

    Raises
    ------
    KeyError
        For another style or end.

    Examples
    --------
    >>> sag_target_percent("trail", "front")
    22.5

    References
    ----------
    Common practice, no source.
    """
    return SAG_RANGE[style][end].middle


def sag_range_percent(style: RidingStyle, end: EndName) -> tuple[float, float]:
    """Return the usual sag range for a riding style.

    (low, high)

    Parameters
    ----------
    style : str
        One of `RidingStyle`.
    end : str
        "front" or "rear".

    Returns
    -------
    tuple of float [%]
        Share of the fork's travel, or of the shock's stroke.

    Raises
    ------
    KeyError
        For another style or end.

    Examples
    --------
    >>> sag_range_percent("trail", "front")
    (20, 25)

    References
    ----------
    Common practice, no source.
    """
    spread = SAG_RANGE[style][end]
    return spread.low, spread.high
