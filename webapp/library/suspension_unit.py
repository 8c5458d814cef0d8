"""A fork or shock as a shop knows it. Every field but kind and name may be unknown: the size class stands in."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Final, Literal

from setup_rules.types.request import ChartWeight, NegativeSize, NegativeSpring, Pairs, SpringTest
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH, SERVICE_NOTE_LENGTH

Kind = Literal["fork", "shock"]
KINDS: Final = ("fork", "shock")
NAME_LONGEST: Final = BIKE_LABEL_LENGTH
NOTE_LONGEST: Final = SERVICE_NOTE_LENGTH
#: More travels, sizes or charts than this no suspension unit comes with.
MOST_TRAVELS: Final = 12
MOST_SPACER_SIZES: Final = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class SuspensionUnitChart:
    """The weight-pressure table of a manual for one travel (or stroke) [mm]: rows of rider mass [kg], psi (gauge).

    `sag_percent` is the sag that the manual means the pressures for, None where it does not say.
    """

    travel_mm: float
    rows: Pairs
    weight: ChartWeight = "rider_and_kit"
    sag_percent: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SuspensionUnit:
    """One fork or shock of the library.

    `travels_mm` are the travels (fork) or strokes (shock) that it can be built with, rising; the longest is the
    one without travel spacers. `positive_volume_cm3` is meant at the longest, fully extended, without volume
    spacers. `second_volume_cm3` is a second positive chamber, `second_pressure_ratio` its pressure over the first one's
    in the manual's table (gauge), `second_max_pressure_psi` its own maximum. `rebound_points` are two known points of
    the rebound damper: clicks out from fully closed, and the damping coefficient at the suspension unit's own shaft
    [N·s/m]. `spring_test` are pushes measured here, on the day `tested_on` (year-month-day) by `tested_by`.
    """

    kind: Kind
    name: str
    note: str = ""
    stanchion_mm: float | None = None
    travels_mm: tuple[float, ...] = ()
    travel_spacers_mm: tuple[float, ...] = ()
    min_pressure_psi: float | None = None
    max_pressure_psi: float | None = None
    rebound_clicks: int | None = None
    compression_clicks: int | None = None
    negative_spring: NegativeSpring | None = None
    negative_size: NegativeSize | None = None
    bore_mm: float | None = None
    rod_mm: float | None = None
    positive_volume_cm3: float | None = None
    negative_volume_cm3: float | None = None
    second_volume_cm3: float | None = None
    second_pressure_ratio: float | None = None
    second_max_pressure_psi: float | None = None
    port_position_mm: float | None = None
    negative_rate_n_per_mm: float | None = None
    negative_length_mm: float | None = None
    volume_spacer_cm3: float | None = None
    max_volume_spacers: int | None = None
    rebound_points: Pairs = ()
    charts: tuple[SuspensionUnitChart, ...] = ()
    torques: tuple[str, ...] = ()
    oils: tuple[str, ...] = ()
    intervals: tuple[str, ...] = ()
    spring_test: SpringTest | None = None
    tested_on: str = ""
    tested_by: str = ""

    @property
    def longest_mm(self) -> float | None:
        """The longest travel or stroke [mm], None when no travel is known."""
        return max(self.travels_mm, default=None)


#: What is one plain number in a suspension unit and goes into a request under the same name.
SHARED_NUMBERS: Final = (
    "min_pressure_psi",
    "max_pressure_psi",
    "rebound_clicks",
    "compression_clicks",
    "bore_mm",
    "rod_mm",
    "positive_volume_cm3",
    "negative_volume_cm3",
    "second_volume_cm3",
    "second_pressure_ratio",
    "second_max_pressure_psi",
    "port_position_mm",
    "negative_rate_n_per_mm",
    "negative_length_mm",
    "volume_spacer_cm3",
)
#: What only a unit with a second positive chamber has: most have none, so nothing stands in for it.
SECOND_CHAMBER: Final = ("second_volume_cm3", "second_pressure_ratio", "second_max_pressure_psi")
#: What is one word in a suspension unit and goes into a request under the same name.
SHARED_WORDS: Final = ("negative_spring", "negative_size")
#: Lists of lines for a service, as `webapp.library.service_lines` reads them.
SERVICE_LISTS: Final = ("torques", "oils", "intervals")
#: What a spring is known by: of a unit with others, nothing that was learned before is true any more.
SPRING_KEYS: Final = (
    *("stanchion_mm", "negative_spring", "negative_size", "bore_mm", "rod_mm", "positive_volume_cm3"),
    *("negative_volume_cm3", "port_position_mm", "negative_rate_n_per_mm", "negative_length_mm"),
    *("second_volume_cm3", "second_pressure_ratio"),
)
#: What only a fork has.
FORK_ONLY: Final = ("stanchion_mm", "travel_spacers_mm")


def same_spring(before: SuspensionUnit, after: SuspensionUnit) -> bool:
    """Return whether an entry describes the spring that it did: what its specimens taught then still holds.

    Examples
    --------
    >>> from dataclasses import replace
    >>> fork = SuspensionUnit(kind="fork", name="Fen 34", positive_volume_cm3=190.0)
    >>> same_spring(fork, replace(fork, name="Fen 34, new seals", max_pressure_psi=120.0))
    True
    >>> same_spring(fork, replace(fork, positive_volume_cm3=205.0))
    False
    """
    return before.kind == after.kind and all(getattr(before, key) == getattr(after, key) for key in SPRING_KEYS)


def name_key(name: str) -> str:
    """Return what two names of one shop may not share: the name without case, width, extra spaces and unseen signs.

    Examples
    --------
    >>> name_key("  Fork  A, 34 mm ") == name_key("FORK A, 34 MM")
    True
    >>> name_key("D\\u200b1") == name_key("d1")
    True
    """
    seen = "".join(c for c in unicodedata.normalize("NFKC", name) if unicodedata.category(c) != "Cf")
    return " ".join(seen.casefold().split())[:200]
