"""A scale under a wheel and pushes on a spring: what was found, and what cannot be."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, NN_, Template

SENTENCES: Final[dict[str, Template]] = {
    # the scale is refused
    "scale.share_too": N_("Enter the scale reading or the rider's share on the front wheel, not both."),
    "scale.all_of_it": N_(
        "The scale shows {reading} kg, but rider, kit and bike together weigh {total} kg. Put only one wheel on "
        "the scale, or check the weights."
    ),
    "scale.sum": N_(
        "The scale shows {front} kg in front and {rear} kg in the rear, together {sum} kg. Rider, kit and bike "
        "weigh {total} kg. The two may differ by {allowed} kg. Weigh both wheels again, or correct the weights."
    ),
    "scale.no_stance.front": N_(
        "The scale under the front wheel shows {reading} kg. Standing on level pedals, rider, kit and bike of {total} "
        "kg put {low} to {high} kg there. Put only the front wheel on the scale and the rear wheel on a block of the "
        "same height, and weigh again. If it stays so, check the weights."
    ),
    "scale.no_stance.rear": N_(
        "The scale under the rear wheel shows {reading} kg. Standing on level pedals, rider, kit and bike of {total} "
        "kg put {low} to {high} kg there. Put only the rear wheel on the scale and the front wheel on a block of the "
        "same height, and weigh again. If it stays so, check the weights."
    ),
    # the pushes are refused
    "pushes.above_maximum.fork": N_(
        "The pushes were made at {psi} psi, above the maximum of {limit} psi of this fork. Let air out before anyone "
        "goes near it. Never pump above the maximum printed on it. Push again with less air."
    ),
    "pushes.above_maximum.shock": N_(
        "The pushes were made at {psi} psi, above the maximum of {limit} psi of this shock. Let air out before anyone "
        "goes near it. Never pump above the maximum printed on it. Push again with less air."
    ),
    "pushes.count": NN_(
        "One push is not enough. Enter {least} to {most} pushes.",
        "{count} pushes cannot be used. Enter {least} to {most} pushes.",
    ),
    "pushes.uneven": NN_(
        "There is one force for {pushes} compressions. Enter one force for each.",
        "There are {count} forces for {pushes} compressions. Enter one force for each.",
    ),
    "pushes.order": N_(
        "{after} mm of compression comes after {before} mm. Enter the pushes from the smallest to the largest."
    ),
    "pushes.falling": N_(
        "Going down, the force falls from {before} at {first} mm to {after} at {second} mm. Springs push "
        "harder the further they go in. Push again."
    ),
    "pushes.falling_up": N_(
        "Coming up, the force is {after} at {second} mm and {before} at {first} mm. Springs push harder the "
        "further they go in. Push again."
    ),
    "pushes.crossed": N_(
        "At {x} mm, coming up takes {up}, more than the {down} of going down. Friction works the other way. "
        "Swap the two numbers, or push again."
    ),
    "pushes.fork_at_wheel": N_("Push a fork along its legs, upright on the scale. Choose the fork itself."),
    "pushes.beyond": N_("A push of {x} mm is as far as the travel of {travel} mm or further. Check the number."),
    "pushes.close": N_(
        "These pushes are too close together. Spread them over the travel of {travel} mm: about 15, 30, 50 and 70 %."
    ),
    "pushes.friction": N_(
        "Half the difference between going down and coming up is {friction}, more than {most}. Wait about 30 "
        "seconds before you read each force. If it stays so, have seals and bushings checked."
    ),
    "pushes.no_spring.more.fork": N_(
        "No air fork of this kind gives these forces: at {x} mm it is {off} more than the nearest one, and {allowed} "
        "are allowed. Check pressure, travel and this push, or push again."
    ),
    "pushes.no_spring.more.shock": N_(
        "No air shock of this kind gives these forces: at {x} mm it is {off} more than the nearest one, and {allowed} "
        "are allowed. Check pressure, stroke and this push, or push again."
    ),
    "pushes.no_spring.less.fork": N_(
        "No air fork of this kind gives these forces: at {x} mm it is {off} less than the nearest one, and {allowed} "
        "are allowed. Check pressure, travel and this push, or push again."
    ),
    "pushes.no_spring.less.shock": N_(
        "No air shock of this kind gives these forces: at {x} mm it is {off} less than the nearest one, and {allowed} "
        "are allowed. Check pressure, stroke and this push, or push again."
    ),
    "pushes.wrong_unit.more.fork": N_(
        "No air fork of this kind gives these forces, but 2.2 times less would fit. Did the scale show lb where kg was "
        "entered? Type each force with its unit, such as 55 lb, or push again."
    ),
    "pushes.wrong_unit.more.shock": N_(
        "No air shock of this kind gives these forces, but 2.2 times less would fit. Did the scale show lb where kg "
        "was entered? Type each force with its unit, such as 55 lb, or push again."
    ),
    "pushes.wrong_unit.less.fork": N_(
        "No air fork of this kind gives these forces, but 2.2 times more would fit. Did the scale show kg where lb was "
        "entered? Type each force with its unit, such as 25 kg, or push again."
    ),
    "pushes.wrong_unit.less.shock": N_(
        "No air shock of this kind gives these forces, but 2.2 times more would fit. Did the scale show kg where lb "
        "was entered? Type each force with its unit, such as 25 kg, or push again."
    ),
    "label.force_in_newtons": N_("{n} N"),
    # what was found
    "scale.share.front": N_(
        "Your scale: {share} % of rider, kit and bike is on the front wheel. Our estimate was {guess} %."
    ),
    "scale.share.rear": N_(
        "Your scale: {share} % of rider, kit and bike is on the rear wheel. Our estimate was {guess} %."
    ),
    "pushes.found.fork": N_(
        "Your {count} pushes at {psi} psi show the fork's own spring. They lie within {off} N of its curve, and "
        "friction is about {friction} N."
    ),
    "pushes.found.shock": N_(
        "Your {count} pushes at {psi} psi show the shock's own spring. They lie within {off} N of its curve, and "
        "friction is about {friction} N."
    ),
    "caution.pushed_above_assumed.fork": N_(
        "The pushes were made at {psi} psi. No maximum was entered, and our cautious assumption for this fork is "
        "{limit} psi. Read the maximum printed on it and enter it. If it is lower than {psi} psi, let air out now."
    ),
    "caution.pushed_above_assumed.shock": N_(
        "The pushes were made at {psi} psi. No maximum was entered, and our cautious assumption for this shock is "
        "{limit} psi. Read the maximum printed on it and enter it. If it is lower than {psi} psi, let air out now."
    ),
    "caution.pushes_doubted.one.fork": N_(
        "The push of the fork at {x} mm lies {off} N off the curve of any air spring of this kind. Check this push, "
        "or push again."
    ),
    "caution.pushes_doubted.one.shock": N_(
        "The push of the shock at {x} mm lies {off} N off the curve of any air spring of this kind. Check this push, "
        "or push again."
    ),
    "caution.pushes_doubted.above.fork": N_(
        "The pushes of the fork lie {off} N above any air spring of this kind. Check the pressure, the travel and the "
        "zero of the scale, or push again."
    ),
    "caution.pushes_doubted.above.shock": N_(
        "The pushes of the shock lie {off} N above any air spring of this kind. Check the pressure, the stroke and "
        "the zero of the scale, or push again."
    ),
    "caution.pushes_doubted.below.fork": N_(
        "The pushes of the fork lie {off} N below any air spring of this kind. Check the pressure, the travel and the "
        "zero of the scale, or push again."
    ),
    "caution.pushes_doubted.below.shock": N_(
        "The pushes of the shock lie {off} N below any air spring of this kind. Check the pressure, the stroke and "
        "the zero of the scale, or push again."
    ),
    "caution.scale_unlikely": N_(
        "Your scale puts {share} % of rider and kit on the front wheel. That is not a realistic riding position. "
        "Stand level on the pedals, with the other wheel at the same height, and weigh again."
    ),
}
