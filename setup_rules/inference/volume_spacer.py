"""Volume spacers: they raise the end of the stroke; at the same sag the pressure hardly moves."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import Posterior, central_row
from setup_rules.inference.pumped_setting import wanted_pumped
from setup_rules.inference.size_class import draw_fork, draw_shock, spacer_volume_cm3
from setup_rules.inference.start_setting import DrawnEnd
from setup_rules.types.constants import LEAST_COMPRESSED_VOLUME, RIDE_EXPONENT
from setup_rules.types.limits import LIMITS
from setup_rules.types.request import FrontEnd, RearEnd

#: A volume spacer is only advised where this share of the swept volume is left at full compression (our estimate).
LEAST_LEFT: Final = 0.2


@dataclass(frozen=True, slots=True)
class SpacerEffect:
    """What another number of volume spacers does at the same sag.

    Pressure before and after [Pa, gauge]; work to full compression and force there, each after over before.
    """

    pressure_before_pa: float
    pressure_after_pa: float
    work_factor: float
    full_force_factor: float


def spacers_possible(end: FrontEnd | RearEnd) -> bool:
    """Return whether the end of the stroke can hold the volume spacers of an end (central spring, or as entered)."""
    return _left_share(end, end.volume_spacers) > LEAST_COMPRESSED_VOLUME.value


def lubricant_fits(end: FrontEnd | RearEnd) -> bool:
    """Return whether the lubricant of an end alone leaves the air room at the end of the stroke."""
    return _left_share(end, 0) > LEAST_COMPRESSED_VOLUME.value


def most_spacers(end: FrontEnd | RearEnd) -> int:
    """Return how many volume spacers the end of the stroke of an end can hold at most (central spring, or as entered).

    V_end − n·v > LEAST_COMPRESSED_VOLUME·A·T

    Parameters
    ----------
    end : FrontEnd or RearEnd
        The end; its own number of spacers plays no part.

    Returns
    -------
    int [pieces]
        0 up to the limit of `volume_spacers`.

    Examples
    --------
    >>> most_spacers(FrontEnd(travel_mm=140.0, stanchion_mm=34)) > most_spacers(FrontEnd(travel_mm=60.0))
    True

    References
    ----------
    Geometry of the chamber; `LEAST_COMPRESSED_VOLUME`: our estimate.
    """
    return max(
        count
        for count in range(int(LIMITS["volume_spacers"].high) + 1)
        if not count or _left_share(end, count) > LEAST_COMPRESSED_VOLUME.value
    )


def spacers_fit(end: FrontEnd | RearEnd, count: int) -> bool:
    """Return whether `count` volume spacers leave the positive chamber room at full compression (central spring)."""
    limit = LIMITS["volume_spacers"]
    if not limit.low <= count <= limit.high:
        return False
    return _left_share(end, count) > LEAST_LEFT


def _left_share(end: FrontEnd | RearEnd, count: int) -> float:
    """Return what `count` spacers leave of the positive chamber at full compression, over the swept volume."""
    bare: Any = replace(end, volume_spacers=0, air_lubricant_cm3=0.0)
    spring = draw_fork(bare, central_row()) if isinstance(bare, FrontEnd) else draw_shock(bare, central_row())
    left_m3 = float(spring.compressed_volume_m3) - (count * spacer_volume_cm3(end) + end.air_lubricant_cm3) * 1e-6
    return left_m3 / (float(spring.area_m2) * float(spring.travel_m))


def spacer_effect(model: EndModel, posterior: Posterior, count: int, sag_m: float) -> SpacerEffect:
    """Return what changing to another number of volume spacers does at a sag, with the pressure solved again.

    W'/W and F'/F at full compression, each at the pressure that keeps the sag

    Parameters
    ----------
    model : EndModel
        The end as it is.
    posterior : Posterior
        What is known of it.
    count : int [pieces]
        Volume spacers afterwards, 0 to 12.
    sag_m : float [m]
        Sag to keep.

    Returns
    -------
    SpacerEffect [Pa gauge, -]

    Examples
    --------
    >>> from setup_rules.inference.posterior import prior
    >>> from setup_rules.types.request import SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> effect = spacer_effect(model, prior(), 2, 0.028)
    >>> effect.full_force_factor > effect.work_factor > 1.0 > effect.pressure_after_pa / effect.pressure_before_pa
    True

    References
    ----------
    Work stored by compressing air, integrated over the stroke; ride exponent 1.
    """
    changed = EndModel(model.name, replace(model.end, volume_spacers=count), model.request)
    before, after = (
        _solve_pressure_work_force(model, posterior, sag_m),
        _solve_pressure_work_force(changed, posterior, sag_m),
    )
    return SpacerEffect(before[0], after[0], after[1] / before[1], after[2] / before[2])


def _solve_pressure_work_force(model: EndModel, posterior: Posterior, sag_m: float) -> tuple[float, float, float]:
    pressure = wanted_pumped(DrawnEnd.of(model, posterior), sag_m).middle
    ride = model.request.ride
    spring = model.pumped(pressure).springs(posterior.centre)
    acting, site = model.setting.acting(pressure, ride), model.setting.site(ride)
    work = float(spring.work_j(model.travel_m, acting, site, RIDE_EXPONENT.value))
    return pressure, work, float(spring.force_n(model.travel_m, acting, site, RIDE_EXPONENT.value))
