"""One spring end of one request: what drawn unknowns make of its springs, loads and surroundings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from setup_rules.inference.coil_class import draw_coil
from setup_rules.inference.second_chamber import absolute_ratio, has_second, second_pressure_pa
from setup_rules.inference.size_class import COLUMN, draw_fork, draw_shock, normal_quantile, uniform_quantile
from setup_rules.inference.weighed_wheel import Shares, is_weighed, shares_after_scale
from setup_rules.physics.air_pressure import AirPressure
from setup_rules.physics.air_spring import FORK
from setup_rules.physics.coil_spring import CoilRate
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.rider_load import leg_force_n, sprung_mass_kg, weight_n
from setup_rules.physics.spring import Setting, Spring
from setup_rules.physics.twin_air_spring import TwinAirSpring
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, Datum, EndName, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import SagCheck


@dataclass(frozen=True, slots=True)
class EndModel:
    """One spring end of one request: turns drawn unknowns into springs, loads and surroundings.

    Here, and nowhere else below the advice, a coil main spring takes the place of air; `preload_m` is the coil's.
    `second_ratio` is the set pressure of a second positive chamber over the first one's, both absolute; without it the
    second chamber stays closed, which is right as long as the spring is not compressed as far as its threshold.
    """

    name: EndName
    end: FrontEnd | RearEnd
    request: SetupRequest
    preload_m: float = 0.0
    second_ratio: float | None = None

    @property
    def travel_m(self) -> float:
        """Travel or stroke [m]."""
        return self.end.compression_mm / 1000

    @property
    def leverage(self) -> Leverage:
        """Leverage over stroke; 1 throughout for a fork."""
        return Leverage.from_points(self.end.leverage_points) if isinstance(self.end, RearEnd) else FORK

    @property
    def setting(self) -> Setting:
        """What is set on this end at the bench of its request."""
        return self.setting_at(self.request.bench)

    def setting_at(self, bench: Conditions) -> Setting:
        """Return what is set on this end, air pressure or the rate of a coil, for the place where it is set."""
        return CoilRate() if self.has_coil else AirPressure(bench)

    @property
    def has_coil(self) -> bool:
        """Whether the main spring is a coil."""
        return self.end.spring == "coil"

    def as_checked(self, check: SagCheck) -> EndModel:
        """Return this end with what was set on it at a check: the preload of a coil, or its second chamber."""
        if self.has_coil:
            return replace(self, preload_m=check.preload_mm / 1000)
        return self.pumped(check.pressure_pa, check.altitude_m if check.place == "bench" else None)

    def pumped(self, first_pa: float, altitude_m: float | None = None) -> EndModel:
        """Return this end with its second chamber pumped to go with a pressure of the first [Pa, gauge], if it has one.

        It is pumped at the bench where no altitude is given.
        """
        if not has_second(self.end) or self.has_coil:
            return self
        bench = self.request.bench
        there = bench if altitude_m is None else replace(bench, altitude_m=altitude_m)
        second_pa = second_pressure_pa(self.end, self.request, first_pa)
        return replace(self, second_ratio=absolute_ratio(first_pa, second_pa, there))

    def checked_value(self, check: SagCheck) -> float:
        """Return what was set when a check was taken: the pressure, or the rate of the coil.

        p, or 1000·k with k in N/mm

        Parameters
        ----------
        check : SagCheck
            As it was taken on this end.

        Returns
        -------
        float [Pa, gauge, or N/m of a coil]

        Examples
        --------
        >>> from setup_rules.types.request import FrontEnd, SetupRequest
        >>> fork = FrontEnd(travel_mm=140.0, spring="coil")
        >>> end = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
        >>> end.checked_value(SagCheck(end="front", spring_rate_n_per_mm=9.0, readings_mm=(30.0,)))
        9000.0

        References
        ----------
        Definition of the units.
        """
        return 1000.0 * (check.spring_rate_n_per_mm or 0.0) if self.has_coil else check.pressure_pa

    @property
    def rider_and_kit_kg(self) -> float:
        """Rider with everything worn or carried [kg]."""
        return self.request.rider_mass_kg + self.request.kit_mass_kg

    @property
    def weighed(self) -> Shares | None:
        """The front shares after a scale under a wheel; None where none was read in this stance."""
        return shares_after_scale(self.request, self.name) if is_weighed(self.request) else None

    @property
    def share_sigma(self) -> float:
        """Standard deviation of the front share of rider and kit [-]."""
        if (shares := self.weighed) is not None:
            return shares.rider_sigma
        entered = self.request.rider_front_share_percent
        return c.FRONT_SHARE[self.request.stance].sigma if entered is None else c.FRONT_SHARE_ENTERED_SIGMA.value

    def springs(self, z: Any) -> Spring:
        """Return the springs for rows of unknowns z, shape (…, number of unknowns)."""
        if self.has_coil:
            return draw_coil(self.end, z, self.preload_m)
        alone = draw_fork(self.end, z) if isinstance(self.end, FrontEnd) else draw_shock(self.end, z)
        if self.second_ratio is None:
            return alone
        return TwinAirSpring(alone, (self.end.second_volume_cm3 or 0.0) * 1e-6, self.second_ratio)

    def sprung_kg(self, z: Any) -> Any:
        """Return the mass on this end for rows of unknowns.

        `sprung_mass_kg` with the shares and the unsprung mass drawn; the rear has what the front has not

        Parameters
        ----------
        z : array [-]
            Rows of unknowns, shape (…, number of unknowns).

        Returns
        -------
        float or array [kg]
            1 kg or more.

        Examples
        --------
        >>> from setup_rules.inference.posterior import central_row
        >>> from setup_rules.types.request import FrontEnd, SetupRequest
        >>> fork = FrontEnd(travel_mm=140.0)
        >>> request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork)
        >>> round(float(EndModel("front", fork, request).sprung_kg(central_row())), 2)
        34.26

        References
        ----------
        Balance of moments about an axle; spreads as stated in `setup_rules.types.constants`.
        """
        front = self.front_share(z[..., COLUMN["share"]])
        share = front if self.name == "front" else 1.0 - front
        bike, unsprung = self.bike_share(z), self.unsprung_kg(z)
        mass = sprung_mass_kg(self.rider_and_kit_kg, self.request.bike_mass_kg, share, bike, unsprung)
        return mass + self._luggage_kg if self._luggage_kg else mass

    @property
    def _luggage_kg(self) -> float:
        """What this end carries of the luggage on the bike [kg]: each piece's moment about the other axle."""
        pieces = (("front", self.request.luggage_front_kg), ("rear", self.request.luggage_rear_kg))
        front = sum(c.LUGGAGE_FRONT_SHARE[place].value * (kg or 0.0) for place, kg in pieces)
        return front if self.name == "front" else sum(kg or 0.0 for _place, kg in pieces) - front

    def bike_share(self, z: Any) -> Any:
        """Return the share of the bike's weight on this end for rows of unknowns.

        f_b = μ + σ·z in front, 1 − f_b behind; after a scale under a wheel less where the rider's share is more

        Parameters
        ----------
        z : array [-]
            Rows of unknowns, shape (…, number of unknowns).

        Returns
        -------
        float or array [-]

        Examples
        --------
        >>> from setup_rules.inference.posterior import central_row
        >>> from setup_rules.types.request import FrontEnd, SetupRequest
        >>> fork = FrontEnd(travel_mm=140.0)
        >>> request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork)
        >>> float(EndModel("front", fork, request).bike_share(central_row()))
        0.475

        References
        ----------
        `BIKE_FRONT_SHARE` in `setup_rules.types.constants`: our estimate.
        """
        shares, own = self.weighed, z[..., COLUMN["bike"]]
        if shares is None:
            front = normal_quantile(own, c.BIKE_FRONT_SHARE)
        else:
            front = shares.bike + shares.together * z[..., COLUMN["share"]] + shares.own * own
        return front if self.name == "front" else 1.0 - front

    def unsprung_kg(self, z: Any) -> Any:
        """Return what hangs below the spring for rows of unknowns: less on a light bike.

        m_u = (μ + σ·z)·min(1, m_bike/10 kg)

        Parameters
        ----------
        z : array [-]
            Rows of unknowns, shape (…, number of unknowns).

        Returns
        -------
        float or array [kg]

        Examples
        --------
        >>> from setup_rules.inference.posterior import central_row
        >>> from setup_rules.types.request import FrontEnd, SetupRequest
        >>> fork = FrontEnd(travel_mm=80.0)
        >>> request = SetupRequest(rider_mass_kg=30.0, bike_mass_kg=8.0, riding_style="trail", front=fork)
        >>> round(float(EndModel("front", fork, request).unsprung_kg(central_row())), 2)
        2.56

        References
        ----------
        `UNSPRUNG_MASS` in `setup_rules.types.constants`: our estimate.
        """
        light = min(1.0, self.request.bike_mass_kg / c.UNSPRUNG_FULL_BIKE.value)
        return light * normal_quantile(z[..., COLUMN["unsprung"]], c.UNSPRUNG_MASS[self.name])

    def rest_load_n(self, z: Any, datum: Datum) -> Any:
        """Return the load where the gap at the O-ring is read, for rows of unknowns; as `load_n`, without the rider.

        (f_b·m_b − m_u)·g with the bike at rest, −m_u·g with the wheel off the ground; times sin(HA) in front

        Parameters
        ----------
        z : array [-]
            Rows of unknowns, shape (…, number of unknowns).
        datum : {"bike_at_rest", "wheel_off_ground"}
            Where the gap is read.

        Returns
        -------
        float or array [N]
            Below zero where the wheel hangs from the spring.

        Examples
        --------
        >>> from setup_rules.inference.posterior import central_row
        >>> from setup_rules.types.request import FrontEnd, SetupRequest
        >>> fork = FrontEnd(travel_mm=140.0)
        >>> request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork)
        >>> end = EndModel("front", fork, request)
        >>> [round(float(end.rest_load_n(central_row(), datum)), 1) for datum in ("bike_at_rest", "wheel_off_ground")]
        [30.9, -28.7]

        References
        ----------
        Balance of forces on the part of the bike above, or below, the spring.
        """
        unsprung = self.unsprung_kg(z)
        mass = -unsprung
        if datum == "bike_at_rest":
            mass = self.bike_share(z) * self.request.bike_mass_kg + self._luggage_kg - unsprung
        return self._along_spring(mass)

    def _along_spring(self, mass_kg: Any) -> Any:
        end = self.end
        return leg_force_n(mass_kg, end.head_angle_deg) if isinstance(end, FrontEnd) else weight_n(mass_kg)

    def front_share(self, z: Any) -> Any:
        """Return the share of rider and kit on the front wheel for the load unknown.

        f = μ + σ·z, μ and σ of the stance, as entered, or after a scale under a wheel

        Parameters
        ----------
        z : float or array [-]
            The unknown "share", standard normal.

        Returns
        -------
        float or array [-]

        Examples
        --------
        >>> from setup_rules.types.request import FrontEnd, SetupRequest
        >>> fork = FrontEnd(travel_mm=140.0)
        >>> request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork)
        >>> round(EndModel("front", fork, request).front_share(1.0), 3)
        0.425

        References
        ----------
        `FRONT_SHARE` in `setup_rules.types.constants`, with the source of each stance.
        """
        entered = self.request.rider_front_share_percent
        if (shares := self.weighed) is not None:
            return shares.rider + shares.rider_sigma * z
        if entered is None:
            return normal_quantile(z, c.FRONT_SHARE[self.request.stance])
        return entered / 100 + c.FRONT_SHARE_ENTERED_SIGMA.value * z

    def load_n(self, z: Any) -> Any:
        """Return the load for rows of unknowns: along the legs (front), at the wheel (rear).

        W = m·g·sin(HA) in front, m·g behind, each times 1 + σ·z for what the model leaves out

        Parameters
        ----------
        z : array [-]
            Rows of unknowns, shape (…, number of unknowns).

        Returns
        -------
        float or array [N]

        Examples
        --------
        >>> from setup_rules.inference.posterior import central_row
        >>> from setup_rules.types.request import FrontEnd, SetupRequest
        >>> fork = FrontEnd(travel_mm=140.0, head_angle_deg=65.5)
        >>> request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork)
        >>> round(float(EndModel("front", fork, request).load_n(central_row())), 1)
        305.7

        References
        ----------
        Resolution of a force, any text on statics; `MODEL_SIGMA` in `setup_rules.types.constants`.
        """
        return self._along_spring(self.sprung_kg(z)) * (1.0 + c.MODEL_SIGMA.value * z[..., COLUMN["model"]])

    def friction_n(self, z: Any) -> Any:
        """Return the stick friction at the spring for rows of unknowns.

        low + (high − low)·u, u the unknown "friction"

        Parameters
        ----------
        z : array [-]
            Rows of unknowns, shape (…, number of unknowns).

        Returns
        -------
        float or array [N]
            Either way, beside the force of the spring.

        Examples
        --------
        >>> from setup_rules.inference.posterior import central_row
        >>> from setup_rules.types.request import FrontEnd, SetupRequest
        >>> fork = FrontEnd(travel_mm=140.0)
        >>> request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork)
        >>> float(EndModel("front", fork, request).friction_n(central_row()))
        19.0

        References
        ----------
        `FRICTION` in `setup_rules.types.constants`: our estimate.
        """
        return uniform_quantile(z[..., COLUMN["friction"]], c.FRICTION[self.name])
