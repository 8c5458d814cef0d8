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
        "The numbers of the fork were worked out by an earlier version of the rules. Its next sag check uses the "
        "current rules."
    ),
    "caution.earlier_rules.shock": N_(
        "The numbers of the shock were worked out by an earlier version of the rules. Its next sag check uses the "
        "current rules."
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
}
