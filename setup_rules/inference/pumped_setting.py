"""The pressure for a target sag where a second chamber is pumped to go with it."""

from __future__ import annotations

from typing import Final

from setup_rules.inference.start_setting import Banded, DrawnEnd, wanted_setting

#: The search ends when the pressure moves by less than this [Pa, gauge], far below what a gauge shows.
_CLOSE_PA: Final = 5.0
_MOST_ROUNDS: Final = 12


def wanted_pumped(drawn: DrawnEnd, sag_m: float) -> Banded:
    """Return `wanted_setting` of an end, its second chamber pumped to go with the answer.

    The second chamber counts only where the sag lies beyond its threshold. There its pressure follows the first one's,
    which follows from it: each round works out one from the other. The band keeps the ratio of the middle.

    Parameters
    ----------
    drawn : DrawnEnd
        Every drawn spring and load of the end.
    sag_m : float [m]
        Wanted on the ride, between 0 and the travel.

    Returns
    -------
    Banded [Pa, gauge]
        What to pump into the first chamber at the bench; may be below zero.

    Raises
    ------
    LimitError
        When a temperature or an altitude of the request is out of range.

    Examples
    --------
    >>> from setup_rules.inference.end_model import EndModel
    >>> from setup_rules.inference.posterior import prior
    >>> from setup_rules.types.request import FrontEnd, SetupRequest
    >>> fork = FrontEnd(travel_mm=160.0, bore_mm=34.0, positive_volume_cm3=220.0, second_volume_cm3=40.0,
    ...                 second_pressure_ratio=1.8)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> drawn = DrawnEnd.of(model, prior())
    >>> wanted_pumped(drawn, 0.032) == wanted_setting(drawn, 0.032)
    True

    References
    ----------
    Fixed-point iteration, any text on numerical methods; force balance of the spring.
    """
    wanted = wanted_setting(drawn, sag_m)
    for _ in range(_MOST_ROUNDS):
        pumped = drawn.pumped(max(wanted.middle, 0.0))
        if pumped is drawn:
            break
        before, wanted = wanted, wanted_setting(pumped, sag_m)
        if abs(wanted.middle - before.middle) < _CLOSE_PA:
            break
    return wanted
