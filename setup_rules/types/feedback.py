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

#: What can be seen after one firm dip, beside the swing that the riding style aims at (`bounce_check.aimed_swing`).
SEEN: Final = ("less", "about_right", "more")

#: Words of earlier saved and sent checks, which named a swing whatever the style, and what they are read as. One swing
#: that then settles was called the aim of every style, so it stays the aim; the others lie to either side of it.
OLD_SEEN: Final = {
    "creeps_back": "less",
    "straight_back": "less",
    "one_swing": "about_right",
    "several_swings": "more",
}
