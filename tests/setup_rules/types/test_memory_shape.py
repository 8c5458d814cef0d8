"""A spring's memory is three numbers and six, all finite."""

from __future__ import annotations

import math
from typing import Any

import pytest

from setup_rules.types.spring_memory import SpringMemory


@pytest.mark.parametrize(("shift", "precision"), [(2, 6), (4, 6), (3, 5), (3, 7), (0, 0), (2, 7), (4, 5)])
def test_too_few_and_too_many_are_refused(shift: int, precision: int) -> None:
    with pytest.raises(ValueError, match="three numbers and six"):
        SpringMemory(riders=1, shift=(0.0,) * shift, precision=(0.0,) * precision)


@pytest.mark.parametrize("value", [math.inf, -math.inf, math.nan])
def test_what_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        SpringMemory(riders=1, shift=(0.0, value, 0.0), precision=(0.0,) * 6)
    with pytest.raises(ValueError, match="finite"):
        SpringMemory(riders=1, shift=(0.0,) * 3, precision=(0.0,) * 5 + (value,))


def test_of_nothing_nobody_took_a_check() -> None:
    nothing = SpringMemory.nothing()
    assert (nothing.riders, nothing.shift, nothing.precision) == (0, (0.0,) * 3, (0.0,) * 6)


def test_a_memorys_parts_are_given_by_name() -> None:
    in_a_row: Any = SpringMemory
    with pytest.raises(TypeError):
        in_a_row(0, (0.0,) * 3, (0.0,) * 6)
