"""Torque entered against the range in the unit's manual: in, out, or in only when read in another unit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed
from setup_rules.types.errors import LimitError
from setup_rules.types.units import UNITS, convert, unit

TorqueVerdict = Literal["in", "low", "high", "unit"]

#: A torque that misses its range by no more than this factor is a slip of the wrench, not of the unit (our estimate).
NEAR_MISS: Final = 1.25


@dataclass(frozen=True, slots=True)
class TorqueResult:
    """The verdict, the torque in the manual's unit, and the unit in which it would be right, where that is another."""

    verdict: TorqueVerdict
    value: float
    likely_unit: str = ""


def check_torque(value: float, value_unit: str, low: float, high: float, range_unit: str) -> TorqueResult:
    """Return whether a torque lies in the range that the manual gives.

    low ≤ value·factor ≤ high, the factor from one unit to the other

    Parameters
    ----------
    value : float [value_unit]
        Torque applied, above 0.
    value_unit : str
        Spelling from the closed list of torque units.
    low, high : float [range_unit]
        The manual's range, 0 < low ≤ high.
    range_unit : str
        Spelling from the closed list of torque units.

    Returns
    -------
    TorqueResult [range_unit]
        "in", "low" or "high"; "unit" when it is far out but would be in when read in another unit.

    Raises
    ------
    LimitError
        When a number is not above zero or the range is turned round.
    UnknownUnitError
        When a unit is not in the list.

    Examples
    --------
    >>> check_torque(62, "lbf·in", 6, 8, "N·m").verdict
    'in'
    >>> check_torque(62, "N·m", 6, 8, "N·m").likely_unit
    'lbf·in'

    References
    ----------
    NIST SP 811 for the factors.
    """
    if not (0 < value < 10_000 and 0 < low <= high < 10_000):
        torque, least, most = (as_typed(number) for number in (value, low, high))
        raise LimitError(Message.of("torque.range", torque=torque, low=least, high=most))
    given, wanted = unit("torque", value_unit), unit("torque", range_unit)
    shown = convert("torque", value, given.key, wanted.key)
    if low * (1 - 1e-9) <= shown <= high * (1 + 1e-9):
        return TorqueResult("in", shown)
    near = low / NEAR_MISS <= shown <= high * NEAR_MISS
    for other in () if near else UNITS["torque"]:
        if other != given and low <= convert("torque", value, other.key, wanted.key) <= high:
            return TorqueResult("unit", shown, other.symbol)
    return TorqueResult("low" if shown < low else "high", shown)
