"""The damping of a whole answer against the motion of its wheel in python-control: poles of a two-port model.

Source: a linkage is a two-port (velocity in, velocity/LR out; force back by the same ratio, which keeps the power), a
spring and a damper side by side are its load, a mass closes the loop: any text on system dynamics. Poles and their
damping ratios by `python-control`. Spring forces are those of `on_paper`, so the stiffness of a linkage whose ratio
changes comes from differences of wheel forces.

Confirmed: recomputed here.

Tolerance: 0.2 % of the ratio.
"""

from __future__ import annotations

import math

import control
import numpy as np
import pytest

from setup_rules import read_request, recommend
from tests.published import worked_classes, worked_forks, worked_forks_elsewhere, worked_shocks
from tests.published.on_paper import moved
from tests.published.worked_sheet import Sheet

SHEETS = {
    name.lower(): sheet
    for module in (worked_forks, worked_forks_elsewhere, worked_shocks, worked_classes)
    for name, sheet in vars(module).items()
    if isinstance(sheet, Sheet)
}


def body_over_wheel(sheet: Sheet, damping: float) -> control.StateSpace:
    """Return the mass over its wheel, closed through the two-port: states height [m] and speed [m/s]."""
    x, step = sheet.answer.rest + sheet.answer.sag, 1e-3
    quick = moved(sheet.chambers, sheet.places, sheet.answer.psi, x)
    # How far the body moves a millimetre of spring: LR behind, the sine of the head angle in front.
    through = sheet.leverage if sheet.lever else lambda _: math.sin(math.radians(sheet.angle))
    at_body = [quick(side * step) / through(x + side * step) for side in (-1, 1)]
    stiffness = (at_body[1] - at_body[0]) / (2 * step * through(x)) * 1000  # N/m at the body
    shaft_speed = control.ss([], [], [], [[1.0 / through(x)]])  # the two-port, forwards: body speed to shaft speed
    shaft_force = control.ss([], [], [], [[damping]])  # the damper
    body_force = control.ss([], [], [], [[1.0 / through(x)]])  # the two-port, backwards: shaft force to body force
    brake = control.series(shaft_speed, shaft_force, body_force)
    mass = sheet.answer.mass
    oscillator = control.ss([[0.0, 1.0], [-stiffness / mass, 0.0]], [[0.0], [1.0 / mass]], [[0.0, 1.0]], [[0.0]])
    return control.feedback(oscillator, brake)


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
@pytest.mark.usefixtures("central_values")
def test_the_wheel_moves_with_the_damping_ratio_of_the_style(sheet: Sheet) -> None:
    (end,) = recommend(read_request(sheet.body)).ends()
    assert end.rebound is not None
    closed = body_over_wheel(sheet, end.rebound.damping_n_s_per_m)
    _, ratios, _ = control.damp(closed, doprint=False)
    assert np.asarray(ratios) == pytest.approx(sheet.ratio, rel=2e-3)
