"""Checks on the stand: what can be wrong with the readings of a leak check or with a torque."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_, Template

SENTENCES: Final[dict[str, Template]] = {
    "leak.pressure": N_("{bar} bar is outside 0 to 40 bar. Enter the pressure that the gauge shows."),
    "leak.temperature": N_("{celsius} °C is outside −30 to 60 °C. Check the temperature."),
    "leak.hours": N_("{hours} h is outside 0.25 to 2000 h. Enter the time between the two readings."),
    "leak.hose": N_("The hose must hold less air than the chamber. Check both volumes."),
    "torque.range": N_(
        "A torque of {torque} with a range of {low} to {high} cannot be checked. Enter numbers above 0, the lower one "
        "first."
    ),
}
