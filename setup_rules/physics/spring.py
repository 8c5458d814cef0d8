"""What the rules ask of any spring, and of what is set on it: an air spring, or a coil.

A `Spring` is what stands between wheel and frame: force, rate and work over compression, and the sag under a
load. A `Setting` is what a mechanic sets on it at the bench (air pressure, or the rate of a coil) and what that becomes
on the ride. One number, or one a drawn spring, stands for it: the *acting* value, in
the spring's own SI unit. A new kind of spring is a new module with these two, chosen in `EndModel`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from setup_rules.physics.linkage import Leverage
from setup_rules.types.request import Conditions

#: From a compression [m] to gain, its slope, offset and its slope there.
Parts = Callable[[Any], tuple[Any, Any, Any, Any]]


@dataclass(frozen=True, slots=True)
class Site:
    """Surroundings of the spring: absolute ambient pressure [Pa], and the pressure in the lower legs [Pa, absolute].

    The lower legs were closed at the bench, so their pressure fully extended need not be today's ambient.
    """

    ambient_pa: float
    leg_pa: float


class Spring(Protocol):
    """A spring's internals, and what follows from them; floats, or equal-length arrays for many drawn springs.

    Compression is from fully extended [m], force [N] positive when the spring pushes out. `acting` is the setting as
    it acts there: for an air spring the absolute set pressure [Pa], for a coil its rate [N/m].
    """

    @property
    def least_acting(self) -> float:
        """Least acting value at which a resting place is sought."""

    @property
    def travel_m(self) -> Any:
        """How far the spring can compress [m]."""

    def force_n(self, x_m: Any, acting: Any, site: Site, exponent: float = 1.0, /) -> Any:
        """Return the force [N] at a compression."""

    def rate_n_per_m(self, x_m: Any, acting: Any, site: Site, exponent: float = 1.0, /) -> Any:
        """Return the rate dF/dx [N/m] at a compression."""

    def work_j(self, x_m: Any, acting: Any, site: Site, exponent: float = 1.0, /) -> Any:
        """Return the work [J] stored between full extension and a compression."""

    def settled_parts(self, x_m: Any, site: Site, /) -> tuple[Any, Any, Any, Any]:
        """Return gain, its slope, offset and its slope: the settled force is acting·gain + offset."""

    def prepare_parts(self, site: Site, /) -> Parts:
        """Return `settled_parts` at a site as a function of compression alone, for a search that asks often."""

    def sag_m(self, acting: Any, load_n: Any, site: Site, leverage: Leverage, start_m: Any | None = None, /) -> Any:
        """Return the settled compression [m] under a load [N] at the wheel."""


class Setting(Protocol):
    """What is set on a spring at the bench, and what it becomes elsewhere: the same spring, other weather.

    A bench value is what the mechanic reads: for an air spring the pump's gauge pressure [Pa], for a coil its rate
    [N/m].
    """

    def acting(self, bench_value: Any, there: Conditions, /) -> Any:
        """Return the setting as it acts elsewhere, for what was set at the bench."""

    def bench_value(self, acting: Any, there: Conditions, /) -> Any:
        """Return what to set at the bench for a setting that acts elsewhere."""

    def shown(self, acting: Any, there: Conditions, /) -> Any:
        """Return what the mechanic's instrument would show elsewhere for a setting that acts there."""

    def least(self, there: Conditions, /) -> float:
        """Return the lowest setting that can act there."""

    def site(self, there: Conditions, /) -> Site:
        """Return the surroundings there of a spring that was set at the bench."""
