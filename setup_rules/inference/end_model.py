"""One spring end of one request: what drawn unknowns make of its springs, loads and surroundings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from setup_rules.inference.size_class import COLUMN, draw_fork, draw_shock, normal_quantile, uniform_quantile
from setup_rules.physics.air_pressure import AirPressure
from setup_rules.physics.air_spring import FORK
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.rider_load import leg_force_n, sprung_mass_kg, weight_n
from setup_rules.physics.spring import Setting, Spring
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, EndName, FrontEnd, RearEnd, SetupRequest


@dataclass(frozen=True, slots=True)
class EndModel:
    """One spring end of one request: turns drawn unknowns into springs, loads and surroundings."""

    name: EndName
    end: FrontEnd | RearEnd
    request: SetupRequest

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
        """Return what is set on this end, air pressure, for the place where it is set."""
        return AirPressure(bench)

    @property
    def rider_and_kit_kg(self) -> float:
        """Rider with everything worn or carried [kg]."""
        return self.request.rider_mass_kg + self.request.kit_mass_kg

    def springs(self, z: Any) -> Spring:
        """Return the springs for rows of unknowns z, shape (…, number of unknowns)."""
        return draw_fork(self.end, z) if isinstance(self.end, FrontEnd) else draw_shock(self.end, z)

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
        bike_front = normal_quantile(z[..., COLUMN["bike"]], c.BIKE_FRONT_SHARE)
        unsprung = normal_quantile(-z[..., COLUMN["bike"]], c.UNSPRUNG_MASS[self.name])
        if self.name == "rear":
            front, bike_front = 1.0 - front, 1.0 - normal_quantile(-z[..., COLUMN["bike"]], c.BIKE_FRONT_SHARE)
        return sprung_mass_kg(self.rider_and_kit_kg, self.request.bike_mass_kg, front, bike_front, unsprung)

    def front_share(self, z: Any) -> Any:
        """Return the share of rider and kit on the front wheel for the load unknown.

        f = μ + σ·z, μ and σ of the stance, or as entered

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
        mass = self.sprung_kg(z)
        force = leg_force_n(mass, self.end.head_angle_deg) if isinstance(self.end, FrontEnd) else weight_n(mass)
        return force * (1.0 + c.MODEL_SIGMA.value * z[..., COLUMN["model"]])

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
