"""An air spring with two positive chambers: the second one, at its own higher pressure, joins at a threshold.

A floating piston stands between the chambers. While the first one's pressure is below the second's set pressure, the
piston lies on its stop and the second is closed off. Above it both share one pressure and their volumes add:

    p(x) = P·V(0)/V(x)                          while that is below P₂ = c·P
    p(x) = (P·V(0) + P₂·V₂)/(V(x) + V₂)         above

with V(x) = V(0) − A·x. The second line is the mean of the first and of P₂, weighted by V(x) and V₂, so the lower of
both is the right one on either side, and they meet at P₂. Both chambers are sealed at their own pressure and warm
alike, so the ratio c of absolute pressures stays in heat, cold and height, and F(x) = P·gain(x) + offset(x) as in
`air_spring`: where the chambers join does not depend on the pressure. The piston is taken to weigh nothing and to slide
without friction.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any, ClassVar

import numpy as np

from setup_rules.physics.air_spring import FORK, AirSpring
from setup_rules.physics.gas import work_factor
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.settling import settle
from setup_rules.physics.spring import Parts, Site


@dataclass(frozen=True, slots=True)
class TwinAirSpring:
    """An air spring's internals with a second positive chamber, in SI units; floats or equal-length arrays.

    `first` is the spring without it. `second_ratio` is the second chamber's set pressure over the first one's, both
    absolute, 1 or more.
    """

    least_acting: ClassVar[float] = AirSpring.least_acting

    first: AirSpring
    second_volume_m3: Any
    second_ratio: Any

    @property
    def travel_m(self) -> Any:
        """How far the spring can compress [m]."""
        return self.first.travel_m

    def joins_at_m(self, exponent: float = 1.0) -> Any:
        """Return the compression at which the second chamber joins; beyond the travel where it never does.

        x_t = V(0)/A·(1 − c^(−1/n))

        Parameters
        ----------
        exponent : float [-]
            Polytropic exponent n: 1 settled, 1.3 to 1.4 in motion, where it joins earlier.

        Returns
        -------
        float or array [m]

        Examples
        --------
        >>> spring = TwinAirSpring(AirSpring(0.14, 8e-4, 7.5e-5), 4e-5, 1.6)
        >>> round(1000 * float(spring.joins_at_m()), 2)
        87.66

        References
        ----------
        Boyle's law and the polytropic relation.
        """
        start = self.first.extended_volume_m3
        return start / self.first.area_m2 * (1.0 - self.second_ratio ** (-1.0 / exponent))

    def force_n(self, x_m: Any, set_abs_pa: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the force at a compression; above zero pushes out.

        F(x) = F₁(x) − A·(p₁(x) − p(x)) + A_n·(p₁(x_p) − p(x_p))·(V_n(x_p)/V_n(x))ⁿ: the spring without the second
        chamber, less what its pressure would be more, at the piston and at the port x_p

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        set_abs_pa : float or array [Pa, absolute]
            Set pressure of the first chamber, fully extended after equalising.
        site : Site
            Surroundings.
        exponent : float [-]
            Polytropic exponent: 1 settled, 1.3 to 1.4 in motion.

        Returns
        -------
        float or array [N]

        Examples
        --------
        >>> spring, here = TwinAirSpring(AirSpring(0.14, 8e-4, 7.5e-5), 4e-5, 1.6), Site(101_325.0, 101_325.0)
        >>> [round(float(spring.force_n(x, 701_325.0, here)), 1) for x in (0.028, 0.14)]
        [556.4, 1143.5]

        References
        ----------
        Force balance on a piston; Boyle's law and the polytropic relation; conservation of mass.
        """
        spared = self._spared(x_m, exponent) * self.first.area_m2 - self._spared_behind_m2(x_m, exponent)
        return self.first.force_n(x_m, set_abs_pa, site, exponent) - set_abs_pa * spared

    def rate_n_per_m(self, x_m: Any, set_abs_pa: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the rate at a compression: it drops where the second chamber joins.

        k = dF/dx, the positive chambers' part n·p·A²/V with V the first one's volume, above the threshold that of both.
        As in `AirSpring.rate_n_per_m` the chambers are settled at x itself.

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        set_abs_pa : float or array [Pa, absolute]
            Set pressure of the first chamber, fully extended after equalising.
        site : Site
            Surroundings.
        exponent : float [-]
            Polytropic exponent: 1 moving slowly, 1.3 to 1.4 in motion.

        Returns
        -------
        float or array [N/m]

        Examples
        --------
        >>> spring, here = TwinAirSpring(AirSpring(0.14, 8e-4, 7.5e-5), 4e-5, 1.6), Site(101_325.0, 101_325.0)
        >>> [round(float(spring.rate_n_per_m(x, 701_325.0, here))) for x in (0.0876, 0.0877)]
        [6140, 4580]

        References
        ----------
        Gas-spring rate k = n·p·A²/V, any text on pneumatics.
        """
        area, alone = self.first.area_m2, self.first.extended_volume_m3 - self.first.area_m2 * x_m
        sealed = self.first.extended_volume_m3 / alone**2
        spared = np.where(self._is_joined(x_m), sealed - self._ratio(x_m) / (alone + self.second_volume_m3), 0.0)
        behind = self._spared_behind_m2(x_m, 1.0) * self.first.negative_area_m2 / self._behind_m3(x_m)
        changed = exponent * set_abs_pa * (area**2 * spared + behind)
        return self.first.rate_n_per_m(x_m, set_abs_pa, site, exponent) - changed

    def work_j(self, x_m: Any, set_abs_pa: Any, site: Site, exponent: float = 1.0) -> Any:
        """Return the work stored between full extension and a compression, friction left out.

        W = ∫ F dx from 0 to x; of the positive chambers P·V(0)·`work_factor` up to the threshold, from there
        P₂·(V(x_t) + V₂)·`work_factor` of both

        Parameters
        ----------
        x_m : float or array [m]
            Compression from fully extended, 0 to the travel.
        set_abs_pa : float or array [Pa, absolute]
            Set pressure of the first chamber, fully extended after equalising.
        site : Site
            Surroundings.
        exponent : float [-]
            Polytropic exponent: 1 moving slowly, 1.3 to 1.4 in motion.

        Returns
        -------
        float or array [J]

        Examples
        --------
        >>> spring, here = TwinAirSpring(AirSpring(0.14, 8e-4, 7.5e-5), 4e-5, 1.6), Site(101_325.0, 101_325.0)
        >>> [round(float(spring.work_j(x, 701_325.0, here)), 1) for x in (0.05, 0.14)]
        [27.5, 105.0]

        References
        ----------
        Boundary work of a polytropic change, any text on thermodynamics.
        """
        first, start = self.first, self.first.extended_volume_m3
        joins = np.minimum(self.joins_at_m(exponent), x_m)
        at_join = start - first.area_m2 * joins
        moved = first.area_m2 * (x_m - joins)
        sealed = self.second_ratio * at_join * work_factor(at_join / (at_join - moved), exponent)
        both = at_join + self.second_volume_m3
        joined = self.second_ratio * both * work_factor(both / (both - moved), exponent)
        own = first.negative_volume_m3
        spread = own * work_factor(own / (own + first.negative_area_m2 * x_m), exponent)
        behind = self._spared(first.port_m, exponent) * (self._behind_m3(first.port_m) / own) ** exponent
        return first.work_j(x_m, set_abs_pa, site, exponent) - set_abs_pa * (sealed - joined + behind * spread)

    def sag_m(
        self, set_abs_pa: Any, load_n: Any, site: Site, leverage: Leverage = FORK, start_m: Any | None = None
    ) -> Any:
        """Return the settled compression under a load at the wheel, between 0 and the travel.

        Solves F(x) = W·LR(x) (`settle`), on whichever side of the threshold it lies

        Parameters
        ----------
        set_abs_pa : float or array [Pa, absolute]
            Set pressure of the first chamber, fully extended after equalising.
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
        >>> spring, here = TwinAirSpring(AirSpring(0.14, 8e-4, 7.5e-5), 4e-5, 1.6), Site(101_325.0, 101_325.0)
        >>> round(1000 * float(spring.sag_m(701_325.0, 1143.5, here)), 1)
        140.0

        References
        ----------
        Force balance on a piston; Newton's method with bisection, any text on numerical methods.
        """
        sizes = (set_abs_pa, load_n, self.travel_m, self.first.area_m2)
        shape = np.broadcast_shapes(*(np.shape(size) for size in sizes))
        travel = np.broadcast_to(np.asarray(self.travel_m, dtype=float), shape)
        return settle(partial(self._settled, set_abs_pa, site), load_n, leverage, travel, start_m)

    def settled_parts(self, x_m: Any, site: Site) -> tuple[Any, Any, Any, Any]:
        """Return gain, its slope, offset and its slope at a settled compression, n = 1.

        F(x) = P·gain + offset; gain is the positive chambers' A·p(x)/P less the negative one's, its slope jumps at the
        threshold

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
        >>> spring = TwinAirSpring(AirSpring(0.14, 8e-4, 7.5e-5), 4e-5, 1.6)
        >>> gain, _, offset, _ = spring.settled_parts(0.14, Site(101_325.0, 101_325.0))
        >>> round(701_325.0 * float(gain) + float(offset), 1)
        1143.5

        References
        ----------
        Force balance on a piston; Boyle's law; conservation of mass.
        """
        gain, slope, offset, offset_slope = self.first.settled_parts(x_m, site)
        area, alone = self.first.area_m2, self.first.extended_volume_m3 - self.first.area_m2 * x_m
        behind = self._spared_behind_m2(x_m, 1.0)
        sealed = self.first.extended_volume_m3 / alone**2
        spared = np.where(self._is_joined(x_m), sealed - self._ratio(x_m) / (alone + self.second_volume_m3), 0.0)
        gain = gain - area * self._spared(x_m, 1.0) + behind
        slope = slope - area**2 * spared - behind * self.first.negative_area_m2 / self._behind_m3(x_m)
        return gain, slope, offset, offset_slope

    def prepare_parts(self, site: Site) -> Parts:
        """Return `settled_parts` at a site as a function of compression [m] alone."""
        return lambda x_m: self.settled_parts(x_m, site)

    def _settled(self, set_abs_pa: Any, site: Site, x_m: Any) -> tuple[Any, Any]:
        gain, gain_slope, offset, offset_slope = self.settled_parts(x_m, site)
        return set_abs_pa * gain + offset, set_abs_pa * gain_slope + offset_slope

    def _is_joined(self, x_m: Any) -> Any:
        return x_m > self.joins_at_m()

    def _ratio(self, x_m: Any, exponent: float = 1.0) -> Any:
        """Return the pressure of the joined chambers over the first one's set pressure, both absolute."""
        start = self.first.extended_volume_m3
        held = start + self.second_volume_m3 * self.second_ratio ** (1.0 / exponent)
        return (held / (start + self.second_volume_m3 - self.first.area_m2 * x_m)) ** exponent

    def _spared(self, x_m: Any, exponent: float) -> Any:
        """Return how much higher the first chamber's pressure would be without the second, over its set pressure."""
        start = self.first.extended_volume_m3
        alone = (start / (start - self.first.area_m2 * x_m)) ** exponent
        return np.maximum(alone - self._ratio(x_m, exponent), 0.0)

    def _behind_m3(self, x_m: Any) -> Any:
        """Return the volume of the negative chamber."""
        return self.first.negative_volume_m3 + self.first.negative_area_m2 * x_m

    def _spared_behind_m2(self, x_m: Any, exponent: float) -> Any:
        """Return what the negative chamber pulls less, over the set pressure: at its port the second had joined."""
        port = self.first.port_m
        shrunk = (self._behind_m3(port) / self._behind_m3(x_m)) ** exponent
        return self.first.negative_area_m2 * self._spared(port, exponent) * shrunk
