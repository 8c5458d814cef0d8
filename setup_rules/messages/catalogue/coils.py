"""Coil main springs: why a rate and a preload, what to take care of, and what to do after a check or a ride."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, NN_, Template

SENTENCES: Final[dict[str, Template]] = {
    # why
    "coil.spring.fork": N_(
        "The fork's coil, usually in one leg, is taken as one straight spring: force is rate times compression and "
        "preload, with up to 30 N of gas in the damper beside it. Air shut into the legs, an air-assisted bottom-out, "
        "progressive windings and top-out springs are left out."
    ),
    "coil.spring.shock": N_(
        "The shock's coil is taken as a straight spring: force is rate times compression and preload, with 50 to 130 N "
        "of gas in the damper beside it. An air-assisted bottom-out, progressive windings and top-out springs are left "
        "out."
    ),
    "coil.rate.first": N_(
        "{rate} N/mm ({pounds} lb/in) balances that load at the target sag with the least preload. Most bikes like "
        "this need {low} to {high} N/mm. How the rider stands is the main part of the range."
    ),
    "coil.rate.first.stocked": N_(
        "{rate} N/mm ({pounds} lb/in) would balance that load at the target sag with the least preload. Most bikes "
        "like this need {low} to {high} N/mm. Of the springs entered, {chosen_rate} N/mm ({chosen_pounds} lb/in) comes "
        "nearest in sag, with its preload."
    ),
    "coil.rate.first.fitted": N_(
        "{rate} N/mm ({pounds} lb/in) would balance that load at the target sag with the least preload. Most bikes "
        "like this need {low} to {high} N/mm. The fitted spring of {chosen_rate} N/mm ({chosen_pounds} lb/in) stays."
    ),
    "coil.rate.checked": N_(
        "{rate} N/mm ({pounds} lb/in) balances that load at the target sag with the least preload. By its sag checks, "
        "this bike needs {low} to {high} N/mm."
    ),
    "coil.rate.checked.stocked": N_(
        "{rate} N/mm ({pounds} lb/in) would balance that load at the target sag with the least preload. By its sag "
        "checks, this bike needs {low} to {high} N/mm. Of the springs entered, {chosen_rate} N/mm ({chosen_pounds} "
        "lb/in) comes nearest in sag, with its preload."
    ),
    "coil.rate.checked.fitted": N_(
        "{rate} N/mm ({pounds} lb/in) would balance that load at the target sag with the least preload. By its sag "
        "checks, this bike needs {low} to {high} N/mm. The fitted spring of {chosen_rate} N/mm ({chosen_pounds} lb/in) "
        "stays."
    ),
    "coil.rate.no_spring": N_(
        "{rate} N/mm ({pounds} lb/in) would balance that load at the target sag with the least preload. {low} to "
        "{high} N/mm is the likely range. The spring entered is too short for it."
    ),
    "coil.preload.least": N_(
        "Preload {preload} mm: no more than keeps the spring from moving at full extension. The manual comes first."
    ),
    "coil.preload.set": N_(
        "Preload {preload} mm brings the sag to about {sag} mm. Preload moves the sag, but makes no spring firmer."
    ),
    "sag_in_part": N_(
        "You read {read} mm. With all that is known, {expected} mm is likely for the spring and preload that you "
        "measured: one reading counts only in part, since riding position and friction differ from day to day. Each "
        "further check moves the rate a little more towards what you read."
    ),
    "learned.more.coil": NN_(
        "From one sag check: this bike needs a spring about {percent} % firmer than was first assumed. Friction is "
        "about {friction} N.",
        "From {count} sag checks: this bike needs a spring about {percent} % firmer than was first assumed. Friction "
        "is about {friction} N.",
    ),
    "learned.less.coil": NN_(
        "From one sag check: this bike needs a spring about {percent} % softer than was first assumed. Friction is "
        "about {friction} N.",
        "From {count} sag checks: this bike needs a spring about {percent} % softer than was first assumed. Friction "
        "is about {friction} N.",
    ),
    # cautions
    "caution.coil_preload": N_(
        "A coil spring under preload stores energy. Turn the preload back until the spring is loose before you take "
        "the spring off. The manual gives the least and the greatest preload. If in doubt, ask a qualified mechanic."
    ),
    "caution.coil_out_of_reach": N_(
        "The target sag is out of reach with the springs and the preload entered: expect about {sag} mm. Ask for a "
        "spring of about {rate} N/mm ({pounds} lb/in). Do not make up for it with more preload than the manual allows."
    ),
    "caution.coil_too_short": N_(
        "Do not fit this spring. Its stroke of {stroke} mm is not enough for {travel} mm and the least preload. The "
        "coils would touch before the end of the travel and could break the shock or the fork. Ask for a spring of "
        "about {rate} N/mm ({pounds} lb/in) with a stroke of at least {needed} mm."
    ),
    "caution.coil_bind": N_(
        "The coil spring has a stroke of {stroke} mm for {travel} mm of travel. Never set more than {room} mm of "
        "preload, or the coils touch before the end of the travel."
    ),
    "caution.coil_bind.assumed": N_(
        "The coil spring has a stroke of {stroke} mm for {travel} mm of travel. Never set more than {room} mm of "
        "preload, or the coils touch before the end of the travel. The manual may allow less: look it up."
    ),
    "caution.coil_stroke_unknown": N_(
        "The stroke of the coil spring was not entered. Read it on the spring. It must be at least the travel or "
        "stroke plus the preload, or the coils touch."
    ),
    "caution.preload_assumed": N_(
        "The maximum preload was not entered. {limit} mm is used. Look up the figure in the manual and never go above "
        "it."
    ),
    "caution.preload_above_limit": N_(
        "The spring was measured with {preload} mm of preload, more than the {limit} mm allowed. Turn it back before "
        "anyone rides the bike."
    ),
    "caution.sag_unsteady.coil": N_(
        "The leverage ratio of this frame rises steeply, so the load grows almost as fast as the spring's force. Small "
        "changes of spring rate change the sag a lot. Change one step at a time and measure each time."
    ),
    "caution.something_changed.coil": N_(
        "The newest sag of the coil spring does not go with the earlier ones: something changed. Another spring, other "
        "kit, new seals or another rider? Read the rate on the spring, measure the preload, and say what changed."
    ),
    # what is wrong with a sag check
    "sag_check.rate_needed": N_("Enter the rate of the coil spring that is in it now, as it is printed on the spring."),
    "sag_check.rate_on_air": N_("This end has an air spring. Enter the pressure in it now instead of a spring rate."),
    "sag_check.pressure_on_coil": N_("This end has a coil spring. Enter the rate of the spring instead of a pressure."),
    "sag_check.preload_above_limit": N_(
        "{preload} mm of preload is more than the {limit} mm allowed. If it is a slip, correct it. If it is right, "
        "turn it back to {limit} mm or less before anyone rides the bike."
    ),
    "sag_check.far_off_coil": N_(
        "A sag of {read} mm is far from the {low} to {high} mm expected with this spring and preload. Measure again "
        "and correct it, or keep it."
    ),
    "sag_check.far_off_coil_centimetres": N_(
        "A sag of {read} mm is far from the {low} to {high} mm expected with this spring and preload. Is it {read} cm, "
        "which is {meant} mm? Measure again and correct it, or keep it."
    ),
    "sag_check.far_off_coil_inches": N_(
        "A sag of {read} mm is far from the {low} to {high} mm expected with this spring and preload. Is it {read} in, "
        "which is {meant} mm? Measure again and correct it, or keep it."
    ),
    "sag_check.far_off_coil_swapped": N_(
        "A sag of {read} mm is far from the {low} to {high} mm expected with this spring and preload. Is it {meant} "
        "mm, with the digits swapped? Measure again and correct it, or keep it."
    ),
    "sag_check.rate_unlikely": N_(
        "{typed} N/mm is far from the {low} to {high} N/mm that this bike could need. Only {least} to {most} N/mm can "
        "be used. Read the rate on the spring again and check its unit."
    ),
    "sag_check.rate_other_unit": N_(
        "{typed} N/mm is far from the {low} to {high} N/mm that this bike could need. Only {least} to {most} N/mm can "
        "be used. If the spring says {typed} lb/in, that is {rate} N/mm: enter that."
    ),
    # what to do after a sag check
    "sag_no_spring": N_(
        "Do not ride with this spring: its coils touch before the end of the travel. Turn the preload back, take it "
        "off and ask for a spring of about {rate} N/mm ({pounds} lb/in) with a stroke of at least {needed} mm."
    ),
    "sag_at_limit.coil": N_(
        "{rate} N/mm ({pounds} lb/in) with {preload} mm of preload is as close as the springs entered get. It sags "
        "about {sag} mm, the target is {target} mm. The cautions say what to do instead."
    ),
    "sag_settled.coil": N_(
        "Done, ride it: with {rate} N/mm ({pounds} lb/in) and {preload} mm of preload it sags about {sag} mm (likely "
        "{low} to {high}), close enough to the target of {target} mm."
    ),
    "sag_again.coil": N_(
        "Leave the spring of {rate} N/mm ({pounds} lb/in) and its {preload} mm of preload and measure again. This "
        "reading fits neither the earlier checks nor the target of {target} mm. If it reads the same again, open the "
        "history and strike out what was a slip."
    ),
    "sag_preload_more": N_(
        "Set more preload, {preload} mm in total. Sag should then be {sag} mm, likely {low} to {high}. Measure again."
    ),
    "sag_preload_more.turns": N_(
        "Set more preload, {preload} mm in total (turns: {turns}). Sag should then be {sag} mm, likely {low} to "
        "{high}. Measure again."
    ),
    "sag_preload_less": N_(
        "Set less preload, {preload} mm in total. Sag should then be {sag} mm, likely {low} to {high}. Measure again."
    ),
    "sag_preload_less.turns": N_(
        "Set less preload, {preload} mm in total (turns: {turns}). Sag should then be {sag} mm, likely {low} to "
        "{high}. Measure again."
    ),
    "sag_spring": N_(
        "Fit a spring of {rate} N/mm ({pounds} lb/in) with {preload} mm of preload. Turn the preload back before you "
        "take the old spring off. Sag should then be {sag} mm, likely {low} to {high}. Measure again."
    ),
    "sag_spring.turns": N_(
        "Fit a spring of {rate} N/mm ({pounds} lb/in) with {preload} mm of preload (turns: {turns}). Turn the preload "
        "back before you take the old spring off. Sag should then be {sag} mm, likely {low} to {high}. Measure again."
    ),
    "sag_before_rebound.coil": N_(
        "The sag of the coil spring is not measured yet. Set the spring first, then measure the sag, then set the "
        "rebound: another spring rate asks for other clicks."
    ),
    "order_of_work.coil": N_(
        "Keep to one order: set the springs of fork and shock, then measure the sag of both, then set the rebound of "
        "both."
    ),
    # what goes with another rate
    "rebound_follows.more.coil": N_(
        "The rate of the coil spring moves by {percent} %, and it pushes back harder. Change the rebound with it, from "
        "{before} to {out} of {total} clicks out from fully closed."
    ),
    "rebound_follows.less.coil": N_(
        "The rate of the coil spring moves by {percent} %, and it pushes back less. Change the rebound with it, from "
        "{before} to {out} of {total} clicks out from fully closed."
    ),
    "rebound_stays.more.coil": N_(
        "The rate of the coil spring moves by {percent} %, and it pushes back harder. That is worth less than one "
        "click, so the rebound stays as it is."
    ),
    "rebound_stays.less.coil": N_(
        "The rate of the coil spring moves by {percent} %, and it pushes back less. That is worth less than one "
        "click, so the rebound stays as it is."
    ),
    # after the ride
    "ride_sag_check.coil": N_(
        "First measure the sag of the coil spring. Rate and preload are only worth changing from a known sag. Then "
        "ride the same stretch and answer again."
    ),
    "ride_sag_target.more.coil": N_(
        "Change the coil spring to {rate} N/mm ({pounds} lb/in) with {preload} mm of preload. Sag is {points} % of the "
        "travel more, {sag} mm. Change nothing else, ride the same stretch, then answer again."
    ),
    "ride_sag_target.less.coil": N_(
        "Change the coil spring to {rate} N/mm ({pounds} lb/in) with {preload} mm of preload. Sag is {points} % of the "
        "travel less, {sag} mm. Change nothing else, ride the same stretch, then answer again."
    ),
    "ride_spring_rate.more": N_(
        "A coil spring has no volume spacers: fit the next firmer spring, {rate} N/mm ({pounds} lb/in), with {preload} "
        "mm of preload. Sag is then about {sag} mm. Turn the preload back before you take the old spring off. Change "
        "nothing else, ride the same stretch, then answer again."
    ),
    "ride_spring_rate.less": N_(
        "Fit the next softer spring, {rate} N/mm ({pounds} lb/in), with {preload} mm of preload. Sag is then about "
        "{sag} mm. Turn the preload back before you take the old spring off. Change nothing else, ride the same "
        "stretch, then answer again."
    ),
    # another travel
    "travel.coil": N_(
        "This fork has a coil main spring. Its travel is not changed with the travel spacers of an air spring. Ask a "
        "qualified mechanic which parts its manual allows, then make a new setup with the new travel."
    ),
}
