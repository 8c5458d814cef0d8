"""The air spring: force, rate and work over compression, and set pressure to sag both ways.

`AirSpring` holds floats or equal-length arrays, so that one spring and a thousand drawn ones run through the
same lines. The set pressure is the one definition of pressure throughout: what a pump reads fully extended after
the chambers were equalised, here absolute where the name says `_abs_`. All air parts of the force scale with that
absolute pressure, so at a given compression the force is linear in it:

    F(x) = P·gain(x) + offset(x)

which makes the pressure for a load a division, not a search.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from setup_rules.physics.gas import work_factor
from setup_rules.physics.linkage import Leverage
from setup_rules.types.errors import LimitError, NoSolutionError
from setup_rules.types.units import Quantity

#: A load over compression that does not change: a fork.
FORK = Leverage()


@dataclass(frozen=True, slots=True)
class Site:
    """Surroundings of the spring: absolute ambient pressure [Pa], and the pressure in the lower legs [Pa, absolute].

    The lower legs were closed at the bench, so their pressure fully extended need not be today's ambient.
    """

    ambient_pa: float
    leg_pa: float

    @classmethod
    def at_ambient(cls, ambient_pa: float) -> Site:
        """Return surroundings where the lower legs were closed at the same ambient pressure."""
        return cls(ambient_pa, ambient_pa)


@dataclass(frozen=True, slots=True)
class AirSpring:
    """An air spring's internals in SI units; floats or equal-length arrays.

    `end_volume_m3` is the positive chamber at full compression, volume spacers already taken off. An air negative
    has area, volume (fully extended) and port position; a coil negative has rate and working length and no
    negative area. Lower-leg air has area and volume; zero area leaves it out.
    """

    travel_m: Any
    area_m2: Any
    end_volume_m3: Any
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
        return self.end_volume_m3 + self.area_m2 * self.travel_m

    def gain_m2(self, x_m: Any, exponent: float = 1.0) -> Any:
        """Return the part of the force [m²] that is multiplied by the absolute set pressure, at compression x [m]."""
        start = self.extended_volume_m3
        positive = self.area_m2 * _power(start / (start - self.area_m2 * x_m), exponent)
        at_port = self.negative_volume_m3 + self.negative_area_m2 * self.port_m
        grown = self.negative_volume_m3 + self.negative_area_m2 * x_m
        port_ratio = start / (start - self.area_m2 * self.port_m)
        return positive - self.negative_area_m2 * _power(port_ratio * at_port / grown, exponent)

    def offset_n(self, x_m: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the part of the force [N] that does not depend on the set pressure, at compression x [m]."""
        coil = self.coil_rate_n_per_m * np.maximum(0.0, self.coil_length_m - x_m)
        leg_ratio = self.leg_volume_m3 / (self.leg_volume_m3 - self.leg_area_m2 * x_m)
        leg = self.leg_area_m2 * (site.leg_pa * _power(leg_ratio, exponent) - site.ambient_pa)
        return self.gas_force_n + leg - coil - (self.area_m2 - self.negative_area_m2) * site.ambient_pa

    def force_n(self, x_m: Any, set_abs_pa: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the force [N] at compression x [m] for an absolute set pressure [Pa]."""
        return set_abs_pa * self.gain_m2(x_m, exponent) + self.offset_n(x_m, site, exponent)

    def rate_n_per_m(self, x_m: Any, set_abs_pa: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the rate dF/dx [N/m] at compression x [m].

        `exponent` rules the motion about x; the chambers are taken as settled (n = 1) at x itself, as a spring
        is that stands in its sag and then moves.
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
        """Return the work [J] stored between full extension and compression x [m], friction left out."""
        start = self.extended_volume_m3
        work = set_abs_pa * start * work_factor(start / (start - self.area_m2 * x_m), exponent)
        at_port = self.negative_volume_m3 + self.negative_area_m2 * self.port_m
        port_abs = set_abs_pa * _power(start / (start - self.area_m2 * self.port_m), exponent)
        extended_abs = port_abs * _power(at_port / self.negative_volume_m3, exponent)
        grown = self.negative_volume_m3 + self.negative_area_m2 * x_m
        work = work + extended_abs * self.negative_volume_m3 * work_factor(self.negative_volume_m3 / grown, exponent)
        leg = self.leg_volume_m3 - self.leg_area_m2 * x_m
        work = work + site.leg_pa * self.leg_volume_m3 * work_factor(self.leg_volume_m3 / leg, exponent)
        area = self.area_m2 - self.negative_area_m2 + self.leg_area_m2
        left = np.maximum(0.0, self.coil_length_m - x_m)
        work = work + self.gas_force_n * x_m
        return work - area * site.ambient_pa * x_m - 0.5 * self.coil_rate_n_per_m * (self.coil_length_m**2 - left**2)

    def set_abs_pa_for(self, x_m: Any, force_n: Any, site: Site) -> Any:
        """Return the absolute set pressure [Pa] that holds `force_n` at a settled compression x [m]; may be ≤ 0."""
        return (force_n - self.offset_n(x_m, site)) / self.gain_m2(x_m)

    def settled_parts(self, x_m: Any, site: Site) -> tuple[Any, Any, Any, Any]:
        """Return gain [m²], its slope [m], offset [N] and its slope [N/m] at a settled compression x [m] (n = 1).

        F(x) = P·gain + offset and dF/dx = P·gain' + offset' for every absolute set pressure P: one pass for a search
        in which the pressure moves too.
        """
        area, negative, leg = self.area_m2, self.negative_area_m2, self.leg_area_m2
        start = self.extended_volume_m3
        volume, grown = start - area * x_m, self.negative_volume_m3 + negative * x_m
        push = start * area / volume
        pull = (
            start / (start - area * self.port_m) * (self.negative_volume_m3 + negative * self.port_m) * negative / grown
        )
        room = self.leg_volume_m3 - leg * x_m
        rest = site.leg_pa * self.leg_volume_m3 * leg / room
        left = np.maximum(0.0, self.coil_length_m - x_m)
        offset = self.gas_force_n + rest - (area - negative + leg) * site.ambient_pa - self.coil_rate_n_per_m * left
        slope = rest * leg / room + self.coil_rate_n_per_m * (left > 0.0)
        return push - pull, push * area / volume + pull * negative / grown, offset, slope

    def sag_m(
        self, set_abs_pa: Any, load_n: Any, site: Site, leverage: Leverage = FORK, start_m: Any | None = None
    ) -> Any:
        """Return the settled compression [m] under a wheel load [N], between 0 and the travel.

        Solves F(x) = W·LR(x) by Newton steps kept inside a closing bracket. Where the spring carries the load
        fully extended the answer is 0; where it cannot carry it at all, the travel.
        """
        shape = np.broadcast_shapes(*(np.shape(v) for v in (set_abs_pa, load_n, self.travel_m, self.area_m2)))
        low = np.zeros(shape)
        high = np.broadcast_to(np.asarray(self.travel_m, dtype=float), shape).copy()
        x = 0.25 * high if start_m is None else np.clip(np.broadcast_to(start_m, shape), low, high)
        settled = self._settled(set_abs_pa, site)
        topped = settled(low)[0] >= load_n * leverage.at(low)
        high = np.where(topped, 0.0, high)
        x = np.minimum(x, high)
        for _ in range(60):
            force, rate = settled(x)
            excess = force - load_n * leverage.at(x)
            slope = np.maximum(rate - load_n * leverage.slope_at(x), 1.0)
            above = excess >= 0.0
            high, low = np.where(above, x, high), np.where(above, low, x)
            step = x - excess / slope
            following = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
            moved = np.max(np.abs(following - x))
            x = following
            # Newton squares its error: after a step of a micrometre the next would be far below any reading.
            if moved < 1e-6:
                break
        return x

    def _settled(self, set_abs_pa: Any, site: Site) -> Callable[[Any], tuple[Any, Any]]:
        """Return a function from compression [m] to (force [N], rate [N/m]), settled (n = 1).

        The same as `force_n` and `rate_n_per_m` with their common parts worked out once, for the search of the sag.
        """
        area, negative, leg = self.area_m2, self.negative_area_m2, self.leg_area_m2
        start = self.extended_volume_m3
        push = set_abs_pa * start * area
        at_port = self.negative_volume_m3 + negative * self.port_m
        pull = set_abs_pa * start / (start - area * self.port_m) * at_port * negative
        leg_push = site.leg_pa * self.leg_volume_m3 * leg
        still = (area - negative + leg) * site.ambient_pa - self.gas_force_n
        has_leg, has_coil = (
            np.ndim(leg) > 0 or leg > 0,
            np.ndim(self.coil_rate_n_per_m) > 0 or self.coil_rate_n_per_m > 0,
        )

        def force_and_rate(x: Any) -> tuple[Any, Any]:
            volume, grown = start - area * x, self.negative_volume_m3 + negative * x
            out, back = push / volume, pull / grown
            force, rate = out - back - still, out * area / volume + back * negative / grown
            if has_leg:
                room = self.leg_volume_m3 - leg * x
                rest = leg_push / room
                force, rate = force + rest, rate + rest * leg / room
            if has_coil:
                left = np.maximum(0.0, self.coil_length_m - x)
                force, rate = force - self.coil_rate_n_per_m * left, rate + self.coil_rate_n_per_m * (left > 0.0)
            return force, rate

        return force_and_rate


def _power(base: Any, exponent: float) -> Any:
    return base if exponent == 1.0 else base**exponent


def shortened(spring: AirSpring, travel_m: float) -> AirSpring:
    """Return the spring at another travel [m], set by travel spacers: V_end stays, V(0) follows A·T."""
    return replace(spring, travel_m=travel_m)


def spring_force(spring: AirSpring, compression: Any, set_pressure: Any, ambient: Any, exponent: float = 1.0) -> Any:
    """Return the force of an air spring at a compression.

    F = A·p₊ − A_n·p₋ − (A − A_n)·p_a − max(0, k·(x_c − x)) + lower-leg air

    Parameters
    ----------
    spring : AirSpring
        Internals.
    compression : Quantity [length]
        From fully extended, 0 to the travel.
    set_pressure : Quantity [pressure]
        Gauge, fully extended after equalising.
    ambient : Quantity [pressure]
        Absolute.
    exponent : float
        1 settled, 1.3 to 1.4 in motion.

    Returns
    -------
    Quantity [force]
        Positive when the spring pushes out.

    Raises
    ------
    LimitError
        When the compression is outside the travel or the pressure below a vacuum.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity as Q
    >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, end_volume_m3=7.5e-5)
    >>> round(spring_force(spring, Q(28, "mm"), Q(6, "bar"), Q(101325, "Pa")).to("N").magnitude, 1)
    556.4

    References
    ----------
    Force balance on a piston; Boyle's law.
    """
    x_m, set_abs_pa, ambient_pa = _checked(spring, compression, set_pressure, ambient)
    force = spring.force_n(x_m, set_abs_pa, Site.at_ambient(ambient_pa), exponent)
    return Quantity(float(force), "N")


def pressure_for_sag(spring: AirSpring, sag: Any, force: Any, ambient: Any) -> Any:
    """Return the set pressure that holds a force at a sag.

    p = (F − offset(x)) / gain(x) − p_a, closed form since the air forces scale with the absolute pressure.

    Parameters
    ----------
    spring : AirSpring
        Internals.
    sag : Quantity [length]
        Wanted compression, 0 to the travel.
    force : Quantity [force]
        Force along the spring to be held there.
    ambient : Quantity [pressure]
        Absolute.

    Returns
    -------
    Quantity [pressure]
        Gauge, fully extended after equalising.

    Raises
    ------
    LimitError
        When the sag is outside the travel.
    NoSolutionError
        When no pressure above a vacuum does it.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity as Q
    >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, end_volume_m3=7.5e-5)
    >>> round(pressure_for_sag(spring, Q(28, "mm"), Q(556.4, "N"), Q(101325, "Pa")).to("bar").magnitude, 2)
    6.0

    References
    ----------
    Force balance on a piston; Boyle's law.
    """
    x_m, _, ambient_pa = _checked(spring, sag, Quantity(0, "Pa"), ambient)
    newtons = float(force.to("N").magnitude)
    absolute = float(spring.set_abs_pa_for(x_m, newtons, Site.at_ambient(ambient_pa)))
    if not absolute > 0.0:
        raise NoSolutionError(f"No pressure holds {newtons:g} N at a sag of {sag}: the negative spring is too strong.")
    return Quantity(absolute - ambient_pa, "Pa")


def sag_for_pressure(spring: AirSpring, set_pressure: Any, force: Any, ambient: Any) -> Any:
    """Return the settled sag of an air spring under a force.

    Solves F(x) = force for x.

    Parameters
    ----------
    spring : AirSpring
        Internals.
    set_pressure : Quantity [pressure]
        Gauge, fully extended after equalising.
    force : Quantity [force]
        Force along the spring.
    ambient : Quantity [pressure]
        Absolute.

    Returns
    -------
    Quantity [length]
        Between 0 (fully extended) and the travel.

    Raises
    ------
    LimitError
        When the pressure is below a vacuum.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity as Q
    >>> spring = AirSpring(travel_m=0.14, area_m2=8e-4, end_volume_m3=7.5e-5)
    >>> round(sag_for_pressure(spring, Q(6, "bar"), Q(556.4, "N"), Q(101325, "Pa")).to("mm").magnitude, 1)
    28.0

    References
    ----------
    Force balance on a piston; Boyle's law.
    """
    _, set_abs_pa, ambient_pa = _checked(spring, Quantity(0, "mm"), set_pressure, ambient)
    newtons = float(force.to("N").magnitude)
    return Quantity(float(spring.sag_m(set_abs_pa, newtons, Site.at_ambient(ambient_pa))) * 1000, "mm")


def _checked(spring: AirSpring, compression: Any, set_pressure: Any, ambient: Any) -> tuple[float, float, float]:
    x_m = float(compression.to("m").magnitude)
    ambient_pa = float(ambient.to("Pa").magnitude)
    set_abs_pa = float(set_pressure.to("Pa").magnitude) + ambient_pa
    if not 0.0 <= x_m <= spring.travel_m + 1e-9:
        raise LimitError(f"A compression of {compression} is outside the travel, 0 to {spring.travel_m * 1000:g} mm.")
    if not (set_abs_pa > 0.0 and ambient_pa >= 0.0):
        raise LimitError(f"A gauge pressure of {set_pressure} at {ambient} is below a vacuum. Check the number.")
    return x_m, set_abs_pa, ambient_pa
