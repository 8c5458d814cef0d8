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
