"""What is not known of an end with a coil main spring: the push of the damper's gas. The rate is what is chosen."""

from __future__ import annotations

import math
from dataclasses import dataclass
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
    most = min(CoilRoom(end).entered_max_mm, max(0.0, CoilRoom(end).bind_mm))
    return min(c.LEAST_PRELOAD[name_of(end)].value, most), most


@dataclass(frozen=True, slots=True)
class CoilRoom:
    """How far the coil of an end may be squeezed."""

    end: FrontEnd | RearEnd

    @property
    def entered_max_mm(self) -> float:
        """The greatest preload [mm] by the manual as entered, else our cautious estimate; coil bind left aside."""
        entered = self.end.preload_mm_max
        return c.ASSUMED_MAX_PRELOAD[name_of(self.end)].value if entered is None else entered

    @property
    def bind_mm(self) -> float:
        """The preload [mm] at which the coils touch at the end of the travel; negative where they touch before.

        Infinite where the stroke of the spring is not known.
        """
        stroke = self.end.coil_stroke_mm
        return math.inf if stroke is None else stroke - self.end.compression_mm

    @property
    def stroke_needed_mm(self) -> float | None:
        """The stroke that a spring needs [mm] where the one entered is too short to be fitted, else None."""
        least = c.LEAST_PRELOAD[name_of(self.end)].value
        return self.end.compression_mm + least if self.bind_mm < least else None
