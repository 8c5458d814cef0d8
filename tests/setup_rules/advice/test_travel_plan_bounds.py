"""A wish for another travel at its bounds: every refusal by its key and values."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules.advice.travel_plan import TravelWish, _known_longest, _problems
from setup_rules.messages.message import Message
from setup_rules.types.request import FrontEnd, SetupRequest
from setup_rules.types.result import SagCheck, TakenCheck

FORK = FrontEnd(travel_mm=100.0, stanchion_mm=34)


def problems(travel: float = 120.0, longest: float = 140.0, **given: Any) -> list[tuple[str, str, dict[str, Any]]]:
    """Return (field, key, values) of what is wrong with a wish for a fork of 100 mm."""
    found = _problems(FORK, TravelWish(travel_mm=travel, longest_travel_mm=longest, **given))
    return [(one.field, one.said.key, dict(one.said.values)) for one in found if isinstance(one.said, Message)]


@pytest.mark.parametrize(
    ("wish", "found"),
    [
        ({}, []),
        ({"travel": 140.0}, []),
        ({"travel": 90.0, "longest": 100.0}, []),
        (
            {"travel": 90.0, "longest": 99.0},
            [("longest_travel_mm", "travel.longest_below_now", {"now": 100, "longest": 99})],
        ),
        ({"travel": 141.0}, [("travel_mm", "travel.above_longest", {"travel": 141, "longest": 140})]),
        ({"travel": 100.0}, [("travel_mm", "travel.unchanged", {"travel": 100})]),
        ({"unit_limit_mm": 120.0, "frame_limit_mm": 120.0}, []),
        ({"unit_limit_mm": 119.0}, [("travel_mm", "travel.above_fork_limit", {"travel": 120, "limit": 119})]),
        ({"frame_limit_mm": 119.0}, [("travel_mm", "travel.above_frame_limit", {"travel": 120, "limit": 119})]),
    ],
)
def test_a_wish_is_refused_from_its_bound_on(
    wish: dict[str, Any], found: list[tuple[str, str, dict[str, Any]]]
) -> None:
    assert problems(**wish) == found


@pytest.mark.parametrize(
    ("front", "longest"),
    [
        (FORK, 140.0),
        (FrontEnd(travel_mm=140.0), 140.0),
        (FrontEnd(travel_mm=150.0), None),  # another fork: it was never 140 mm at most
        (FrontEnd(travel_mm=100.0, longest_travel_mm=120.0), 120.0),
    ],
)
def test_an_earlier_check_learns_the_longest_travel_where_it_can_have_been_so(
    front: FrontEnd, longest: float | None
) -> None:
    request = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=front)
    known = _known_longest(TakenCheck(check=SagCheck(end="front"), request=request), 140.0).request.front
    assert known is not None
    assert known.longest_travel_mm == longest
