"""What is not known of an end with a coil main spring: the push of the damper's gas. The rate is what is chosen."""

from __future__ import annotations

from typing import Any

from setup_rules.inference.size_class import COLUMN, uniform_quantile
from setup_rules.physics.coil_spring import CoilSpring
from setup_rules.types import constants as c
from setup_rules.types.request import EndName, FrontEnd, RearEnd


def draw_coil(end: FrontEnd | RearEnd, z: Any, preload_m: float) -> CoilSpring:
    """Return an end's coil springs for rows of unknowns z, shape (…, number of unknowns), all with one preload."""
    gas = uniform_quantile(z[..., COLUMN["gas"]], c.GAS_FORCE[name_of(end)])
    return CoilSpring(end.compression_mm / 1000, preload_m, gas)


def name_of(end: FrontEnd | RearEnd) -> EndName:
    """Return which end it is."""
    return "front" if isinstance(end, FrontEnd) else "rear"


def preload_limits_mm(end: FrontEnd | RearEnd) -> tuple[float, float]:
    """Return the least and the greatest preload: as practice and manual have it, and never into coil bind.

    most = min(manual's limit, stroke of the spring − travel), least = min(practice, most)

    Parameters
    ----------
    end : FrontEnd or RearEnd
        With `preload_mm_max` and `coil_stroke_mm` where known.

    Returns
    -------
    tuple of float [mm]
        Both 0 where the spring binds before the end of the travel.

    Examples
    --------
    >>> shock = RearEnd(stroke_mm=55.0, leverage_start=2.8, spring="coil", preload_mm_max=4.0, coil_stroke_mm=57.0)
    >>> preload_limits_mm(shock)
    (1.0, 2.0)

    References
    ----------
    Geometry: shock and spring are squeezed together; common practice, no source, for the least.
    """
    entered, name = end.preload_mm_max, name_of(end)
    most = c.ASSUMED_MAX_PRELOAD[name].value if entered is None else entered
    if end.coil_stroke_mm is not None:
        most = min(most, max(0.0, end.coil_stroke_mm - end.compression_mm))
    return min(c.LEAST_PRELOAD[name].value, most), most
