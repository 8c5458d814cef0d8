"""The setting of an air spring: pressure pumped at the bench, and what weather and altitude make of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from setup_rules.physics.atmosphere import ambient_pressure_pa
from setup_rules.physics.gas import warming_ratio
from setup_rules.physics.spring import Site
from setup_rules.types.request import Conditions


@dataclass(frozen=True, slots=True)
class AirPressure:
    """Air pressure as a spring's `Setting`: set at the bench [Pa, gauge], acting elsewhere [Pa, absolute]."""

    bench: Conditions

    def acting(self, bench_gauge_pa: Any, there: Conditions) -> Any:
        """Return the absolute set pressure elsewhere of a spring pumped to a gauge pressure at the bench.

        P = (p_bench + p_a,bench)·T/T_bench, the volume fully extended being the same

        Parameters
        ----------
        bench_gauge_pa : float or array [Pa, gauge]
            As the pump reads at the bench; above a vacuum.
        there : Conditions
            Its air temperature counts.

        Returns
        -------
        float or array [Pa, absolute]

        Raises
        ------
        LimitError
            When the bench's altitude or a temperature is out of range.

        Examples
        --------
        >>> pumped = AirPressure(Conditions(temperature_c=20.0, altitude_m=0.0))
        >>> round(pumped.acting(600_000.0, Conditions(temperature_c=0.0, altitude_m=1500.0)))
        653477

        References
        ----------
        Gay-Lussac's law, any text on thermodynamics; ISO 2533 for the ambient pressure.
        """
        return (bench_gauge_pa + ambient_pressure_pa(self.bench.altitude_m)) * self._compare_warmth(there)

    def bench_value(self, set_abs_pa: Any, there: Conditions) -> Any:
        """Return the gauge pressure to pump at the bench for an absolute set pressure elsewhere.

        p_bench = P·T_bench/T − p_a,bench

        Parameters
        ----------
        set_abs_pa : float or array [Pa, absolute]
            Wanted elsewhere, fully extended after equalising.
        there : Conditions
            Its air temperature counts.

        Returns
        -------
        float or array [Pa, gauge]
            Below zero where the bench's air alone is already more.

        Raises
        ------
        LimitError
            When the bench's altitude or a temperature is out of range.

        Examples
        --------
        >>> pumped = AirPressure(Conditions(temperature_c=20.0, altitude_m=0.0))
        >>> round(pumped.bench_value(653_477.4, Conditions(temperature_c=0.0, altitude_m=1500.0)))
        600000

        References
        ----------
        Gay-Lussac's law, any text on thermodynamics; ISO 2533 for the ambient pressure.
        """
        return set_abs_pa / self._compare_warmth(there) - ambient_pressure_pa(self.bench.altitude_m)

    def shown(self, set_abs_pa: Any, there: Conditions) -> Any:
        """Return what a gauge without losses would show elsewhere for an absolute set pressure there.

        p = P − p_a

        Parameters
        ----------
        set_abs_pa : float or array [Pa, absolute]
            Fully extended after equalising.
        there : Conditions
            Its altitude counts.

        Returns
        -------
        float or array [Pa, gauge]

        Raises
        ------
        LimitError
            When the altitude is out of range.

        Examples
        --------
        >>> round(AirPressure(Conditions()).shown(653_477.0, Conditions(altitude_m=1500.0)))
        568921

        References
        ----------
        Definition of gauge pressure; ISO 2533 for the ambient pressure.
        """
        return set_abs_pa - ambient_pressure_pa(there.altitude_m)

    def least(self, there: Conditions) -> float:
        """Return the lowest set pressure that can act: ambient, an open valve.

        P = p_a

        Parameters
        ----------
        there : Conditions
            Its altitude counts.

        Returns
        -------
        float [Pa, absolute]

        Raises
        ------
        LimitError
            When the altitude is out of range.

        Examples
        --------
        >>> AirPressure(Conditions()).least(Conditions())
        101325.0

        References
        ----------
        Definition of gauge pressure; ISO 2533 for the ambient pressure.
        """
        return ambient_pressure_pa(there.altitude_m)

    def site(self, there: Conditions) -> Site:
        """Return the surroundings there, the lower legs having been closed at the bench's ambient pressure."""
        leg_pa = ambient_pressure_pa(self.bench.altitude_m) * self._compare_warmth(there)
        return Site(ambient_pressure_pa(there.altitude_m), leg_pa)

    def _compare_warmth(self, there: Conditions) -> float:
        return warming_ratio(self.bench.temperature_c, there.temperature_c)
