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
    # the pushes are refused
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
        "Going down, the force falls from {before} N at {first} mm to {after} N at {second} mm. Springs push "
        "harder the further they go in. Push again."
    ),
    "pushes.falling_up": N_(
        "Coming up, the force is {after} N at {second} mm and {before} N at {first} mm. Springs push harder the "
        "further they go in. Push again."
    ),
    "pushes.crossed": N_(
        "At {x} mm, coming up takes {up} N, more than the {down} N of going down. Friction works the other way. "
        "Swap the two numbers, or push again."
    ),
    "pushes.fork_at_wheel": N_("Push a fork along its legs, upright on the scale. Choose the fork itself."),
    "pushes.beyond": N_("A push of {x} mm is as far as the travel of {travel} mm or further. Check the number."),
    "pushes.close": N_(
        "These pushes are too close together. Spread them over the travel of {travel} mm: about 15, 30, 50 and 70 %."
    ),
    "pushes.friction": N_(
        "Half the difference between going down and coming up is {friction} N, more than {most} N. Wait about 30 "
        "seconds before you read each force. If it stays so, have seals and bushings checked."
    ),
    "pushes.no_spring.more": N_(
        "No air spring of this kind gives these forces: at {x} mm it is {off} N more than the nearest one, and "
        "{allowed} N are allowed. Check pressure, travel and this push, or push again."
    ),
    "pushes.no_spring.less": N_(
        "No air spring of this kind gives these forces: at {x} mm it is {off} N less than the nearest one, and "
        "{allowed} N are allowed. Check pressure, travel and this push, or push again."
    ),
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
    "caution.scale_unlikely": N_(
        "Your scale puts {share} % of rider and kit on the front wheel. That is not a realistic riding position. "
        "Stand level on the pedals, with the other wheel at the same height, and weigh again."
    ),
}
