"""How quantities are written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.types.units import PSI_PA
from webapp.ground.text import numbers


@pytest.mark.parametrize(
    ("psi", "text"), [(84.0, "84"), (83.5, "84"), (231.49, "231"), (40.0, "40"), (25.0, "25"), (25.3, "25.5"), (0, "0")]
)
def test_psi_is_whole_and_to_the_half_when_low(psi: float, text: str) -> None:
    assert numbers.psi(psi * PSI_PA) == text


@pytest.mark.parametrize(
    ("value", "text"), [(1.5e300, "1.5e+300"), (-4.825379e16, "-4.82538e+16"), (1e15, "1000000000000000")]
)
def test_a_number_of_any_size_can_be_named(value: float, text: str) -> None:
    assert numbers.exact(value) == numbers.number(value) == text


def test_bar_has_one_decimal() -> None:
    assert numbers.bar(84 * PSI_PA) == "5.8"  # 84 psi × 6894.757 Pa
    assert numbers.bar(500_000) == "5.0"  # 72.5 psi are shown as 73, and 73 psi are 5.03 bar
    assert numbers.fine_bar(500_000) == "5.00"


def test_millimetres_are_whole_or_half() -> None:
    assert [numbers.halves(v) for v in (28, 28.2, 28.3, 27.76)] == ["28", "28", "28.5", "28"]


def test_a_range_has_a_dash_and_its_unit_once() -> None:
    assert numbers.psi_range(74 * PSI_PA, 97 * PSI_PA) == "74–97 psi"
    assert numbers.bar_range(500_000, 650_000) == "5.0–6.5 bar"
    assert numbers.mm_range(22, 35.4) == "22–35.5 mm"


def test_a_range_that_prints_alike_is_one_number() -> None:
    assert numbers.mm_range(28.0, 28.1) == "28 mm"


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_zero_never_has_a_sign(value: float, places: int) -> None:
    for text in (numbers.number(value, places), numbers.halves(value), numbers.psi(value), numbers.bar(value)):
        assert not (text.startswith("-") and float(text) == 0.0)
