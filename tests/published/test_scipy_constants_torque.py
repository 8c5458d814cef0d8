"""Torque verdicts against factors built from scipy.constants.

Source: NIST SP 811 by way of `scipy.constants` (pound, standard gravity, inch, foot).

Confirmed: lbf·in = lb · g · inch and lbf·ft = lb · g · foot, recomputed here.

Tolerance: rounding of doubles.
"""

from __future__ import annotations

import pytest
from scipy import constants

from setup_rules.workshop.torque_check import check_torque

FACTORS_NM = {
    "nm": 1.0,
    "lbfin": constants.lb * constants.g * constants.inch,
    "lbfft": constants.lb * constants.g * constants.foot,
}


@pytest.mark.parametrize("given", FACTORS_NM)
@pytest.mark.parametrize("manual", FACTORS_NM)
@pytest.mark.parametrize("value", [0.7, 5.0, 12.5, 62.0])
def test_a_torque_is_shown_in_the_manuals_unit(given: str, manual: str, value: float) -> None:
    expected = value * FACTORS_NM[given] / FACTORS_NM[manual]
    assert check_torque(value, given, 1.0, 100.0, manual).value == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("share", [0.999, 1.001])
@pytest.mark.parametrize("given", FACTORS_NM)
def test_the_end_of_a_range_is_where_the_factor_puts_it(given: str, share: float) -> None:
    at_end = 6.0 / FACTORS_NM[given]
    verdict = check_torque(at_end * share, given, 6.0, 8.0, "nm").verdict
    assert (verdict == "in") == (share > 1)


@pytest.mark.parametrize(
    ("value", "given", "verdict", "likely"),
    [
        # 7 N·m are 61.96 lbf·in and 5.163 lbf·ft. Typed as N·m, the one is far out; the other could be the wrench's.
        (61.96, "nm", "unit", "lbf·in"),
        (5.163, "nm", "low", ""),
        # As lbf·ft, 7 would be 9.49 N·m, as lbf·in 0.79 N·m: the one is a slip of the wrench, the other of the unit.
        (7.0, "lbfft", "high", ""),
        (7.0, "lbfin", "unit", "N·m"),
        # Right in no unit.
        (300.0, "nm", "high", ""),
        (0.2, "nm", "low", ""),
        (7.0, "nm", "in", ""),
    ],
)
def test_a_slip_of_the_unit_is_told_from_one_of_the_wrench(value: float, given: str, verdict: str, likely: str) -> None:
    # The manual says 6 to 8 N·m. A quarter beside its range still counts as the wrench's: our decision.
    near = 6.0 / 1.25 <= value * FACTORS_NM[given] <= 8.0 * 1.25
    fits = [unit for unit, factor in FACTORS_NM.items() if unit != given and 6.0 <= value * factor <= 8.0]
    assert (verdict == "unit") == (not near and bool(fits))
    found = check_torque(value, given, 6.0, 8.0, "nm")
    assert (found.verdict, found.likely_unit) == (verdict, likely)
