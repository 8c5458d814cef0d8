"""A change of travel: what can be wrong with a wish, and what the geometry and the spacers do not allow."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, Template

SENTENCES: Final[dict[str, Template]] = {
    "travel.no_fork": N_("This setup has no fork. Travel spacers are for forks only."),
    "travel.longest_below_now": N_(
        "The fork has {now} mm now, so its maximum travel without spacers cannot be {longest} mm. Check both numbers."
    ),
    "travel.above_longest": N_(
        "{travel} mm is more than the maximum travel of {longest} mm without spacers. Choose less."
    ),
    "travel.above_fork_limit": N_(
        "{travel} mm is more than the {limit} mm that the fork's manual allows. Do not fit it. Choose {limit} mm or "
        "less."
    ),
    "travel.above_frame_limit": N_(
        "{travel} mm is more than the {limit} mm that the frame's manual allows. Do not fit it. Choose {limit} mm or "
        "less."
    ),
    "travel.unchanged": N_("The fork already has {travel} mm. Enter the travel after the change."),
    "travel.outside_longest": N_("Travel of {travel} mm is outside 0 to {longest} mm, the maximum of this fork."),
    "travel.spacers": N_("Enter at most {sizes} spacer sizes above 0 mm, with 0 to {most} of each."),
    "travel.geometry": N_(
        "A wheelbase of {wheelbase} mm, a head angle of {angle}° or a change of {change} mm is outside 700 to 1600 "
        "mm, 55 to 80° or −120 to 120 mm. Check the numbers and their units."
    ),
    "travel.no_chamber_left": N_(
        "A chamber of {volume} cm³ has no room left at {travel} mm of travel. Check volume, bore and travel."
    ),
}
