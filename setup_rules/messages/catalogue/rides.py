"""After the ride: what can be wrong with a ride report, and the one change that follows from it."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, NN_, Template

SENTENCES: Final[dict[str, Template]] = {
    # what is wrong with a ride report
    "ride.nothing": N_("Say how it felt, or how much travel was used."),
    "ride.travel_used": N_(
        "{used} mm of travel used is outside 0 to {travel} mm. Measure from the seal to the O-ring."
    ),
    "ride.hard_hits": NN_(
        "One hard hit is outside 0 to 1000. Enter how often it bottomed out.",
        "{hits} hard hits are outside 0 to 1000. Enter how often it bottomed out.",
        count="hits",
    ),
    # what cannot both be; the feelings are those of `feedback.FELT`
    "ride.opposite.kicks_back.packs_down": N_(
        "“Bucks you” and “gets stiffer over repeated bumps” ask for opposite changes. Ride the same stretch again and "
        "say which of the two is worse."
    ),
    "ride.opposite.hits_the_end.travel_left_over": N_(
        "“Bottoms out” and “doesn't use full travel” ask for opposite changes. Ride the same stretch again and say "
        "which of the two is worse."
    ),
    "ride.opposite.dives.travel_left_over": N_(
        "“Dives” and “doesn't use full travel” ask for opposite changes. Ride the same stretch again and say which of "
        "the two is worse."
    ),
    "ride.opposite.wallows.harsh_small_hits": N_(
        "“Wallows” and “harsh over small bumps” ask for opposite changes. Ride the same stretch again and say which of "
        "the two is worse."
    ),
    "ride.right_and_wrong": N_("“Feels right” cannot go with something that is wrong. Keep one of them."),
    "ride.end_without_hits": N_(
        "“Bottoms out” and 0 hard hits contradict each other. Count the hits, or leave one of them out."
    ),
    "ride.hits.travel_left_over": NN_(
        "“Doesn't use full travel” and one hard hit at the end of the travel contradict each other. Keep the one "
        "that is right. Bottoming out once on the hardest hit is normal.",
        "“Doesn't use full travel” and {hits} hard hits at the end of the travel contradict each other. Keep the one "
        "that is right. Bottoming out once on the hardest hit is normal.",
        count="hits",
    ),
    "ride.hits.feels_right": NN_(
        "“Feels right” and one hard hit at the end of the travel contradict each other. Keep the one "
        "that is right. Bottoming out once on the hardest hit is normal.",
        "“Feels right” and {hits} hard hits at the end of the travel contradict each other. Keep the one "
        "that is right. Bottoming out once on the hardest hit is normal.",
        count="hits",
    ),
    "ride.hits_with_travel_left": N_(
        "Hard hits at the end of the travel with only {used} of {travel} mm used contradict each other. Check the "
        "O-ring. If both are right, something stops the travel early: ask a qualified mechanic."
    ),
    "ride.left_over_with_travel_used": N_(
        "“Doesn't use full travel” with {used} of {travel} mm used contradict each other. Push the O-ring down before "
        "the next ride and measure after the hardest stretch."
    ),
    # what to do
    "ride_none": N_("Nothing to change. Ride it, and come back when something feels wrong."),
    "ride_sag_check.fork": N_(
        "First measure the sag of the fork. Pressure and spacers are only worth changing from a known sag. Then ride "
        "the same stretch and answer again."
    ),
    "ride_sag_check.shock": N_(
        "First measure the sag of the shock. Pressure and spacers are only worth changing from a known sag. Then ride "
        "the same stretch and answer again."
    ),
    "ride_workshop.fork": N_(
        "The fork has no adjustment left for this. Have it checked by a qualified mechanic. Worn seals, old oil, or a "
        "damper or spring that does not suit the rider can feel like this."
    ),
    "ride_workshop.shock": N_(
        "The shock has no adjustment left for this. Have it checked by a qualified mechanic. Worn seals, old oil, or a "
        "damper or spring that does not suit the rider can feel like this."
    ),
    "ride_sag_target.more.fork": N_(
        "Change the fork from {before} to {psi} psi. Sag is {points} % of the travel more, {sag} mm. Cycle it and "
        "check the pressure again. Change nothing else, ride the same stretch, then answer again."
    ),
    "ride_sag_target.more.shock": N_(
        "Change the shock from {before} to {psi} psi. Sag is {points} % of the stroke more, {sag} mm. Cycle it and "
        "check the pressure again. Change nothing else, ride the same stretch, then answer again."
    ),
    "ride_sag_target.less.fork": N_(
        "Change the fork from {before} to {psi} psi. Sag is {points} % of the travel less, {sag} mm. Cycle it and "
        "check the pressure again. Change nothing else, ride the same stretch, then answer again."
    ),
    "ride_sag_target.less.shock": N_(
        "Change the shock from {before} to {psi} psi. Sag is {points} % of the stroke less, {sag} mm. Cycle it and "
        "check the pressure again. Change nothing else, ride the same stretch, then answer again."
    ),
    "ride_volume_spacers.more.fork": N_(
        "Release all air, then fit one volume spacer in the fork ({total} in total) as its manual says. Pump to {psi} "
        "psi for the same {sag} mm of sag. Using all the travel then takes {work} % more work. Change nothing else, "
        "ride the same stretch, then answer again."
    ),
    "ride_volume_spacers.more.shock": N_(
        "Release all air, then fit one volume spacer in the shock ({total} in total) as its manual says. Pump to {psi} "
        "psi for the same {sag} mm of sag. Using all the travel then takes {work} % more work. Change nothing else, "
        "ride the same stretch, then answer again."
    ),
    "ride_volume_spacers.less.fork": N_(
        "Release all air, then take one volume spacer out of the fork ({total} in total) as its manual says. Pump to "
        "{psi} psi for the same {sag} mm of sag. Using all the travel then takes {work} % less work. Change nothing "
        "else, ride the same stretch, then answer again."
    ),
    "ride_volume_spacers.less.shock": N_(
        "Release all air, then take one volume spacer out of the shock ({total} in total) as its manual says. Pump to "
        "{psi} psi for the same {sag} mm of sag. Using all the travel then takes {work} % less work. Change nothing "
        "else, ride the same stretch, then answer again."
    ),
    "ride_rebound.out.fork": NN_(
        "Turn the rebound of the fork one click out, to {out} of {total} clicks out from fully closed. Change nothing "
        "else, ride the same stretch, then answer again.",
        "Turn the rebound of the fork {count} clicks out, to {out} of {total} clicks out from fully closed. Change "
        "nothing else, ride the same stretch, then answer again.",
    ),
    "ride_rebound.out.shock": NN_(
        "Turn the rebound of the shock one click out, to {out} of {total} clicks out from fully closed. Change nothing"
        " else, ride the same stretch, then answer again.",
        "Turn the rebound of the shock {count} clicks out, to {out} of {total} clicks out from fully closed. Change "
        "nothing else, ride the same stretch, then answer again.",
    ),
    "ride_rebound.in.fork": NN_(
        "Turn the rebound of the fork one click in, to {out} of {total} clicks out from fully closed. Change nothing "
        "else, ride the same stretch, then answer again.",
        "Turn the rebound of the fork {count} clicks in, to {out} of {total} clicks out from fully closed. Change "
        "nothing else, ride the same stretch, then answer again.",
    ),
    "ride_rebound.in.shock": NN_(
        "Turn the rebound of the shock one click in, to {out} of {total} clicks out from fully closed. Change nothing "
        "else, ride the same stretch, then answer again.",
        "Turn the rebound of the shock {count} clicks in, to {out} of {total} clicks out from fully closed. Change "
        "nothing else, ride the same stretch, then answer again.",
    ),
    "ride_compression.out.fork": NN_(
        "Turn the compression of the fork one click out, to {out} of {total} clicks out from fully closed. Change "
        "nothing else, ride the same stretch, then answer again.",
        "Turn the compression of the fork {count} clicks out, to {out} of {total} clicks out from fully closed. Change"
        " nothing else, ride the same stretch, then answer again.",
    ),
    "ride_compression.out.shock": NN_(
        "Turn the compression of the shock one click out, to {out} of {total} clicks out from fully closed. Change "
        "nothing else, ride the same stretch, then answer again.",
        "Turn the compression of the shock {count} clicks out, to {out} of {total} clicks out from fully closed. "
        "Change nothing else, ride the same stretch, then answer again.",
    ),
    "ride_compression.in.fork": NN_(
        "Turn the compression of the fork one click in, to {out} of {total} clicks out from fully closed. Change "
        "nothing else, ride the same stretch, then answer again.",
        "Turn the compression of the fork {count} clicks in, to {out} of {total} clicks out from fully closed. Change "
        "nothing else, ride the same stretch, then answer again.",
    ),
    "ride_compression.in.shock": NN_(
        "Turn the compression of the shock one click in, to {out} of {total} clicks out from fully closed. Change "
        "nothing else, ride the same stretch, then answer again.",
        "Turn the compression of the shock {count} clicks in, to {out} of {total} clicks out from fully closed. Change"
        " nothing else, ride the same stretch, then answer again.",
    ),
}
