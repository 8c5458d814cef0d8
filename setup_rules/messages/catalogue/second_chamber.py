"""A second positive chamber: why its pressure, where it joins, and what to take care of."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, Template

SENTENCES: Final[dict[str, Template]] = {
    "second.ratio": N_(
        "The second positive chamber of {volume} cm³ gets {psi} psi, {ratio} times the first, as entered. Both are "
        "sealed, so heat and cold move both alike."
    ),
    "second.limited": N_(
        "The second positive chamber of {volume} cm³ gets {psi} psi. That is its maximum, when pumped or on the ride, "
        "and less than the ratio entered asks for."
    ),
    "second.joins.after_sag": N_(
        "The second chamber joins about {joins} mm into the {travel} mm. That is beyond the sag, so it moves the end "
        "of the travel and not the sag."
    ),
    "second.joins.in_sag": N_(
        "The second chamber joins about {joins} mm into the {travel} mm, before the sag is reached. So its pressure "
        "moves the sag too: a sag check counts only with the second chamber at the pressure given here."
    ),
    "second.never_joins": N_(
        "At this pressure the second chamber stays closed over all {travel} mm: the first one never reaches its "
        "pressure."
    ),
    "caution.second_chamber": N_(
        "This end has two positive chambers, each under pressure. Pump them in the order that its manual gives. Before "
        "opening it, let the air out of both, in the manual's order, and wear eye protection."
    ),
    "caution.second_limited": N_(
        "The second chamber would need {wanted} psi, but its maximum allows {psi} psi. The end of the travel is then "
        "softer than the manual means it: watch for hard hits."
    ),
    "caution.second_limited.assumed": N_(
        "The second chamber would need {wanted} psi, but our cautious maximum allows {psi} psi. Read the printed "
        "maximum of the second chamber and enter it."
    ),
}
