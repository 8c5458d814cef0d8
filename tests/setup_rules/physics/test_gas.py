"""A sealed amount of air: what is refused, and how the laws hang together."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.gas import compression_ratio, hose_factor, kelvin, warming_ratio, work_factor
from setup_rules.types.errors import LimitError

RATIOS = st.floats(0.05, 20.0)
EXPONENTS = st.floats(1.0, 1.4)
TEMPERATURES = st.floats(-30, 60)


@given(RATIOS, EXPONENTS)
def test_compressing_and_letting_go_again_gives_the_first_pressure(ratio: float, exponent: float) -> None:
    there_and_back = compression_ratio(ratio, exponent) * compression_ratio(1 / ratio, exponent)
    assert there_and_back == pytest.approx(1.0, rel=1e-12)


@given(RATIOS, EXPONENTS)
def test_work_is_positive_for_a_compression_and_negative_for_an_expansion(ratio: float, exponent: float) -> None:
    work = float(work_factor(ratio, exponent))
    assert (work > 0) == (ratio > 1) or work == pytest.approx(0, abs=1e-9)


@given(TEMPERATURES, TEMPERATURES)
def test_warmer_air_has_the_higher_pressure(one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    assert warming_ratio(cold, warm) >= 1.0 >= warming_ratio(warm, cold)


@given(st.floats(1, 1000), st.floats(0, 20))
def test_the_hose_never_adds_pressure(chamber_cm3: float, hose_cm3: float) -> None:
    assert hose_factor(chamber_cm3, hose_cm3) >= 1.0


@pytest.mark.parametrize(("chamber_cm3", "hose_cm3"), [(0.0, 1.0), (-1.0, 1.0), (100.0, -1.0), (float("nan"), 1.0)])
def test_a_chamber_or_a_hose_that_cannot_be_is_refused(chamber_cm3: float, hose_cm3: float) -> None:
    with pytest.raises(LimitError, match="hose"):
        hose_factor(chamber_cm3, hose_cm3)


@pytest.mark.parametrize("celsius", [-273.15, -300.0, float("nan")])
def test_a_temperature_at_or_below_absolute_zero_is_refused(celsius: float) -> None:
    with pytest.raises(LimitError, match="absolute zero"):
        kelvin(celsius)
    with pytest.raises(LimitError, match="absolute zero"):
        warming_ratio(20.0, celsius)
