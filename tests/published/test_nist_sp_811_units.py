"""Conversion factors against NIST Special Publication 811.

Source: NIST SP 811 (2008), appendix B.

Confirmed: psi, pound and inch recomputed with `scipy.constants`, which takes them from SP 811; the rounded factors were
recomputed from those three exact ones; SP 811 itself was not opened here.

Tolerance: the factor's digits.
"""

from __future__ import annotations

import pytest
from scipy import constants

from setup_rules.physics.gas import kelvin, warming_ratio
from setup_rules.types.units import convert, to_base

#: (kind, unit, base value of one unit, relative tolerance from its digits)
PUBLISHED = [
    ("pressure", "psi", 6894.757293168, 1e-12),
    ("pressure", "bar", 1e5, 0.0),
    ("pressure", "kpa", 1e3, 0.0),
    ("mass", "lb", 0.45359237, 0.0),
    ("mass", "st", 14 * 0.45359237, 1e-15),
    ("length", "in", 25.4, 0.0),
    ("altitude", "ft", 0.3048, 0.0),
    ("torque", "lbfin", 0.1129848290, 1e-9),
    ("torque", "lbfft", 1.355817948, 1e-9),
    ("rate", "lbf_per_in", 0.17512683525, 1e-10),
    ("volume", "in3", 16.387064, 1e-15),
]


@pytest.mark.parametrize(("kind", "unit", "base", "tolerance"), PUBLISHED)
def test_a_factor_is_the_published_one(kind: str, unit: str, base: float, tolerance: float) -> None:
    assert to_base(kind, 1.0, unit) == pytest.approx(base, rel=max(tolerance, 4e-16))


def test_psi_pound_inch_and_foot_are_those_of_scipy() -> None:
    assert to_base("pressure", 1.0, "psi") == pytest.approx(constants.psi, rel=1e-15)
    assert to_base("mass", 1.0, "lb") == pytest.approx(constants.lb, rel=4e-16)
    assert to_base("length", 1.0, "in") == pytest.approx(1000 * constants.inch, rel=1e-15)
    assert to_base("altitude", 1.0, "ft") == pytest.approx(constants.foot, rel=4e-16)


@pytest.mark.parametrize("celsius", [-30.0, -17.78, 0.0, 20.0, 37.0, 60.0])
def test_fahrenheit_is_that_of_scipy(celsius: float) -> None:
    fahrenheit = float(constants.convert_temperature(celsius, "Celsius", "Fahrenheit"))
    assert convert("temperature", celsius, "c", "f") == pytest.approx(fahrenheit, abs=1e-9)
    assert convert("temperature", fahrenheit, "f", "c") == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize("celsius", [-30.0, 0.0, 20.0, 60.0])
def test_an_absolute_temperature_is_that_of_scipy(celsius: float) -> None:
    absolute = float(constants.convert_temperature(celsius, "Celsius", "Kelvin"))
    assert kelvin(celsius) == pytest.approx(absolute, rel=1e-12)
    assert warming_ratio(20.0, celsius) == pytest.approx(absolute / 293.15, rel=1e-12)
