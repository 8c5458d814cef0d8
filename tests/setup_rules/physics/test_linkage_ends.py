"""A linkage read beyond its rows and in its corners, how far its wheel travels, and the rate that reaches the wheel."""

from __future__ import annotations

import numpy as np
import pytest

from setup_rules.physics.linkage import Leverage, wheel_rate_n_per_m
from setup_rules.types.errors import LimitError

#: Up by 0.4 over 20 mm, down by 0.7 over 35 mm.
TABLE = Leverage((0.0, 0.02, 0.055), (2.6, 3.0, 2.3))
#: 0.4 less over 40 mm, measured from 10 mm on.
LINE = Leverage((0.01, 0.05), (2.9, 2.5))


def test_a_fork_is_a_leverage_of_one_throughout_and_changes_nowhere() -> None:
    fork = Leverage()
    assert (fork.position_m, fork.ratio) == ((0.0, 1.0), (1.0, 1.0))
    assert [fork.at(x) for x in (0.0, 0.14, 0.9)] == [1.0, 1.0, 1.0]
    assert fork.slope_at(0.14) == 0.0
    assert fork.wheel_travel_m(0.14) == pytest.approx(0.14, abs=1e-12)


def test_a_line_is_read_from_its_first_row_and_goes_on_straight() -> None:
    assert [float(LINE.at(x)) for x in (0.01, 0.03, 0.05)] == pytest.approx([2.9, 2.7, 2.5])
    assert [float(one) for one in LINE.at(np.array([0.0, 0.06]))] == pytest.approx([3.0, 2.4])


def test_a_rising_line_is_read_between_its_rows_too() -> None:
    assert float(Leverage((0.01, 0.05), (2.5, 2.9)).at(0.03)) == pytest.approx(2.7)


def test_points_are_given_in_millimetres() -> None:
    built = Leverage.from_points(((0.0, 2.9), (55.0, 2.4)))
    assert built == Leverage((0.0, 0.055), (2.9, 2.4))


def test_a_table_is_constant_beyond_its_rows() -> None:
    assert [float(one) for one in TABLE.at(np.array([-0.01, 0.0, 0.055, 0.07]))] == pytest.approx([2.6, 2.6, 2.3, 2.3])


def test_in_a_corner_the_slope_is_that_of_the_piece_which_begins_there() -> None:
    assert [float(one) for one in TABLE.slope_at(np.array([0.0, 0.0199, 0.02, 0.0201, 0.055]))] == pytest.approx(
        [20.0, 20.0, -20.0, -20.0, -20.0]
    )


def test_a_straight_lines_slope_does_not_depend_on_where_it_is_asked() -> None:
    assert LINE.slope_at(0.0) == pytest.approx(-10.0)
    assert LINE.slope_at(0.05) == pytest.approx(-10.0)


@pytest.mark.parametrize(
    ("stroke_mm", "wheel_mm"),
    [
        (0.0, 0.0),
        # (2.6 + 2.8)/2·10, then the whole of the first piece, then half of the second: 2.65 in its middle.
        (10.0, 27.0),
        (20.0, 56.0),
        (37.5, 56.0 + 0.5 * (3.0 + 2.65) * 17.5),
        (55.0, 56.0 + 2.65 * 35.0),
    ],
)
def test_the_wheel_travels_the_area_under_the_polygon(stroke_mm: float, wheel_mm: float) -> None:
    assert 1000 * TABLE.wheel_travel_m(stroke_mm / 1000) == pytest.approx(wheel_mm, abs=1e-9)


def test_a_table_that_begins_inside_the_stroke_counts_from_full_extension() -> None:
    # 2.5 from full extension to 10 mm, where the table begins, and half-way to 3.0 after: (2.5 + 2.75)/2·10.
    late = Leverage((0.01, 0.03, 0.05), (2.5, 3.0, 3.0))
    assert 1000 * late.wheel_travel_m(0.02) == pytest.approx(25.0 + 26.25, abs=1e-9)


def test_rows_before_full_extension_count_for_nothing() -> None:
    # 3.0 at −10 mm and 2.6 at 30 mm: 2.9 at full extension, 2.7 after 20 mm.
    early = Leverage((-0.01, 0.03, 0.05), (3.0, 2.6, 2.6))
    assert 1000 * early.wheel_travel_m(0.02) == pytest.approx(0.5 * (2.9 + 2.7) * 20.0, abs=1e-9)


def test_a_refused_stroke_is_told_in_millimetres() -> None:
    with pytest.raises(LimitError, match=r"-5 mm"):
        TABLE.wheel_travel_m(-0.005)
    with pytest.raises(LimitError, match="negative"):
        TABLE.wheel_travel_m(float("nan"))


def test_the_rate_at_the_wheel_is_the_springs_by_the_square_less_what_the_leverage_gives_back() -> None:
    # 45 kN/m and 900 N at a ratio of 3: 5 kN/m; and 900/9·(−18/3) = −600 N/m, which a falling leverage adds.
    assert wheel_rate_n_per_m(45_000.0, 900.0, 3.0, 0.0) == pytest.approx(5000.0)
    assert wheel_rate_n_per_m(45_000.0, 900.0, 3.0, -18.0) == pytest.approx(5600.0)
    assert wheel_rate_n_per_m(45_000.0, 900.0, 3.0, 18.0) == pytest.approx(4400.0)


def test_behind_no_leverage_at_all_there_is_no_rate() -> None:
    with pytest.raises(ZeroDivisionError):
        wheel_rate_n_per_m(45_000.0, 900.0, 0.0, 0.0)
