"""The file that a shop gives away: written, read back, refused, pooled."""

from __future__ import annotations

import math

import numpy as np
import pytest

from setup_rules.inference.checked_guess import CheckedGuess
from webapp.calibration.actions.pool_files import pool_files
from webapp.calibration.anonymous_file import (
    FIRST_LINE,
    MOST_BYTES,
    CalibrationFileError,
    anonymous_checks,
    read_file,
    write_file,
)


def judged(factor: float, spring_class: str = "fork_36_air", **more: object) -> CheckedGuess:
    """Return one judged check."""
    values = {"of_class": True, "held": True, "correction": 1.0, "factor_sigma": 0.22} | more
    return CheckedGuess(end="front", spring_class=spring_class, factor=factor, **values)  # type: ignore[arg-type]


def shop(seed: int, middle: float, number: int = 40, spring_class: str = "fork_36_air") -> bytes:
    """Return the file of a shop whose bikes need `middle` times the pressure, with the scatter of bikes."""
    rng = np.random.default_rng(seed)
    factors = middle * np.exp(rng.normal(0.0, 0.2, number))
    return write_file(anonymous_checks([judged(float(one), spring_class) for one in factors])).encode()


def test_rows_are_coarse_sorted_and_come_back() -> None:
    rows = anonymous_checks([judged(1.0 + 0.03 * place) for place in range(8)])
    assert [row.factor for row in rows] == sorted(row.factor for row in rows)
    for row in rows:
        assert row.factor / 0.05 == pytest.approx(round(row.factor / 0.05))
    assert read_file(write_file(rows).encode()) == rows


def test_rare_classes_and_entered_springs_are_left_out() -> None:
    rare = [judged(1.1, "fork_40_air")] * 4
    known = [judged(1.1, of_class=False)] * 20
    assert not anonymous_checks([*rare, *known])
    assert len(anonymous_checks([*rare, *known, judged(1.1, "fork_40_air")])) == 5


def test_far_values_are_bounded() -> None:
    rows = anonymous_checks([judged(7.0)] * 5)
    assert rows[0].factor == 2.0
    assert read_file(write_file(rows).encode()) == rows


def test_shops_are_pooled_by_class() -> None:
    table = pool_files([shop(1, 1.1), shop(2, 1.12), shop(3, 0.95, spring_class="shock_air")])
    forks, shocks = table
    assert (forks.spring_class, forks.checks, forks.shops) == ("fork_36_air", 80, 2)
    assert forks.low < forks.factor < forks.high
    assert forks.factor == pytest.approx(1.11, abs=0.06)
    assert (shocks.shops, shocks.held) == (1, 40)
    assert shocks.held_high == 1.0


def test_shops_that_differ_widen_the_interval() -> None:
    alike, apart = pool_files([shop(1, 1.1), shop(2, 1.1)])[0], pool_files([shop(1, 1.3), shop(2, 0.9)])[0]
    assert math.log(apart.high / apart.low) > 1.5 * math.log(alike.high / alike.low)


def test_rounding_hardly_moves_the_estimate() -> None:
    rng = np.random.default_rng(5)
    factors = 1.1 * np.exp(rng.normal(0.0, 0.2, 400))
    content = write_file(anonymous_checks([judged(float(one)) for one in factors])).encode()
    assert pool_files([content])[0].factor == pytest.approx(float(np.exp(np.log(factors).mean())), rel=0.01)


def test_the_same_file_twice_is_refused() -> None:
    with pytest.raises(CalibrationFileError, match="the same"):
        pool_files([shop(1, 1.1), shop(1, 1.1)])


GOOD = f"{FIRST_LINE}\nspring_class,held,factor\n"


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff\xfe",
        b"spring_class,held,factor\n",
        f"{FIRST_LINE}\n".encode(),
        f"{FIRST_LINE}\nspring_class,factor,held\n".encode(),
        b" " * (MOST_BYTES + 1),
        *(
            f"{GOOD}{row}\n".encode()
            for row in (
                "fork_36_air,yes",
                "fork_36_air,yes,1.05,9",
                "fork_99_air,yes,1.05",
                "fork_36_air,maybe,1.05",
                "fork_36_air,yes,x",
                "fork_36_air,yes,nan",
                "fork_36_air,yes,2.05",
                "fork_36_air,yes,0.45",
                "fork_36_air,yes,inf",
                "=1+1,yes,1.05",
            )
        ),
    ],
)
def test_what_is_no_such_file_is_refused(content: bytes) -> None:
    with pytest.raises(CalibrationFileError):
        read_file(content)


def test_a_file_without_rows_is_an_empty_table() -> None:
    assert pool_files([GOOD.encode()]) == []
