"""A coil main spring: force, rate and work over compression, and its setting, the spring's rate.

F(x) = k·(x + x_p) + F_gas: a straight spring squeezed by the preload x_p when fully extended, beside the push of the
damper's gas. As in `air_spring` the force is linear in what is set, here the rate k, so that the same search finds the
rate for a sag. A fork's coil is usually in one leg and is one spring here. Left out, as no figures for them are known:
air shut into the legs, an air-assisted bottom-out, progressive windings, and a top-out spring.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np

from setup_rules.physics.atmosphere import ambient_pressure_pa
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.settling import settle
from setup_rules.physics.spring import Parts, Site
from setup_rules.types.request import Conditions


@dataclass(frozen=True, slots=True)
class CoilSpring:
    """A coil's place in fork or shock, in SI units; floats or equal-length arrays. Its rate is the acting setting.

    `preload_m` is how far the spring is squeezed at full extension. `gas_force_n` is what the gas in the damper pushes
    the shaft out with, the same over the whole travel.
    """

    least_acting: ClassVar[float] = 1.0

    travel_m: Any
    preload_m: Any = 0.0
    gas_force_n: Any = 0.0

    def force_n(self, x_m: Any, rate_n_per_m: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the force at a compression; above zero pushes out.

        F(x) = k·(x + x_p) + F_gas

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        rate_n_per_m : float or array [N/m]
            Rate of the spring, above zero.
        site : Site
            Surroundings, which move no coil.
        exponent : float [-]
            Of a gas: a coil has none.

        Returns
        -------
        float or array [N]

        Examples
        --------
        >>> shock = CoilSpring(travel_m=0.055, preload_m=0.002)
        >>> round(shock.force_n(0.0165, 80_000.0, Site(101_325.0, 101_325.0)), 6)
        1480.0

        References
        ----------
        Hooke's law.
        """
        return rate_n_per_m * (x_m + self.preload_m) + self.gas_force_n

    def rate_n_per_m(self, x_m: Any, rate_n_per_m: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the rate at a compression, the same everywhere.

        dF/dx = k

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        rate_n_per_m : float or array [N/m]
            Rate of the spring, above zero.
        site : Site
            Surroundings, which move no coil.
        exponent : float [-]
            Of a gas: a coil has none.

        Returns
        -------
        float or array [N/m]
            Of the shape of both.

        Examples
        --------
        >>> float(CoilSpring(travel_m=0.055).rate_n_per_m(0.0165, 80_000.0, Site(101_325.0, 101_325.0)))
        80000.0

        References
        ----------
        Hooke's law.
        """
        return rate_n_per_m + np.zeros_like(x_m)

    def work_j(self, x_m: Any, rate_n_per_m: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the work stored between full extension and a compression, friction left out.

        W = ½·k·((x + x_p)² − x_p²) + F_gas·x

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        rate_n_per_m : float or array [N/m]
            Rate of the spring, above zero.
        site : Site
            Surroundings, which move no coil.
        exponent : float [-]
            Of a gas: a coil has none.

        Returns
        -------
        float or array [J]

        Examples
        --------
        >>> round(CoilSpring(travel_m=0.055).work_j(0.05, 80_000.0, Site(101_325.0, 101_325.0)), 6)
        100.0

        References
        ----------
        Work of a straight spring, any text on mechanics.
        """
        squeezed = x_m + self.preload_m
        return 0.5 * rate_n_per_m * (squeezed**2 - self.preload_m**2) + self.gas_force_n * x_m

    def settled_parts(self, x_m: Any, site: Site) -> tuple[Any, Any, Any, Any]:
        """Return gain, its slope, offset and its slope at a compression.

        F(x) = k·gain + offset with gain = x + x_p and offset = F_gas

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        site : Site
            Surroundings, which move no coil.

        Returns
        -------
        tuple of float or array [m, -, N, N/m]

        Examples
        --------
        >>> shock, here = CoilSpring(travel_m=0.055, preload_m=0.5), Site(101_325.0, 101_325.0)
        >>> shock.settled_parts(0.25, here)
        (0.75, 1.0, 0.0, 0.0)

        References
        ----------
        Hooke's law.
        """
        return x_m + self.preload_m, 1.0, self.gas_force_n, 0.0

    def prepare_parts(self, site: Site) -> Parts:
        """Return `settled_parts` at a site as a function of compression [m] alone."""
        return lambda x_m: self.settled_parts(x_m, site)

    def sag_m(self, rate_n_per_m: Any, load_n: Any, site: Site, leverage: Leverage, start_m: Any | None = None) -> Any:
        """Return the settled compression under a load at the wheel, between 0 and the travel.

        Solves k·(x + x_p) + F_gas = W·LR(x)

        Parameters
        ----------
        rate_n_per_m : float or array [N/m]
            Rate of the spring, above zero.
        load_n : float or array [N]
            At the wheel behind, along the legs in front.
        site : Site
            Surroundings.
        leverage : Leverage
            Leverage over stroke; 1 throughout for a fork.
        start_m : float or array [m], optional
            Where the search begins, a quarter of the travel if not given.

        Returns
        -------
        float or array [m]

        Examples
        --------
        >>> here, fork = Site(101_325.0, 101_325.0), Leverage()
        >>> round(1000 * float(CoilSpring(0.14, 0.005).sag_m(8000.0, 280.0, here, fork)), 6)
        30.0

        References
        ----------
        Hooke's law; force balance.
        """
        parts = (rate_n_per_m, load_n, self.travel_m, self.preload_m, self.gas_force_n)
        travel = np.broadcast_to(self.travel_m, np.broadcast_shapes(*(np.shape(v) for v in parts)))
        settled = lambda x: (self.force_n(x, rate_n_per_m, site), rate_n_per_m)  # noqa: E731 one use, one line
        return settle(settled, load_n, leverage, travel, start_m)


class CoilRate:
    """The rate of a coil [N/m] as a spring's `Setting`: steel does not mind weather or altitude."""

    __slots__ = ()

    def acting(self, rate_n_per_m: Any, there: Conditions) -> Any:
        """Return the rate elsewhere of a spring that was fitted at the bench: the same.

        k = k_bench

        Parameters
        ----------
        rate_n_per_m : float or array [N/m]
            As it was fitted, above zero.
        there : Conditions
            Its weather and altitude do not count.

        Returns
        -------
        float or array [N/m]

        Examples
        --------
        >>> CoilRate().acting(82_000.0, Conditions(temperature_c=-10.0, altitude_m=2000.0))
        82000.0

        References
        ----------
        Hooke's law: the stiffness of steel moves by less than 0.3 % in 10 K, which is left out (remembered).
        """
        return rate_n_per_m

    def bench_value(self, rate_n_per_m: Any, there: Conditions) -> Any:
        """Return the rate to fit for a rate that acts elsewhere: the same.

        k_bench = k

        Parameters
        ----------
        rate_n_per_m : float or array [N/m]
            Wanted elsewhere, above zero.
        there : Conditions
            Its weather and altitude do not count.

        Returns
        -------
        float or array [N/m]

        Examples
        --------
        >>> CoilRate().bench_value(82_000.0, Conditions(temperature_c=-10.0, altitude_m=2000.0))
        82000.0

        References
        ----------
        Hooke's law: the stiffness of steel moves by less than 0.3 % in 10 K, which is left out (remembered).
        """
        return rate_n_per_m

    def shown(self, rate_n_per_m: Any, there: Conditions) -> Any:
        """Return what is printed on the spring: its rate.

        k

        Parameters
        ----------
        rate_n_per_m : float or array [N/m]
            As it acts, above zero.
        there : Conditions
            Its weather and altitude do not count.

        Returns
        -------
        float or array [N/m]

        Examples
        --------
        >>> CoilRate().shown(82_000.0, Conditions(temperature_c=-10.0, altitude_m=2000.0))
        82000.0

        References
        ----------
        Hooke's law: the stiffness of steel moves by less than 0.3 % in 10 K, which is left out (remembered).
        """
        return rate_n_per_m

    def least(self, there: Conditions) -> float:
        """Return the lowest rate that can act: hardly a spring.

        k = 1 N/m

        Parameters
        ----------
        there : Conditions
            Its weather and altitude do not count.

        Returns
        -------
        float [N/m]

        Examples
        --------
        >>> CoilRate().least(Conditions())
        1.0

        References
        ----------
        Definition.
        """
        return CoilSpring.least_acting

    def site(self, there: Conditions) -> Site:
        """Return the surroundings there, which move no coil."""
        ambient = ambient_pressure_pa(there.altitude_m)
        return Site(ambient, ambient)
