"""A shop's bike as the room sees it: immutable, without any rider."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final, Literal

from setup_rules import SetupRequest, SpringMemory, read_request, with_memories
from setup_rules.inference.end_model import EndModel
from setup_rules.types import constants as c
from setup_rules.types.request import EndName

NUMBER_LONGEST: Final = 20
ENDS: Final[tuple[EndName, ...]] = ("front", "rear")
#: Where a bike is in its day. `back`: back and unchecked, `set_aside`: nobody is to have it, for a reason.
State = Literal["in", "being_set", "out", "back", "set_aside"]
#: States in which a waiting rider can have a bike.
FREE: Final[tuple[State, ...]] = ("in", "back")
REASON_LONGEST: Final = 200
#: The rider's part of a request; all else is the bike's.
OF_BIKE: Final = ("bike_mass_kg", "front", "rear")


@dataclass(frozen=True, slots=True, kw_only=True)
class EndStanding:
    """What is set on one end of a bike now; None: not known, or not on this kind of spring.

    Pressure [psi, gauge] as the pump read it, of a coil its rate [N/mm] and preload [mm]; clicks out.
    `second_pressure_psi` is that of a second positive chamber.
    """

    pressure_psi: float | None = None
    spring_rate_n_per_mm: float | None = None
    preload_mm: float | None = None
    rebound_clicks_out: int | None = None
    compression_clicks_out: int | None = None
    second_pressure_psi: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BikeTurn:
    """Whose turn it is: the state, since when and by whom (login), and the setup of the rider who has the bike.

    `rider_code` is the setup's link, None once the rider is gone; `has_card` says that the rider took a card home.
    """

    state: State = "in"
    since: datetime | None = None
    by: str = ""
    staff_id: int | None = None
    reason: str = ""
    rider_code: str | None = None
    has_card: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NewBike:
    """A bike before it is stored. `document` is a request without its rider, `units` the library's names by end."""

    number: str
    label: str = ""
    document: Mapping[str, Any]
    units: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bike:
    """A stored bike. `version` counts its changes, `stands_since` is when somebody last confirmed what stands on it."""

    bike_id: int
    shop_id: int
    number: str
    label: str
    tag: str
    document: Mapping[str, Any]
    standing: Mapping[EndName, EndStanding]
    stands_since: datetime | None
    memories: Mapping[EndName, SpringMemory]
    version: int
    turn: BikeTurn = BikeTurn()
    retired_at: datetime | None = None

    @property
    def name(self) -> str:
        """What people call the bike: its number, and its label where it has one."""
        return f"{self.number} · {self.label}" if self.label else self.number

    def request_for(self, rider: Mapping[str, Any]) -> SetupRequest:
        """Return the request of a rider on this bike, with what its springs remember (raises `RequestError`)."""
        bike = {key: value for key, value in self.document.items() if key != "units"}
        return with_memories(read_request({**bike, **rider}), self.memories)

    def model_of(self, name: EndName) -> EndModel:
        """Return one spring of the bike for the rules; the rider in it plays no part in what is asked of it."""
        request = self.request_for({"rider_mass_kg": c.REFERENCE_RIDER.value})
        return EndModel(name, dict(request.ends())[name], request)
