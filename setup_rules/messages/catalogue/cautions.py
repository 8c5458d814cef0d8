"""The cautions that go with a setup: where someone can get hurt, or a number is not what was asked for."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, Template

SENTENCES: Final[dict[str, Template]] = {
    "caution.start_point": N_(
        "These numbers are a starting point only. Local rules and the manuals of fork, shock and frame come first. If "
        "in doubt, ask a qualified mechanic."
    ),
    "caution.stop_and_ask": N_(
        "Play, a crack, a leak, a spring that stays compressed or a new noise: stop riding and see a qualified "
        "mechanic."
    ),
    "caution.coil_negative": N_(
        "The negative spring is a coil, so altitude changes the sag. Check the sag where you ride."
    ),
    "caution.pressure_above_maximum.fork": N_(
        "The fork would need {wanted} psi, more than its maximum of {limit} psi. Do not go above the maximum. Set it, "
        "expect about {sag} mm of sag, and ask a workshop for a spring or a fork made for the load."
    ),
    "caution.pressure_above_maximum.shock": N_(
        "The shock would need {wanted} psi, more than its maximum of {limit} psi. Do not go above the maximum. Set "
        "it, expect about {sag} mm of sag, and ask a workshop for a spring or a shock made for the load."
    ),
    "caution.pressure_below_minimum.fork": N_(
        "The fork would need {wanted} psi, less than its minimum of {limit} psi. Do not ride below the minimum. Set "
        "it, expect about {sag} mm of sag, and ask a workshop for a lighter spring or fork."
    ),
    "caution.pressure_below_minimum.shock": N_(
        "The shock would need {wanted} psi, less than its minimum of {limit} psi. Do not ride below the minimum. Set "
        "it, expect about {sag} mm of sag, and ask a workshop for a lighter spring or shock."
    ),
    "caution.maximum_assumed.fork": N_(
        "The maximum pressure of the fork was not entered. {limit} psi is our cautious estimate. Look up the figure "
        "printed on the fork and never go above it."
    ),
    "caution.maximum_assumed.shock": N_(
        "The maximum pressure of the shock was not entered. {limit} psi is our cautious estimate. Look up the figure "
        "printed on the shock and never go above it."
    ),
    "caution.earlier_rules.fork": N_(
        "The numbers of the fork are from an earlier version of the rules. Its next sag check uses the current rules."
    ),
    "caution.earlier_rules.shock": N_(
        "The numbers of the shock are from an earlier version of the rules. Its next sag check uses the current rules."
    ),
    "caution.sag_unusual": N_(
        "A target sag of {percent} % is outside the usual {low} to {high} %. Ride carefully at first."
    ),
    "caution.sag_unsteady": N_(
        "The leverage ratio of this frame rises steeply, so the load grows almost as fast as the spring's force. Small "
        "changes of pressure change the sag a lot. Change the pressure in small steps and measure each time."
    ),
    "caution.travel_spacers": N_(
        "Travel was set by spacers. Before riding, let the air out, compress the fork fully and check the gap from "
        "tyre to crown and frame. Keep to the travel that the manuals of fork and frame allow."
    ),
    "caution.travel_unusual": N_(
        "{travel} mm of travel is unusual for a stanchion of {stanchion} mm (usual: {low} to {high} mm). Check both. "
        "If they are right, trust the sag check more than the start pressure."
    ),
    "caution.chart_higher.fork": N_(
        "The chart asks for {psi} psi, {percent} % more than most forks of this size need ({low} to {high} psi). Check "
        "that the chart, its units and the travel belong to this fork, then trust the sag check."
    ),
    "caution.chart_higher.shock": N_(
        "The chart asks for {psi} psi, {percent} % more than most shocks of this size need ({low} to {high} psi). "
        "Check that the chart, its units and the travel belong to this shock, then trust the sag check."
    ),
    "caution.chart_lower.fork": N_(
        "The chart asks for {psi} psi, {percent} % less than most forks of this size need ({low} to {high} psi). Check "
        "that the chart, its units and the travel belong to this fork, then trust the sag check."
    ),
    "caution.chart_lower.shock": N_(
        "The chart asks for {psi} psi, {percent} % less than most shocks of this size need ({low} to {high} psi). "
        "Check that the chart, its units and the travel belong to this shock, then trust the sag check."
    ),
    "caution.pressure_above_assumed.fork": N_(
        "You need about {wanted} psi. Read the maximum on the fork and enter it. Until then do not go above {limit} "
        "psi, our cautious estimate: set {psi} psi."
    ),
    "caution.pressure_above_assumed.shock": N_(
        "You need about {wanted} psi. Read the maximum on the shock and enter it. Until then do not go above {limit} "
        "psi, our cautious estimate: set {psi} psi."
    ),
    "caution.pressure_above_on_ride.fork": N_(
        "Where you pump, the fork would need {wanted} psi, and on the ride that would rise above its maximum of "
        "{limit} psi. Set no more than {psi} psi there."
    ),
    "caution.pressure_above_on_ride.shock": N_(
        "Where you pump, the shock would need {wanted} psi, and on the ride that would rise above its maximum of "
        "{limit} psi. Set no more than {psi} psi there."
    ),
    "caution.limited.assumed.fork": N_(
        "This answer is limited by our cautious maximum, not by the fork's own. Read the maximum printed on the fork "
        "and enter it before you change anything else."
    ),
    "caution.limited.assumed.shock": N_(
        "This answer is limited by our cautious maximum, not by the shock's own. Read the maximum printed on the shock "
        "and enter it before you change anything else."
    ),
    "caution.limited.maximum.fork": N_(
        "This answer is limited by the maximum pressure: the target sag is out of reach. Volume spacers do not help "
        "here. Ask a workshop for an air spring or a fork made for more load, and do not ride hard until then."
    ),
    "caution.limited.maximum.shock": N_(
        "This answer is limited by the maximum pressure: the target sag is out of reach. Volume spacers do not help "
        "here. Ask a workshop for an air spring or a shock made for more load, and do not ride hard until then."
    ),
    "caution.limited.maximum.fork.target": N_(
        "This answer is limited by the maximum pressure: the target sag is out of reach. Volume spacers do not help "
        "here. Enter a higher target sag of about {percent} % and see whether it rides well, or ask a workshop for an "
        "air spring or a fork made for more load."
    ),
    "caution.limited.maximum.shock.target": N_(
        "This answer is limited by the maximum pressure: the target sag is out of reach. Volume spacers do not help "
        "here. Enter a higher target sag of about {percent} % and see whether it rides well, or ask a workshop for an "
        "air spring or a shock made for more load."
    ),
    "caution.limited.minimum.fork": N_(
        "This answer is limited by the minimum pressure: the target sag is out of reach. Volume spacers do not help "
        "here. Ask a workshop for an air spring or a fork made for less load, and do not ride hard until then."
    ),
    "caution.limited.minimum.shock": N_(
        "This answer is limited by the minimum pressure: the target sag is out of reach. Volume spacers do not help "
        "here. Ask a workshop for an air spring or a shock made for less load, and do not ride hard until then."
    ),
    "caution.limited.minimum.fork.target": N_(
        "This answer is limited by the minimum pressure: the target sag is out of reach. Volume spacers do not help "
        "here. Enter a lower target sag of about {percent} % and see whether it rides well, or ask a workshop for an "
        "air spring or a fork made for less load."
    ),
    "caution.limited.minimum.shock.target": N_(
        "This answer is limited by the minimum pressure: the target sag is out of reach. Volume spacers do not help "
        "here. Enter a lower target sag of about {percent} % and see whether it rides well, or ask a workshop for an "
        "air spring or a shock made for less load."
    ),
    "caution.limited.maximum.near": N_(
        "This answer is limited by the maximum pressure, but close enough to the target: expect about {sag} mm of sag. "
        "Measure it. If it sags too far, ask a workshop for an air spring made for more load."
    ),
    "caution.limited.minimum.near": N_(
        "This answer is limited by the minimum pressure, but close enough to the target: expect about {sag} mm of sag. "
        "Measure it. If it sags too little, ask a workshop for an air spring made for less load."
    ),
    "caution.cold_oil.fork": N_(
        "At {celsius} °C the oil in the damper is thicker, so the fork comes back more slowly. Ride gently for the "
        "first 10 minutes to warm it up, then judge the rebound. Do not jump with a cold damper."
    ),
    "caution.cold_oil.shock": N_(
        "At {celsius} °C the oil in the damper is thicker, so the shock comes back more slowly. Ride gently for the "
        "first 10 minutes to warm it up, then judge the rebound. Do not jump with a cold damper."
    ),
    "caution.lower_legs": N_(
        "The fork is set at {bench} m and ridden at {ride} m. Opening the lower legs there resets the air in them to "
        "that height, and the sag moves. Check the sag where you ride."
    ),
    "caution.sticky.fork": N_(
        "The readings lie {apart} mm apart, {percent} % of the travel, so the fork sticks and the answer is wide. "
        "Clean and oil the seals and measure again. If it stays, have a qualified mechanic look at it."
    ),
    "caution.sticky.shock": N_(
        "The readings lie {apart} mm apart, {percent} % of the travel, so the shock sticks and the answer is wide. "
        "Clean and oil the seals and measure again. If it stays, have a qualified mechanic look at it."
    ),
    "caution.pumped_above_maximum.fork": N_(
        "The fork was measured at {psi} psi, above its maximum of {limit} psi. Let air out before anyone rides it."
    ),
    "caution.pumped_above_maximum.shock": N_(
        "The shock was measured at {psi} psi, above its maximum of {limit} psi. Let air out before anyone rides it."
    ),
    "caution.answers_disagree.fork": N_(
        "The sag checks of the fork disagree: hardly any spring fits them all, so the answer is wide. Strike out a "
        "reading that was a slip, or measure again."
    ),
    "caution.answers_disagree.shock": N_(
        "The sag checks of the shock disagree: hardly any spring fits them all, so the answer is wide. Strike out a "
        "reading that was a slip, or measure again."
    ),
    "caution.something_changed.fork": N_(
        "The newest sag of the fork does not go with the earlier ones: something changed. Air lost, other kit, new "
        "seals or another rider? Say what changed, and do the leak check if nothing else did."
    ),
    "caution.something_changed.shock": N_(
        "The newest sag of the shock does not go with the earlier ones: something changed. Air lost, other kit, new "
        "seals or another rider? Say what changed, and do the leak check if nothing else did."
    ),
}
