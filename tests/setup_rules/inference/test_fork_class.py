"""Which size class a fork without a stanchion falls into: by its longest travel, up to and with each bound."""

from __future__ import annotations

import pytest

from setup_rules import FrontEnd
from setup_rules.inference.size_class import fork_class


@pytest.mark.parametrize(
    ("travel_mm", "stanchion_mm"),
    [
        (80, 32),
        (100, 32),
        (100.5, 34),
        (150, 34),
        (150.5, 36),
        (170, 36),
        (170.5, 38),
        (190, 38),
        (190.5, 40),
        (230, 40),
    ],
)
def test_a_stanchion_is_assumed_up_to_and_with_its_travel(travel_mm: float, stanchion_mm: int) -> None:
    found = fork_class(FrontEnd(travel_mm=travel_mm))
    assert (found.stanchion_mm, found.stanchion_known) == (stanchion_mm, False)


def test_the_longest_travel_says_it_and_a_stanchion_says_more() -> None:
    assert fork_class(FrontEnd(travel_mm=100.0, longest_travel_mm=160.0)).stanchion_mm == 36
    assert fork_class(FrontEnd(travel_mm=100.0, stanchion_mm=38)).stanchion_known
    # The nearest class to a stanchion between two.
    assert fork_class(FrontEnd(travel_mm=100.0, stanchion_mm=33.4)).stanchion_mm == 34
