"""A sealed amount of air: what is refused, and how the laws hang together."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.gas import compressed_pressure, compression_work, pressure_before_hose, warmed_pressure
from setup_rules.types.errors import LimitError
from setup_rules.types.units import Quantity

VOLUMES = st.floats(1, 1000).map(lambda v: Quantity(v, "cm**3"))
PRESSURES = st.floats(1, 40).map(lambda p: Quantity(p, "bar"))
EXPONENTS = st.floats(1.0, 1.4)


@given(PRESSURES, VOLUMES, VOLUMES, EXPONENTS)
def test_compressing_and_letting_go_again_gives_the_first_pressure(p, before, after, exponent) -> None:
    back = compressed_pressure(compressed_pressure(p, before, after, exponent), after, before, exponent)
    assert back.to("bar").magnitude == pytest.approx(p.magnitude, rel=1e-9)


@given(PRESSURES, VOLUMES, VOLUMES, EXPONENTS)
def test_work_is_positive_for_a_compression_and_negative_for_an_expansion(p, before, after, exponent) -> None:
    work = compression_work(p, before, after, exponent).magnitude
    assert (work > 0) == (before > after) or work == pytest.approx(0, abs=1e-9)


@given(PRESSURES, st.floats(-30, 60), st.floats(-30, 60))
def test_warmer_air_has_the_higher_pressure(p, one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    there = warmed_pressure(p, Quantity(cold, "degC"), Quantity(warm, "degC"))
    assert there.to("bar").magnitude >= p.magnitude * (1 - 1e-12)


@given(PRESSURES, VOLUMES, st.floats(0, 20))
def test_the_hose_never_adds_pressure(reading, volume, hose_cm3: float) -> None:
    before = pressure_before_hose(reading, volume, Quantity(hose_cm3, "cm**3"))
    assert before.to("bar").magnitude >= reading.magnitude * (1 - 1e-12)


def test_a_chamber_without_volume_is_refused() -> None:
    one, none = Quantity(1, "cm**3"), Quantity(0, "cm**3")
    with pytest.raises(LimitError, match="above zero"):
        compressed_pressure(Quantity(5, "bar"), one, none)
    with pytest.raises(LimitError, match="above zero"):
        compression_work(Quantity(5, "bar"), none, one)
    with pytest.raises(LimitError, match="above zero"):
        pressure_before_hose(Quantity(5, "bar"), none, one)


def test_a_hose_of_less_than_nothing_is_refused() -> None:
    with pytest.raises(LimitError, match="hose"):
        pressure_before_hose(Quantity(5, "bar"), Quantity(100, "cm**3"), Quantity(-1, "cm**3"))


def test_a_temperature_below_absolute_zero_is_refused() -> None:
    with pytest.raises(LimitError, match="absolute zero"):
        warmed_pressure(Quantity(5, "bar"), Quantity(20, "degC"), Quantity(-1, "K"))
