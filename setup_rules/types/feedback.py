"""What a person can say was seen and felt: the closed lists that forms, rules and interface share."""

from __future__ import annotations

from typing import Final

#: What a rider can say, in the order in which it is answered when several are said.
FELT: Final = (
    "hits_the_end",
    "kicks_back",
    "packs_down",
    "dives",
    "wallows",
    "harsh_small_hits",
    "travel_left_over",
    "feels_right",
)

#: What can be seen, and the damping ratio it stands for. One swing beyond standing height that then settles is the
#: aim of every style (an overshoot of about a quarter is ζ = 0.42); the others are our estimate.
SEEN: Final = {"creeps_back": 1.1, "straight_back": 0.7, "one_swing": 0.42, "several_swings": 0.2}
