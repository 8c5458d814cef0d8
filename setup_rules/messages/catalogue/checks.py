"""Sag check and bounce check: what can be wrong with one, and what to do after it."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, NN_, Template

SENTENCES: Final[dict[str, Template]] = {
    # what is wrong with a sag check
    "sag_check.no_reading": N_("Enter at least one sag reading."),
    "sag_check.too_many": NN_(
        "One reading is more than {most}. Enter the last ones.",
        "{count} readings are more than {most}. Enter the last ones.",
    ),
    "sag_check.no_pressure": N_("Enter the pressure in it now, above 0 psi, as the pump shows it."),
    "sag_check.zero": N_(
        "A sag of {sag} mm means that the spring did not move. Check that the rider stood on the bike, that the "
        "lockout is off and that the O-ring was pushed down. Then measure again."
    ),
    "sag_check.beyond_travel": N_(
        "A sag of {sag} mm is not less than the travel of {travel} mm. Measure the gap between seal and O-ring in mm, "
        "and check the travel."
    ),
    "sag_check.apart": N_(
        "Readings from {low} to {high} mm are {apart} mm apart, more than {allowed} mm (25 % of the travel). Bounce "
        "the bike, stand still for 30 s and measure again."
    ),
    "sag_check.far_off": N_(
        "A sag of {read} mm is far from the {low} to {high} mm expected at this pressure. Measure again and correct "
        "it, or keep it."
    ),
    "sag_check.far_off_centimetres": N_(
        "A sag of {read} mm is far from the {low} to {high} mm expected at this pressure. Is it {read} cm, which is "
        "{meant} mm? Measure again and correct it, or keep it."
    ),
    "sag_check.far_off_inches": N_(
        "A sag of {read} mm is far from the {low} to {high} mm expected at this pressure. Is it {read} in, which is "
        "{meant} mm? Measure again and correct it, or keep it."
    ),
    "sag_check.far_off_swapped": N_(
        "A sag of {read} mm is far from the {low} to {high} mm expected at this pressure. Is it {meant} mm, with the "
        "digits swapped? Measure again and correct it, or keep it."
    ),
    "sag_check.unknown": N_("This setup has no such sag check. Open its history again and choose one."),
    "sag_check.struck_already": N_("This sag check does not count already."),
    "sag_check.counted_already": N_("This sag check counts already."),
    "sag_check.swapped": N_(
        "The readings from above are larger than those from below, but friction makes them smaller. Check that the "
        "two rows are not swapped. From above means eased on, from below means pushed down and let up."
    ),
    "sag_check.friction": N_(
        "Readings from below are {gap} mm more than from above. This is more friction than a healthy spring has. "
        "Clean and oil the seals and measure again. If it stays, have a qualified mechanic look at it."
    ),
    "sag_check.pressure_unlikely.fork": N_(
        "{typed} psi is far from the {low} to {high} psi that this fork could need. Only {least} to {most} psi can be "
        "used. Check the pump's gauge and its unit, and the bike's setup."
    ),
    "sag_check.pressure_unlikely.shock": N_(
        "{typed} psi is far from the {low} to {high} psi that this shock could need. Only {least} to {most} psi can "
        "be used. Check the pump's gauge and its unit, and the bike's setup."
    ),
    "sag_check.pressure_other_unit.fork": N_(
        "{typed} psi is far from the {low} to {high} psi that this fork could need. Only {least} to {most} psi can be "
        "used. If the pump shows {unit}, that is {psi} psi: enter that. Check the pump's gauge, and the bike's setup."
    ),
    "sag_check.pressure_other_unit.shock": N_(
        "{typed} psi is far from the {low} to {high} psi that this shock could need. Only {least} to {most} psi can "
        "be used. If the pump shows {unit}, that is {psi} psi: enter that. Check the pump's gauge, and the bike's "
        "setup."
    ),
    # what to do after a sag check
    "rules_changed.fork": N_(
        "The numbers before this check came from an earlier version of the rules. This answer uses the current rules, "
        "so part of the step comes from the rules and not from the fork. The sag you measured decides."
    ),
    "rules_changed.shock": N_(
        "The numbers before this check came from an earlier version of the rules. This answer uses the current rules, "
        "so part of the step comes from the rules and not from the shock. The sag you measured decides."
    ),
    "sag_at_limit.fork": N_(
        "{psi} psi is as close as this fork can get. It sags about {sag} mm, the target is {target} mm. The cautions "
        "say what to do instead."
    ),
    "sag_at_limit.shock": N_(
        "{psi} psi is as close as this shock can get. It sags about {sag} mm, the target is {target} mm. The cautions "
        "say what to do instead."
    ),
    "sag_again.fork": N_(
        "Leave the fork at {psi} psi and measure again. This reading fits neither the earlier checks nor the target of "
        "{target} mm. If it reads the same again, open the history and strike out what was a slip."
    ),
    "sag_again.shock": N_(
        "Leave the shock at {psi} psi and measure again. This reading fits neither the earlier checks nor the target "
        "of {target} mm. If it reads the same again, open the history and strike out what was a slip."
    ),
    "sag_settled.fork": N_(
        "Done, ride it: at {psi} psi the fork sags about {sag} mm (likely {low} to {high}), close enough to the "
        "target of {target} mm."
    ),
    "sag_settled.shock": N_(
        "Done, ride it: at {psi} psi the shock sags about {sag} mm (likely {low} to {high}), close enough to the "
        "target of {target} mm."
    ),
    "sag_pump.fork": N_(
        "Pump about {change} psi more into the fork, to {psi} psi. Cycle it 5 to 10 times and check the pressure "
        "again until it no longer changes. Sag should then be {sag} mm, likely {low} to {high}. Measure again."
    ),
    "sag_pump.shock": N_(
        "Pump about {change} psi more into the shock, to {psi} psi. Cycle it 5 to 10 times and check the pressure "
        "again until it no longer changes. Sag should then be {sag} mm, likely {low} to {high}. Measure again."
    ),
    "sag_let_out.fork": N_(
        "Let about {change} psi out of the fork, to {psi} psi. Cycle it 5 to 10 times and check the pressure again "
        "until it no longer changes. Sag should then be {sag} mm, likely {low} to {high}. Measure again."
    ),
    "sag_let_out.shock": N_(
        "Let about {change} psi out of the shock, to {psi} psi. Cycle it 5 to 10 times and check the pressure again "
        "until it no longer changes. Sag should then be {sag} mm, likely {low} to {high}. Measure again."
    ),
    "sag_where_set.fork": N_(
        "Target and expected sag hold on the ride. Measured where it was set, the fork should read about {sag} mm."
    ),
    "sag_where_set.shock": N_(
        "Target and expected sag hold on the ride. Measured where it was set, the shock should read about {sag} mm."
    ),
    "sag_in_this_air.fork": N_(
        "These pressures are for {bench_c} °C and {bench_m} m, as the setup says. In the air of this check, {here_c} "
        "°C and {here_m} m, the fork has to be at {psi} psi and should read about {sag} mm."
    ),
    "sag_in_this_air.shock": N_(
        "These pressures are for {bench_c} °C and {bench_m} m, as the setup says. In the air of this check, {here_c} "
        "°C and {here_m} m, the shock has to be at {psi} psi and should read about {sag} mm."
    ),
    "sag_air_maximum.fork": N_(
        "These pressures are for {bench_c} °C and {bench_m} m, as the setup says. In the air of this check, {here_c} "
        "°C and {here_m} m, the fork would need more than its maximum of {psi} psi: stop there, and set it in "
        "cooler air."
    ),
    "sag_air_maximum.shock": N_(
        "These pressures are for {bench_c} °C and {bench_m} m, as the setup says. In the air of this check, {here_c} "
        "°C and {here_m} m, the shock would need more than its maximum of {psi} psi: stop there, and set it in "
        "cooler air."
    ),
    # what is wrong with a bounce check
    "bounce.no_adjuster.fork": N_("The fork has no rebound adjuster in this setup. Enter its rebound clicks first."),
    "bounce.no_adjuster.shock": N_("The shock has no rebound adjuster in this setup. Enter its rebound clicks first."),
    "bounce.clicks": N_("{clicks} clicks out is outside 0 to {total}. Count from fully closed and enter it again."),
    "bounce.one_way": N_("Choose what you saw, or enter how far it went down and up in mm. Enter one of the two."),
    "bounce.swing": N_(
        "A swing of {beyond} mm above standing height after pushing down {dip} mm is not possible. The swing is above "
        "0 and smaller than the push. If there was no swing, choose what you saw instead."
    ),
    "bounce.frames_gone": N_(
        "Counting frames of a video is no longer taken: the bike's natural frequency is not known well enough, and an "
        "error of 10 % in it reads a right rebound as far too quick. Say what you saw, or measure the swing in mm."
    ),
    # what to do after a bounce check
    "rebound_right": N_("Rebound stays at {out} of {total} clicks out. The swing is as the riding style asks for."),
    "rebound_right.measured": N_(
        "Rebound stays at {out} of {total} clicks out. The damping ratio is about {ratio}, the aim is {aim}."
    ),
    "rebound_right.nothing_between.out": N_(
        "Rebound stays at {out} of {total} clicks out. One click further out was already too quick, so this is right."
    ),
    "rebound_right.nothing_between.in": N_(
        "Rebound stays at {out} of {total} clicks out. One click further in was already too slow, so this is right."
    ),
    "rebound_at_end.open": N_(
        "Rebound is fully open ({out} of {total} clicks out) and would have to be quicker. Check that the adjuster "
        "turns and clicks. If it does, old oil, worn seals or a damper that does not suit the rider can feel like "
        "this. See a qualified mechanic."
    ),
    "rebound_at_end.open.measured": N_(
        "Rebound is fully open ({out} of {total} clicks out) and would have to be quicker. The damping ratio is about "
        "{ratio}, the aim is {aim}. Check that the adjuster turns and clicks. If it does, old oil, worn seals or a "
        "damper that does not suit the rider can feel like this. See a qualified mechanic."
    ),
    "rebound_at_end.closed": N_(
        "Rebound is fully closed ({out} of {total} clicks out) and would have to be slower. Check that the adjuster "
        "turns and clicks. If it does, old oil, worn seals or a damper that does not suit the rider can feel like "
        "this. See a qualified mechanic."
    ),
    "rebound_at_end.closed.measured": N_(
        "Rebound is fully closed ({out} of {total} clicks out) and would have to be slower. The damping ratio is "
        "about {ratio}, the aim is {aim}. Check that the adjuster turns and clicks. If it does, old oil, worn seals "
        "or a damper that does not suit the rider can feel like this. See a qualified mechanic."
    ),
    "rebound_turn.out": NN_(
        "Turn the rebound one click out (quicker), to {out} of {total} clicks out from fully closed. Then push down "
        "again.",
        "Turn the rebound {count} clicks out (quicker), to {out} of {total} clicks out from fully closed. Then push "
        "down again.",
    ),
    "rebound_turn.out.measured": NN_(
        "Turn the rebound one click out (quicker), to {out} of {total} clicks out from fully closed. The damping "
        "ratio is about {ratio}, the aim is {aim}. Then push down again.",
        "Turn the rebound {count} clicks out (quicker), to {out} of {total} clicks out from fully closed. The damping "
        "ratio is about {ratio}, the aim is {aim}. Then push down again.",
    ),
    "rebound_turn.in": NN_(
        "Turn the rebound one click in (slower), to {out} of {total} clicks out from fully closed. Then push down "
        "again.",
        "Turn the rebound {count} clicks in (slower), to {out} of {total} clicks out from fully closed. Then push "
        "down again.",
    ),
    "rebound_turn.in.measured": NN_(
        "Turn the rebound one click in (slower), to {out} of {total} clicks out from fully closed. The damping ratio "
        "is about {ratio}, the aim is {aim}. Then push down again.",
        "Turn the rebound {count} clicks in (slower), to {out} of {total} clicks out from fully closed. The damping "
        "ratio is about {ratio}, the aim is {aim}. Then push down again.",
    ),
    "last_click.rebound.open.fork": N_(
        "This is the end of the adjuster: the rebound of the fork is then fully open. There is nothing left to turn "
        "out."
    ),
    "last_click.rebound.open.shock": N_(
        "This is the end of the adjuster: the rebound of the shock is then fully open. There is nothing left to turn "
        "out."
    ),
    "last_click.rebound.closed.fork": N_(
        "This is the end of the adjuster: the rebound of the fork is then fully closed. There is nothing left to turn "
        "in."
    ),
    "last_click.rebound.closed.shock": N_(
        "This is the end of the adjuster: the rebound of the shock is then fully closed. There is nothing left to "
        "turn in."
    ),
    "last_click.compression.open.fork": N_(
        "This is the end of the adjuster: the compression of the fork is then fully open. There is nothing left to "
        "turn out."
    ),
    "last_click.compression.open.shock": N_(
        "This is the end of the adjuster: the compression of the shock is then fully open. There is nothing left to "
        "turn out."
    ),
    "last_click.compression.closed.fork": N_(
        "This is the end of the adjuster: the compression of the fork is then fully closed. There is nothing left to "
        "turn in."
    ),
    "last_click.compression.closed.shock": N_(
        "This is the end of the adjuster: the compression of the shock is then fully closed. There is nothing left to "
        "turn in."
    ),
    "sag_before_rebound.fork": N_(
        "The sag of the fork is not measured yet. Pump first, then measure the sag, then set the rebound: another "
        "pressure asks for other clicks."
    ),
    "sag_before_rebound.shock": N_(
        "The sag of the shock is not measured yet. Pump first, then measure the sag, then set the rebound: "
        "another pressure asks for other clicks."
    ),
    # what goes with another pressure
    "rebound_follows.more.fork": N_(
        "The pressure of the fork moves by {percent} %, and its spring pushes back harder. Change the rebound with "
        "it, from {before} to {out} of {total} clicks out from fully closed."
    ),
    "rebound_follows.more.shock": N_(
        "The pressure of the shock moves by {percent} %, and its spring pushes back harder. Change the rebound with "
        "it, from {before} to {out} of {total} clicks out from fully closed."
    ),
    "rebound_stays.more.fork": N_(
        "The pressure of the fork moves by {percent} %, and its spring pushes back harder. That is worth less than "
        "one click, so the rebound stays as it is."
    ),
    "rebound_stays.more.shock": N_(
        "The pressure of the shock moves by {percent} %, and its spring pushes back harder. That is worth less than "
        "one click, so the rebound stays as it is."
    ),
    "rebound_follows.less.fork": N_(
        "The pressure of the fork moves by {percent} %, and its spring pushes back less. Change the rebound with "
        "it, from {before} to {out} of {total} clicks out from fully closed."
    ),
    "rebound_follows.less.shock": N_(
        "The pressure of the shock moves by {percent} %, and its spring pushes back less. Change the rebound with "
        "it, from {before} to {out} of {total} clicks out from fully closed."
    ),
    "rebound_stays.less.fork": N_(
        "The pressure of the fork moves by {percent} %, and its spring pushes back less. That is worth less than "
        "one click, so the rebound stays as it is."
    ),
    "rebound_stays.less.shock": N_(
        "The pressure of the shock moves by {percent} %, and its spring pushes back less. That is worth less than "
        "one click, so the rebound stays as it is."
    ),
    "order_of_work": N_(
        "Keep to one order: pump fork and shock, then measure the sag of both, then set the rebound of both."
    ),
}
