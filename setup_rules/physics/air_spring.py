"""The air spring: force, rate and work over compression, and set pressure to sag both ways.

`AirSpring` holds floats or equal-length arrays, so that one spring and a thousand drawn ones run through the
same lines. The set pressure is the one definition of pressure throughout: what a pump reads fully extended after
the chambers were equalised, here absolute where the name says `_abs_`. All air parts of the force scale with that
absolute pressure, so at a given compression the force is linear in it:

    F(x) = P·gain(x) + offset(x)

which makes the pressure for a load a division, not a search. Nothing is checked in here, since these lines run once
a drawn spring and step of a search: requests are checked against `setup_rules.types.limits` where they are parsed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np

from setup_rules.physics.gas import compression_ratio, work_factor
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.settling import settle
from setup_rules.physics.spring import Parts, Site

#: A load over compression that does not change: a fork.
FORK = Leverage()


@dataclass(frozen=True, slots=True)
class AirSpring:
    """An air spring's internals in SI units; floats or equal-length arrays.

    `compressed_volume_m3` is the positive chamber at full compression, volume spacers already taken off. An air
    negative has area, volume (fully extended) and port position; a coil negative has rate and working length and no
    negative area. Lower-leg air has area and volume; zero area leaves it out. `gas_force_n` is what
    the gas in the damper pushes the shaft out with, the same over the whole travel.
    """

    #: Below this pressure [Pa, absolute] the search for a resting place passes through a vacuum.
    least_acting: ClassVar[float] = 20_000.0

    travel_m: Any
    area_m2: Any
    compressed_volume_m3: Any
    negative_area_m2: Any = 0.0
    negative_volume_m3: Any = 1.0
    port_m: Any = 0.0
    coil_rate_n_per_m: Any = 0.0
    coil_length_m: Any = 0.0
    leg_area_m2: Any = 0.0
    leg_volume_m3: Any = 1.0
    gas_force_n: Any = 0.0

    @property
    def extended_volume_m3(self) -> Any:
        """Positive chamber fully extended [m³]: V(0) = V_end + A·T."""
        return self.compressed_volume_m3 + self.area_m2 * self.travel_m

    def gain_m2(self, x_m: Any, exponent: float = 1.0) -> Any:
        """Return the part of the force that is multiplied by the absolute set pressure.

        A·(V(0)/V(x))ⁿ − A_n·(V(0)/V(x_t) · V_n(x_t)/V_n(x))ⁿ, with V(x) = V(0) − A·x and V_n(x) = V_n(0) + A_n·x;
        at the port x_t both chambers have one pressure

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        exponent : float [-]
            Polytropic exponent n: 1 settled, 1.3 to 1.4 in motion.

        Returns
        -------
        float or array [m²]

        Examples
        --------
        >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, compressed_volume_m3=7.5e-5)
        >>> spring.gain_m2(0.0), round(1e4 * spring.gain_m2(0.028), 4)
        (0.0008, 9.0887)

        References
        ----------
        Force balance on a piston; Boyle's law and the polytropic relation.
        """
        start = self.extended_volume_m3
        positive = self.area_m2 * compression_ratio(start / (start - self.area_m2 * x_m), exponent)
        at_port = self.negative_volume_m3 + self.negative_area_m2 * self.port_m
        grown = self.negative_volume_m3 + self.negative_area_m2 * x_m
        port_ratio = start / (start - self.area_m2 * self.port_m)
        return positive - self.negative_area_m2 * compression_ratio(port_ratio * at_port / grown, exponent)

    def offset_n(self, x_m: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the part of the force that does not depend on the set pressure.

        F_gas + A_l·(p_l·(V_l/(V_l − A_l·x))ⁿ − p_a) − max(0, k·(x_c − x)) − (A − A_n)·p_a

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        site : Site
            Ambient pressure p_a and pressure in the lower legs p_l, fully extended.
        exponent : float [-]
            Polytropic exponent n: 1 settled, 1.3 to 1.4 in motion.

        Returns
        -------
        float or array [N]
            Below zero where ambient air and a coil negative pull the spring in.

        Examples
        --------
        >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, compressed_volume_m3=7.5e-5)
        >>> round(float(spring.offset_n(0.028, Site(101_325.0, 101_325.0))), 2)
        -81.06

        References
        ----------
        Force balance on a piston; Hooke's law; Boyle's law and the polytropic relation.
        """
        coil = self.coil_rate_n_per_m * np.maximum(0.0, self.coil_length_m - x_m)
        leg_ratio = self.leg_volume_m3 / (self.leg_volume_m3 - self.leg_area_m2 * x_m)
        leg = self.leg_area_m2 * (site.leg_pa * compression_ratio(leg_ratio, exponent) - site.ambient_pa)
        return self.gas_force_n + leg - coil - (self.area_m2 - self.negative_area_m2) * site.ambient_pa

    def force_n(self, x_m: Any, set_abs_pa: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the force at a compression; above zero pushes out.

        F(x) = P·gain(x) + offset(x)

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        set_abs_pa : float or array [Pa, absolute]
            Set pressure, fully extended after equalising.
        site : Site
            Surroundings.
        exponent : float [-]
            Polytropic exponent: 1 settled, 1.3 to 1.4 in motion.

        Returns
        -------
        float or array [N]

        Examples
        --------
        >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, compressed_volume_m3=7.5e-5)
        >>> round(float(spring.force_n(0.028, 701_325.0, Site(101_325.0, 101_325.0))), 1)
        556.4

        References
        ----------
        Force balance on a piston; Boyle's law.
        """
        return set_abs_pa * self.gain_m2(x_m, exponent) + self.offset_n(x_m, site, exponent)

    def rate_n_per_m(self, x_m: Any, set_abs_pa: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the rate at a compression.

        k = dF/dx = n·(p·A²/V + p_n·A_n²/V_n + p_l·A_l²/V_l) + k_coil, each chamber at its pressure and volume in x.
        `exponent` rules the motion about x; the chambers are taken as settled (n = 1) at x itself, as a spring
        is that stands in its sag and then moves.

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        set_abs_pa : float or array [Pa, absolute]
            Set pressure, fully extended after equalising.
        site : Site
            Surroundings.
        exponent : float [-]
            Polytropic exponent: 1 moving slowly, 1.3 to 1.4 in motion.

        Returns
        -------
        float or array [N/m]

        Examples
        --------
        >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, compressed_volume_m3=7.5e-5)
        >>> round(float(spring.rate_n_per_m(0.028, 701_325.0, Site(101_325.0, 101_325.0))))
        3098

        References
        ----------
        Gas-spring rate k = n·p·A²/V, any text on pneumatics.
        """
        start = self.extended_volume_m3
        volume = start - self.area_m2 * x_m
        rate = exponent * set_abs_pa * start / volume * self.area_m2**2 / volume
        at_port = self.negative_volume_m3 + self.negative_area_m2 * self.port_m
        grown = self.negative_volume_m3 + self.negative_area_m2 * x_m
        negative_abs = set_abs_pa * start / (start - self.area_m2 * self.port_m) * at_port / grown
        rate = rate + exponent * negative_abs * self.negative_area_m2**2 / grown
        leg = self.leg_volume_m3 - self.leg_area_m2 * x_m
        rate = rate + exponent * site.leg_pa * self.leg_volume_m3 / leg * self.leg_area_m2**2 / leg
        return rate + self.coil_rate_n_per_m * (x_m < self.coil_length_m)

    def work_j(self, x_m: Any, set_abs_pa: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the work stored between full extension and a compression, friction left out.

        W = ∫ F dx from 0 to x, chamber by chamber p₁·V₁ times `work_factor`, less ambient and a coil negative

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        set_abs_pa : float or array [Pa, absolute]
            Set pressure, fully extended after equalising.
        site : Site
            Surroundings.
        exponent : float [-]
            Polytropic exponent: 1 moving slowly, 1.3 to 1.4 in motion.

        Returns
        -------
        float or array [J]

        Examples
        --------
        >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, compressed_volume_m3=7.5e-5)
        >>> round(float(spring.work_j(0.14, 701_325.0, Site(101_325.0, 101_325.0))), 1)
        108.5

        References
        ----------
        Boundary work of a polytropic change, any text on thermodynamics; work of a straight spring.
        """
        start = self.extended_volume_m3
        work = set_abs_pa * start * work_factor(start / (start - self.area_m2 * x_m), exponent)
        at_port = self.negative_volume_m3 + self.negative_area_m2 * self.port_m
        port_abs = set_abs_pa * compression_ratio(start / (start - self.area_m2 * self.port_m), exponent)
        extended_abs = port_abs * compression_ratio(at_port / self.negative_volume_m3, exponent)
        grown = self.negative_volume_m3 + self.negative_area_m2 * x_m
        work = work + extended_abs * self.negative_volume_m3 * work_factor(self.negative_volume_m3 / grown, exponent)
        leg = self.leg_volume_m3 - self.leg_area_m2 * x_m
        work = work + site.leg_pa * self.leg_volume_m3 * work_factor(self.leg_volume_m3 / leg, exponent)
        area = self.area_m2 - self.negative_area_m2 + self.leg_area_m2
        squeezed = np.maximum(0.0, self.coil_length_m - x_m)
        coil = 0.5 * self.coil_rate_n_per_m * (self.coil_length_m**2 - squeezed**2)
        return work + self.gas_force_n * x_m - area * site.ambient_pa * x_m - coil

    def sag_m(
        self, set_abs_pa: Any, load_n: Any, site: Site, leverage: Leverage = FORK, start_m: Any | None = None
    ) -> Any:
        """Return the settled compression under a load at the wheel, between 0 and the travel.

        Solves F(x) = W·LR(x) (`settle`)

        Parameters
        ----------
        set_abs_pa : float or array [Pa, absolute]
            Set pressure, fully extended after equalising.
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
        >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, compressed_volume_m3=7.5e-5)
        >>> round(1000 * float(spring.sag_m(701_325.0, 556.5, Site(101_325.0, 101_325.0))), 1)
        28.0

        References
        ----------
        Force balance on a piston; Newton's method with bisection, any text on numerical methods.
        """
        shape = np.broadcast_shapes(*(np.shape(v) for v in (set_abs_pa, load_n, self.travel_m, self.area_m2)))
        travel = np.broadcast_to(np.asarray(self.travel_m, dtype=float), shape)
        return settle(self._prepare_settled(set_abs_pa, site), load_n, leverage, travel, start_m)

    def settled_parts(self, x_m: Any, site: Site) -> tuple[Any, Any, Any, Any]:
        """Return gain, its slope, offset and its slope at a settled compression, n = 1.

        F(x) = P·gain + offset and dF/dx = P·gain' + offset' for every absolute set pressure P: one pass for a search
        in which the pressure moves too

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        site : Site
            Surroundings.

        Returns
        -------
        tuple of float or array [m², m, N, N/m]

        Examples
        --------
        >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, compressed_volume_m3=7.5e-5)
        >>> gain, _, offset, _ = spring.settled_parts(0.028, Site(101_325.0, 101_325.0))
        >>> round(701_325.0 * gain + float(offset), 1)
        556.4

        References
        ----------
        Force balance on a piston; Boyle's law.
        """
        return self.prepare_parts(site)(x_m)

    def prepare_parts(self, site: Site, set_abs_pa: Any = 1.0) -> Parts:
        """Return `settled_parts` at a site as a function of compression [m] alone, for a search that asks often.

        What does not move with the compression is worked out once. Gain and its slope come multiplied by a set
        pressure [Pa, absolute] where one is given.
        """
        area, negative, leg = self.area_m2, self.negative_area_m2, self.leg_area_m2
        start = self.extended_volume_m3
        push = set_abs_pa * start * area
        at_port = self.negative_volume_m3 + negative * self.port_m
        pull = set_abs_pa * start / (start - area * self.port_m) * at_port * negative
        leg_push = site.leg_pa * self.leg_volume_m3 * leg
        still = (area - negative + leg) * site.ambient_pa - self.gas_force_n
        has_leg, has_coil = bool(np.any(leg)), bool(np.any(self.coil_rate_n_per_m))

        def _parts(x: Any) -> tuple[Any, Any, Any, Any]:
            volume, grown = start - area * x, self.negative_volume_m3 + negative * x
            out, back = push / volume, pull / grown
            offset, offset_slope = -still, 0.0
            if has_leg:
                room = self.leg_volume_m3 - leg * x
                rest = leg_push / room
                offset, offset_slope = offset + rest, rest * leg / room
            if has_coil:
                squeezed = np.maximum(0.0, self.coil_length_m - x)
                offset = offset - self.coil_rate_n_per_m * squeezed
                offset_slope = offset_slope + self.coil_rate_n_per_m * (squeezed > 0.0)
            return out - back, out * area / volume + back * negative / grown, offset, offset_slope

        return _parts

    def _prepare_settled(self, set_abs_pa: Any, site: Site) -> Callable[[Any], tuple[Any, Any]]:
        """Return a function from compression [m] to (force [N], rate [N/m]), settled (n = 1).

        The same as `force_n` and `rate_n_per_m`, for the search of the sag.
        """
        parts = self.prepare_parts(site, set_abs_pa)

        def force_and_rate(x: Any) -> tuple[Any, Any]:
            push, slope, offset, offset_slope = parts(x)
            return push + offset, slope + offset_slope

        return force_and_rate
