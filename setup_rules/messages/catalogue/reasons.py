"""The reasons that go with a setup: why each number is what it is."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, NN_, Template

SENTENCES: Final[dict[str, Template]] = {
    "load.fork": N_(
        "The fork carries {share} % of rider and kit and nearly half of the {bike} kg bike, without the parts below "
        "the spring: {load} N along the legs."
    ),
    "load.shock": N_(
        "The shock carries {share} % of rider and kit and about half of the {bike} kg bike, without the parts below "
        "the spring, times the leverage ratio at sag: {load} N along the shock."
    ),
    "spring.entered": N_("The spring follows from what was entered: bore {bore} mm, positive chamber {volume} cm³."),
    "spring.fork.stanchion_entered.air": N_(
        "What was not entered is taken from forks with {stanchion} mm stanchions and an air negative spring. How much "
        "your fork differs is the main part of the range."
    ),
    "spring.fork.stanchion_entered.coil": N_(
        "What was not entered is taken from forks with {stanchion} mm stanchions and a coil negative spring. How much "
        "your fork differs is the main part of the range."
    ),
    "spring.fork.stanchion_usual.air": N_(
        "What was not entered is taken from forks with {stanchion} mm stanchions, usual for this travel, and an air "
        "negative spring. How much your fork differs is the main part of the range."
    ),
    "spring.fork.stanchion_usual.coil": N_(
        "What was not entered is taken from forks with {stanchion} mm stanchions, usual for this travel, and a coil "
        "negative spring. How much your fork differs is the main part of the range."
    ),
    "spring.shock": N_(
        "What was not entered is taken from common shocks (bore {low} to {high} mm). How much your shock differs is "
        "the main part of the range."
    ),
    "shop_checks.as_typical.fork": NN_(
        "The shop's {count} first sag check: forks of this size need what we estimated.",
        "The shop's {count} first sag checks: forks of this size need what we estimated.",
    ),
    "shop_checks.more.fork": NN_(
        "The shop's {count} first sag check: forks of this size need {percent} % more pressure than our estimate.",
        "The shop's {count} first sag checks: forks of this size need {percent} % more pressure than our estimate.",
    ),
    "shop_checks.less.fork": NN_(
        "The shop's {count} first sag check: forks of this size need {percent} % less pressure than our estimate.",
        "The shop's {count} first sag checks: forks of this size need {percent} % less pressure than our estimate.",
    ),
    "shop_checks.as_typical.shock": NN_(
        "The shop's {count} first sag check: shocks of this size need what we estimated.",
        "The shop's {count} first sag checks: shocks of this size need what we estimated.",
    ),
    "shop_checks.more.shock": NN_(
        "The shop's {count} first sag check: shocks of this size need {percent} % more pressure than our estimate.",
        "The shop's {count} first sag checks: shocks of this size need {percent} % more pressure than our estimate.",
    ),
    "shop_checks.less.shock": NN_(
        "The shop's {count} first sag check: shocks of this size need {percent} % less pressure than our estimate.",
        "The shop's {count} first sag checks: shocks of this size need {percent} % less pressure than our estimate.",
    ),
    "pressure.fork": N_(
        "{psi} psi (gauge, fully extended, after cycling) balances that load at the target sag. Most forks like this "
        "need {low} to {high} psi."
    ),
    "pressure.shock": N_(
        "{psi} psi (gauge, fully extended, after cycling) balances that load at the target sag. Most shocks like this "
        "need {low} to {high} psi."
    ),
    "pressure.cut.fork": N_(
        "{psi} psi (gauge, fully extended, after cycling) balances that load at the target sag. Forks like this need "
        "{low} psi or more, some of them more than the maximum of {high} psi: never pump above it."
    ),
    "pressure.cut.shock": N_(
        "{psi} psi (gauge, fully extended, after cycling) balances that load at the target sag. Shocks like this need "
        "{low} psi or more, some of them more than the maximum of {high} psi: never pump above it."
    ),
    "pressure.checked.fork": N_(
        "{psi} psi (gauge, fully extended, after cycling) balances that load at the target sag. By its sag checks, "
        "this fork needs {low} to {high} psi."
    ),
    "pressure.checked.shock": N_(
        "{psi} psi (gauge, fully extended, after cycling) balances that load at the target sag. By its sag checks, "
        "this shock needs {low} to {high} psi."
    ),
    "pressure.limited.fork": N_(
        "{psi} psi (gauge, fully extended, after cycling) is as far as the limits of the fork go. The target sag "
        "cannot be reached with it."
    ),
    "pressure.limited.shock": N_(
        "{psi} psi (gauge, fully extended, after cycling) is as far as the limits of the shock go. The target sag "
        "cannot be reached with it."
    ),
    "pressure.limited.fork.near": N_(
        "{psi} psi (gauge, fully extended, after cycling) is as far as the limits of the fork go. The sag is close "
        "enough to the target with it."
    ),
    "pressure.limited.shock.near": N_(
        "{psi} psi (gauge, fully extended, after cycling) is as far as the limits of the shock go. The sag is close "
        "enough to the target with it."
    ),
    "sag.entered": N_("The target sag of {percent} % was entered."),
    "sag.style.fork": N_(
        "Target sag of {percent} % of the travel: the middle of {low} to {high} % for this riding style."
    ),
    "sag.style.shock": N_(
        "Target sag of {percent} % of the stroke: the middle of {low} to {high} % for this riding style."
    ),
    "gap.bike_at_rest": N_(
        "Sag is the gap between seal and O-ring after you step off, with the bike standing on its wheels without you."
    ),
    "gap.wheel_off_ground": N_(
        "Sag is the gap between seal and O-ring after you step off, read with the wheel lifted off the ground."
    ),
    "conditions": N_(
        "Set at {bench_c} °C and {bench_m} m. At {ride_c} °C and {ride_m} m a gauge would show {psi} psi. The start "
        "pressure already allows for it."
    ),
    "chart.inside": N_(
        "The chart gives {psi} psi for the weight that it means, taken as meant for {sag} % sag at 20 °C near sea "
        "level. Chart and fitted spring agree within {fit} %."
    ),
    "chart.outside": N_(
        "The weight is beyond the chart, which ends at {end} kg with {psi} psi. The spring model continues from there. "
        "Chart and fitted spring agree within {fit} %."
    ),
    # how many clicks: two adjusters, what is known of them, and whether they reach far enough
    "clicks.rebound": N_(
        "Rebound {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed about the middle of a "
        "usual adjuster."
    ),
    "clicks.rebound.at_end": N_(
        "Rebound {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed about the middle of a "
        "usual adjuster. This is the end of the adjuster, and more would be needed."
    ),
    "clicks.rebound.not_counted": N_(
        "Rebound {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed about the middle of a "
        "usual adjuster. The number of clicks was not entered. Count yours and set the same share of them."
    ),
    "clicks.rebound.not_counted.at_end": N_(
        "Rebound {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed about the middle of a "
        "usual adjuster. The number of clicks was not entered. Count yours and set the same share of them. This is "
        "the end of the adjuster, and more would be needed."
    ),
    "clicks.rebound.points": N_(
        "Rebound {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed between the two points "
        "entered."
    ),
    "clicks.rebound.points.at_end": N_(
        "Rebound {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed between the two points "
        "entered. This is the end of the adjuster, and more would be needed."
    ),
    "clicks.rebound.points.not_counted": N_(
        "Rebound {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed between the two points "
        "entered. The number of clicks was not entered. Count yours and set the same share of them."
    ),
    "clicks.rebound.points.not_counted.at_end": N_(
        "Rebound {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed between the two points "
        "entered. The number of clicks was not entered. Count yours and set the same share of them. This is the end "
        "of the adjuster, and more would be needed."
    ),
    "clicks.compression": N_(
        "Compression {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed about the middle "
        "of a usual adjuster."
    ),
    "clicks.compression.at_end": N_(
        "Compression {out} of {total} clicks out from fully closed: {damping} N·s/m wanted, placed about the middle "
        "of a usual adjuster. This is the end of the adjuster, and more would be needed."
    ),
    # what sag checks taught
    "learned.as_assumed.fork": NN_(
        "From one sag check: this fork needs what was assumed, within 1 %. Friction is about {friction} N.",
        "From {count} sag checks: this fork needs what was assumed, within 1 %. Friction is about {friction} N.",
    ),
    "learned.as_assumed.shock": NN_(
        "From one sag check: this shock needs what was assumed, within 1 %. Friction is about {friction} N.",
        "From {count} sag checks: this shock needs what was assumed, within 1 %. Friction is about {friction} N.",
    ),
    "learned.more.fork": NN_(
        "From one sag check: this fork needs about {percent} % more pressure than was first assumed. Friction is "
        "about {friction} N.",
        "From {count} sag checks: this fork needs about {percent} % more pressure than was first assumed. Friction is "
        "about {friction} N.",
    ),
    "learned.more.shock": NN_(
        "From one sag check: this shock needs about {percent} % more pressure than was first assumed. Friction is "
        "about {friction} N.",
        "From {count} sag checks: this shock needs about {percent} % more pressure than was first assumed. Friction "
        "is about {friction} N.",
    ),
    "learned.less.fork": NN_(
        "From one sag check: this fork needs about {percent} % less pressure than was first assumed. Friction is "
        "about {friction} N.",
        "From {count} sag checks: this fork needs about {percent} % less pressure than was first assumed. Friction is "
        "about {friction} N.",
    ),
    "learned.less.shock": NN_(
        "From one sag check: this shock needs about {percent} % less pressure than was first assumed. Friction is "
        "about {friction} N.",
        "From {count} sag checks: this shock needs about {percent} % less pressure than was first assumed. Friction "
        "is about {friction} N.",
    ),
    # what earlier riders of the same bike taught
    "learned_bike.as_assumed.fork": NN_(
        "From the sag checks of one earlier rider of this bike: its fork needs what is typical, within 1 %.",
        "From the sag checks of {count} earlier riders of this bike: its fork needs what is typical, within 1 %.",
    ),
    "learned_bike.as_assumed.shock": NN_(
        "From the sag checks of one earlier rider of this bike: its shock needs what is typical, within 1 %.",
        "From the sag checks of {count} earlier riders of this bike: its shock needs what is typical, within 1 %.",
    ),
    "learned_bike.more.fork": NN_(
        "From the sag checks of one earlier rider of this bike: its fork needs about {percent} % more pressure "
        "than is typical.",
        "From the sag checks of {count} earlier riders of this bike: its fork needs about {percent} % more pressure "
        "than is typical.",
    ),
    "learned_bike.more.shock": NN_(
        "From the sag checks of one earlier rider of this bike: its shock needs about {percent} % more pressure "
        "than is typical.",
        "From the sag checks of {count} earlier riders of this bike: its shock needs about {percent} % more pressure "
        "than is typical.",
    ),
    "learned_bike.less.fork": NN_(
        "From the sag checks of one earlier rider of this bike: its fork needs about {percent} % less pressure "
        "than is typical.",
        "From the sag checks of {count} earlier riders of this bike: its fork needs about {percent} % less pressure "
        "than is typical.",
    ),
    "learned_bike.less.shock": NN_(
        "From the sag checks of one earlier rider of this bike: its shock needs about {percent} % less pressure "
        "than is typical.",
        "From the sag checks of {count} earlier riders of this bike: its shock needs about {percent} % less pressure "
        "than is typical.",
    ),
    # what riders of other specimens of the same fork or shock taught
    "learned_unit.as_assumed.fork": NN_(
        "From the sag checks of one rider on another bike with this fork: it needs what is typical, within 1 %.",
        "From the sag checks of {count} riders on other bikes with this fork: it needs what is typical, within 1 %.",
    ),
    "learned_unit.as_assumed.shock": NN_(
        "From the sag checks of one rider on another bike with this shock: it needs what is typical, within 1 %.",
        "From the sag checks of {count} riders on other bikes with this shock: it needs what is typical, within 1 %.",
    ),
    "learned_unit.more.fork": NN_(
        "From the sag checks of one rider on another bike with this fork: "
        "it needs about {percent} % more pressure than is typical.",
        "From the sag checks of {count} riders on other bikes with this fork: "
        "it needs about {percent} % more pressure than is typical.",
    ),
    "learned_unit.more.shock": NN_(
        "From the sag checks of one rider on another bike with this shock: "
        "it needs about {percent} % more pressure than is typical.",
        "From the sag checks of {count} riders on other bikes with this shock: "
        "it needs about {percent} % more pressure than is typical.",
    ),
    "learned_unit.less.fork": NN_(
        "From the sag checks of one rider on another bike with this fork: "
        "it needs about {percent} % less pressure than is typical.",
        "From the sag checks of {count} riders on other bikes with this fork: "
        "it needs about {percent} % less pressure than is typical.",
    ),
    "learned_unit.less.shock": NN_(
        "From the sag checks of one rider on another bike with this shock: "
        "it needs about {percent} % less pressure than is typical.",
        "From the sag checks of {count} riders on other bikes with this shock: "
        "it needs about {percent} % less pressure than is typical.",
    ),
}
