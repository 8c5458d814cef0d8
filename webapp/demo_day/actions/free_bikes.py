"""Free bikes for a waiting rider: those that need the least work, and whether their limits fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from setup_rules import RequestError, Setup, SetupRequest, SetupRulesError, recommend
from webapp.demo_day.actions.set_up_bike import rider_request
from webapp.demo_day.bike import Bike
from webapp.demo_day.changes import BikeChange, changes_to
from webapp.demo_day.queries import bikes as queries
from webapp.ground.database.engine import database
from webapp.setups.revision import Revision

#: Free bikes that are worked out for one rider: each takes as long as a setup.
MOST_LOOKED_AT: Final = 30
#: Pressures that differ by less than this [psi] are not pumped for: a gauge reads no finer.
_SAME_PSI: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeBike:
    """A free bike: how many ends need the pump, how many clicks to turn, and whether no limit is in the way."""

    bike: Bike
    pumped: int
    clicks: int
    psi: float
    fits: bool
    springs: int = 0

    @property
    def work(self) -> tuple[bool, int, int, int, float]:
        """What orders bikes: the fitting first, then springs to change, pumps to attach, clicks and air."""
        return (not self.fits, self.springs, self.pumped, self.clicks, self.psi)


def find_free_bikes(shop_id: int, rider: dict[str, Any]) -> tuple[FreeBike, ...]:
    """Return the free bikes of a shop for a rider, the least work first.

    Raises
    ------
    RequestError
        With every problem of the rider's data, where there is a bike to say so of.
    """
    with database.read() as connection:
        free = queries.bikes(connection, shop_id, free=True, limit=MOST_LOOKED_AT)
    known: dict[SetupRequest, Setup | None] = {}  # bikes of one kind that nobody taught yet ask for one answer
    return tuple(sorted((_judged(bike, rider, known) for bike in free), key=lambda one: one.work))


def find_fitting(bike: Bike, saved: Revision) -> Bike | None:
    """Return the free bike of the shop that fits the rider of another with the least work, None where none does."""
    request = saved.setup.request
    rider = {"rider_mass_kg": request.rider_mass_kg, "kit_mass_kg": request.kit_mass_kg}
    try:
        found = find_free_bikes(bike.shop_id, rider | {"riding_style": request.riding_style})
    except RequestError:
        return None
    return next((one.bike for one in found if one.fits and one.bike.bike_id != bike.bike_id), None)


def _judged(bike: Bike, rider: dict[str, Any], known: dict[SetupRequest, Setup | None]) -> FreeBike:
    asked = rider_request(bike, rider)
    if asked not in known:
        known[asked] = _answer(asked)
    setup = known[asked]
    return FreeBike(bike=bike, pumped=0, clicks=0, psi=0.0, fits=False) if setup is None else _work_on(bike, setup)


def _answer(asked: SetupRequest) -> Setup | None:
    """Return what the rules say, None where they find no answer."""
    try:
        return recommend(asked)
    except SetupRulesError:
        return None


def _work_on(bike: Bike, setup: Setup) -> FreeBike:
    changes = changes_to(bike, setup)
    airs = [one for one in changes if one.what.endswith("pressure_psi") and _air(one) >= _SAME_PSI]
    clicks = [one for one in changes if one.what.endswith("clicks_out")]
    springs = [one for one in changes if one.what in ("spring_rate_n_per_mm", "preload_mm")]
    return FreeBike(
        bike=bike,
        pumped=len({one.end for one in airs}),
        clicks=round(sum(abs(one.after - (one.before or 0)) for one in clicks)),
        psi=sum(_air(one) for one in airs),
        springs=len(springs),
        fits=all(end.reaches_target and (end.coil is None or end.coil.fits) for end in setup.ends()),
    )


def _air(change: BikeChange) -> float:
    return abs(change.after - (change.before or 0.0))
