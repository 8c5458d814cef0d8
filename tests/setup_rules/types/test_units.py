"""The closed unit list: spellings, round trips, refusals."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.types.errors import UnknownUnitError
from setup_rules.types.units import UNITS, convert, from_base, to_base, unit

KINDS_AND_KEYS = [(kind, u.key) for kind, units in UNITS.items() for u in units]
NUMBERS = st.floats(-1e9, 1e9, allow_nan=False)


@given(st.sampled_from(KINDS_AND_KEYS), NUMBERS)
def test_a_value_taken_to_the_base_unit_and_back_is_itself(kind_and_key: tuple[str, str], value: float) -> None:
    kind, key = kind_and_key
    back = from_base(kind, to_base(kind, value, key), key)
    assert math.isclose(back, value, rel_tol=1e-12, abs_tol=1e-9)


@given(st.sampled_from([kind for kind, units in UNITS.items() if units]), st.data(), NUMBERS)
def test_a_value_taken_to_any_other_unit_and_back_is_itself(kind: str, data: st.DataObject, value: float) -> None:
    keys = st.sampled_from([u.key for u in UNITS[kind]])
    one, other = data.draw(keys), data.draw(keys)
    back = convert(kind, convert(kind, value, one, other), other, one)
    assert math.isclose(back, value, rel_tol=1e-11, abs_tol=1e-7)


@given(st.sampled_from(KINDS_AND_KEYS), NUMBERS, NUMBERS)
def test_the_larger_of_two_values_stays_the_larger(kind_and_key: tuple[str, str], one: float, other: float) -> None:
    kind, key = kind_and_key
    low, high = sorted((one, other))
    assert to_base(kind, low, key) <= to_base(kind, high, key)


@pytest.mark.parametrize(("kind", "key"), KINDS_AND_KEYS)
def test_every_spelling_symbol_and_key_means_its_unit_in_any_case(kind: str, key: str) -> None:
    meant = next(u for u in UNITS[kind] if u.key == key)
    for spelling in (meant.key, meant.symbol, *meant.spellings):
        for written in (spelling, spelling.upper(), f"  {spelling} "):
            assert unit(kind, written) is meant


@pytest.mark.parametrize("kind", UNITS)
def test_no_spelling_means_two_units_of_one_kind(kind: str) -> None:
    spellings = [s for u in UNITS[kind] for s in {u.key, u.symbol.lower(), *u.spellings}]
    assert len(spellings) == len(set(spellings))


@given(st.text(max_size=60))
def test_any_text_is_a_known_unit_or_refused_with_the_list_of_known_ones(text: str) -> None:
    known = {s for u in UNITS["pressure"] for s in (u.key, u.symbol.lower(), *u.spellings)}
    if text.strip().lower() in known:
        assert unit("pressure", text) in UNITS["pressure"]
    else:
        with pytest.raises(UnknownUnitError, match="Use one of: Pa, psi, bar, kPa"):
            unit("pressure", text)


@pytest.mark.parametrize("text", ["9**9**9 kg", "kg*kg", "", "mm", "kilogram_force", "kg; import os"])
def test_a_mass_in_no_known_unit_is_refused(text: str) -> None:
    with pytest.raises(UnknownUnitError):
        unit("mass", text)


@pytest.mark.parametrize(("kind", "key"), [(kind, u.key) for kind, units in UNITS.items() for u in units])
def test_every_unit_converts_as_a_fresh_pint_registry_does(kind: str, key: str) -> None:
    registry = pint.UnitRegistry()
    name = next(u.pint_name for u in UNITS[kind] if u.key == key)
    expected = registry.Quantity(12.5, name).to(UNITS[kind][0].pint_name).magnitude
    assert to_base(kind, 12.5, key) == pytest.approx(float(expected), rel=1e-12)
