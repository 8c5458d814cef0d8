"""What riders' sag checks taught of a fork or shock of the library: put into setups, looked at, and let go.

Specimens of it teach: every bike of the shop that names it, by what the bike remembers, and every setup that chose it,
by what its own checks say. Nothing of that is kept beside the bike and the setup, so that it ends with them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

from setup_rules import RequestError, Setup, SetupRequest, SpringMemory, lesson_of, memory_of_unit, read_request
from setup_rules import with_unit_memories as put_in
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.spring_memory import typical_factor
from setup_rules.types import constants as c
from setup_rules.types.request import EndName
from webapp.accounts.staff import StaffMember
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.events import revision_added
from webapp.library.actions.find_suspension_units import find_suspension_unit
from webapp.library.merging import is_spring_of, with_suspension_unit
from webapp.library.parsing import read_suspension_unit
from webapp.library.queries import learning as queries
from webapp.library.queries.learning import LearningUnit, Taught
from webapp.library.suspension_unit import SuspensionUnit

#: How the kinds of revision begin that change which checks count.
_KINDS: Final = ("sag_check", "check_", "restored")
#: Travel and stroke [mm] and leverage by which a unit is told from the typical one where it does not say: any would do.
_USUAL_TRAVEL_MM: Final = {"fork": 140.0, "shock": 55.0}
_USUAL_LEVERAGE: Final = {"leverage_start": 2.8, "leverage_end": 2.5}


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitLearning:
    """What is known of a unit from its specimens: riders, how much more pressure than typical [%], since when.

    `percent` is None where nobody taught anything; `forgotten_at` is when the shop's owner let go of what was known.
    """

    riders: int = 0
    percent: float | None = None
    since: datetime | None = None
    forgotten_at: datetime | None = None


def listen() -> None:
    """Hear of every revision that is added."""
    revision_added.connect(teach_unit)


def teach_unit(kind: str, *, connection: Any, setup_id: int, setup: Setup) -> None:
    """Work out anew what a setup's checks teach of its units, in the transaction that stores the check."""
    if not kind.startswith(_KINDS):
        return
    tied = queries.ends_tied(connection, setup_id)
    for name, _end in setup.request.ends():
        if name in tied:
            queries.store_lesson(connection, setup_id, name, lesson_of(setup, name))


def with_unit_memories(
    shop_id: int, request: SetupRequest, units: Mapping[EndName, str], but_bike: int | None = None
) -> SetupRequest:
    """Return a request with what other specimens of its forks and shocks taught; `units` are their names by end.

    `but_bike` is the bike that the request is for: what it remembers itself counts apart, and in full.
    """
    if not units:
        return request
    memories: dict[EndName, SpringMemory | None] = {}
    with database.read() as connection:
        for end, name in units.items():
            unit = queries.learning_unit(connection, shop_id, name=name)
            taught = [] if unit is None else _taught(connection, shop_id, unit, end, but_bike)
            memories[end] = memory_of_unit([one.memory for one in taught])
    return put_in(request, memories)


def _taught(
    connection: Connection, shop_id: int, unit: LearningUnit, end: EndName, but_bike: int | None = None
) -> list[Taught]:
    """Return what each specimen taught since its internals are those that the library has now."""
    known = read_suspension_unit(unit.document)
    bikes = queries.bikes_taught(connection, shop_id, unit, end, but_bike)
    own = [one for one in bikes if one.memory.riders and is_spring_of(known, one.fitted or {}, at_travel=True)]
    return [*own, *queries.setups_taught(connection, unit, end)]


def tie_to_units(shop_id: int, code: str, units: Mapping[EndName, str]) -> None:
    """Note which forks and shocks of the library a new setup chose: its checks will teach of them."""
    if not units:
        return
    with database.write() as connection:
        for end, name in units.items():
            unit = queries.learning_unit(connection, shop_id, name=name)
            if unit is not None:
                queries.tie_setup(connection, code, end, unit.unit_id, datetime.now(UTC))


def learned_of_unit(shop_id: int, suspension_unit_id: int) -> UnitLearning:
    """Return what the specimens of one of the shop's forks and shocks taught."""
    with database.read() as connection:
        unit = queries.learning_unit(connection, shop_id, unit_id=suspension_unit_id)
        if unit is None:
            return UnitLearning()
        known = read_suspension_unit(unit.document)
        taught = _taught(connection, shop_id, unit, "front" if known.kind == "fork" else "rear")
    memory = memory_of_unit([one.memory for one in taught])
    if memory is None:
        return UnitLearning(forgotten_at=unit.forgotten_at)
    model = _model_of(known)
    return UnitLearning(
        riders=memory.riders,
        percent=None if model is None else 100.0 * (typical_factor(memory, model) - 1.0),
        since=min(one.since for one in taught),
        forgotten_at=unit.forgotten_at,
    )


def _model_of(unit: SuspensionUnit) -> EndModel | None:
    """Return the unit for the rules, on a usual bike; None where no setup would take it."""
    name: EndName = "front" if unit.kind == "fork" else "rear"
    travel = "travel_mm" if unit.kind == "fork" else "stroke_mm"
    typed: dict[str, Any] = {travel: unit.longest_mm or _USUAL_TRAVEL_MM[unit.kind]}
    end = with_suspension_unit(unit, typed if unit.kind == "fork" else {**typed, **_USUAL_LEVERAGE})
    asked = {"rider_mass_kg": c.REFERENCE_RIDER.value, "riding_style": "trail", name: end}
    try:
        request = read_request(asked)
    except RequestError:
        return None
    return EndModel(name, dict(request.ends())[name], request)


def forget_learned(owner: StaffMember, suspension_unit_id: int, *, forget: bool) -> None:
    """Let go of all that was taught of a fork or shock so far, or take that back (raises `NotFoundError`).

    Bikes keep what they remember of their own springs, and setups what their own checks say.
    """
    find_suspension_unit(owner.shop_id, suspension_unit_id)
    with database.write() as connection:
        moment = datetime.now(UTC) if forget else None
        queries.set_forgotten(connection, owner.shop_id, suspension_unit_id, moment)
