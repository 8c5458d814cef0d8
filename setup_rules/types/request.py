"""What the rules are asked: a bike, a rider, a style and one or two spring ends, in the interface's own units.

Field names carry their unit and are the keys of the JSON interface, so a stored request, an outside tool's
request and a Python caller's are the same thing. Every field outside the required few has a stated default.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final, Literal

from setup_rules.types.spring_memory import SpringMemory

RidingStyle = Literal["cross_country", "trail", "enduro", "downhill", "park"]
Stance = Literal["standing", "seated"]
NegativeSpring = Literal["air", "coil"]
#: What carries the bike: air under pressure, or a steel coil.
MainSpring = Literal["air", "coil"]
NegativeSize = Literal["small", "large"]
#: Where a sag was measured: where the spring was set, or on the ride with the spring as it was set before.
Place = Literal["bench", "ride"]
#: Where the gap at the O-ring is read: with the bike standing without its rider, or with the wheel lifted.
Datum = Literal["bike_at_rest", "wheel_off_ground"]
ChartWeight = Literal["rider", "rider_and_kit"]
EndName = Literal["front", "rear"]
#: Where a spring was pushed: along the fork's legs or the shock's shaft, or at the wheel behind a linkage.
PushedAt = Literal["spring", "wheel"]
Pairs = tuple[tuple[float, float], ...]
Rates = tuple[float, ...]
#: Fields that no form and no JSON body holds: a bike brings them.
BROUGHT_BY_BIKE: Final = frozenset({"memory", "unit_memory"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Where a pressure is pumped or a bike is ridden: air temperature [°C] and altitude above sea level [m]."""

    temperature_c: float = 20.0
    altitude_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringTest:
    """Pushes on a spring at one set pressure [psi, gauge]: compressions [mm] from fully extended, forces [N].

    Each force is read once the air has settled (about 30 s), going down and coming up: their mean is the spring, half
    their difference the friction. At the "wheel" (a shock behind its linkage) both are the wheel's, level with the
    ground. Travel or stroke, spacers and air are those of the day; left out, they are those of the request.
    """

    pressure_psi: float
    compression_mm: tuple[float, ...]
    force_down_n: tuple[float, ...]
    force_up_n: tuple[float, ...]
    at: PushedAt = "spring"
    tested_travel_mm: float | None = None
    tested_spacers: int | None = None
    temperature_c: float | None = None
    altitude_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopChecks:
    """What a shop's own sag checks say of a class of springs: the pressure they need over our estimate's.

    `spring_class` is as `spring_class` names it: of an end of another class nothing is said. `factor` is a factor on
    gauge pressure, `factor_sigma` the standard deviation of its logarithm, `checks` how many bikes it comes from.
    """

    spring_class: str
    checks: int
    factor: float
    factor_sigma: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringEnd:
    """What front and rear share: the air spring's internals where known, its limits, its adjusters.

    Every internal may be None, "not known": it is then drawn from the size class with its spread.
    `positive_volume_cm3` is meant fully extended, at the travel given, without volume spacers and lubricant;
    `air_lubricant_cm3` is oil or grease in the positive chamber, which takes room from the air. The click offsets
    are added to the computed start (more out when above zero): what bounce checks and rides have taught.
    `chart` holds the manual's (rider mass [kg], pressure [psi, gauge]) rows, for `chart_travel_mm` where that is
    another travel than the one installed. `rebound_points` are two known points of the rebound damper: (clicks out
    from fully closed, damping coefficient at the spring [N·s/m]), the second further out and lighter. `memory` is what
    earlier riders of a shop's bike taught of this spring, `unit_memory` what other specimens of the same fork or shock
    of the shop's library did; `shop_checks` is put there by the shop whose setup it is. None is ever taken from who
    asks.

    `second_volume_cm3` is a second positive chamber behind a floating piston, which joins the first once that one's
    pressure reaches its own; `second_pressure_ratio` is its set pressure over that of the first, both gauge, as the
    manual's table has them; `second_max_pressure_psi` is its own maximum.

    An end whose `spring` is a coil has none of the air figures. Instead it may have the rates that are to be had
    (`stocked_rates_n_per_mm`, rising), the greatest preload that its manual allows, the stroke of the spring down to
    coil bind, the preload that one turn gives, and the rate of the spring that is fitted.
    """

    negative_spring: NegativeSpring = "air"
    negative_size: NegativeSize | None = None
    datum: Datum = "bike_at_rest"
    sag_target_percent: float | None = None
    rebound_clicks: int | None = None
    compression_clicks: int | None = None
    rebound_offset_clicks: int = 0
    rebound_points: Pairs | None = None
    compression_offset_clicks: int = 0
    max_pressure_psi: float | None = None
    min_pressure_psi: float | None = None
    bore_mm: float | None = None
    rod_mm: float | None = None
    positive_volume_cm3: float | None = None
    negative_volume_cm3: float | None = None
    port_position_mm: float | None = None
    negative_rate_n_per_mm: float | None = None
    negative_length_mm: float | None = None
    volume_spacers: int = 0
    volume_spacer_cm3: float | None = None
    air_lubricant_cm3: float = 0.0
    chart: Pairs | None = None
    chart_weight: ChartWeight = "rider_and_kit"
    chart_sag_percent: float | None = None
    chart_travel_mm: float | None = None
    spring: MainSpring = "air"
    stocked_rates_n_per_mm: Rates | None = None
    preload_mm_max: float | None = None
    coil_stroke_mm: float | None = None
    preload_pitch_mm: float | None = None
    fitted_rate_n_per_mm: float | None = None
    spring_test: SpringTest | None = None
    second_volume_cm3: float | None = None
    second_pressure_ratio: float | None = None
    second_max_pressure_psi: float | None = None
    memory: SpringMemory | None = None
    unit_memory: SpringMemory | None = None
    shop_checks: ShopChecks | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontEnd(SpringEnd):
    """A fork. `longest_travel_mm` is its travel with no travel spacer fitted (default: the travel given)."""

    travel_mm: float
    longest_travel_mm: float | None = None
    stanchion_mm: float | None = None
    head_angle_deg: float = 66.0

    @property
    def compression_mm(self) -> float:
        """How far the spring can compress [mm]: the fork's travel along the leg."""
        return self.travel_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class RearEnd(SpringEnd):
    """A shock behind a linkage: leverage (wheel travel per stroke) from start to end, or as a table.

    `leverage_table` holds (stroke position [mm], leverage ratio) pairs, rising, over the whole stroke; it
    replaces start and end where given.
    """

    stroke_mm: float
    leverage_start: float | None = None
    leverage_end: float | None = None
    leverage_table: Pairs | None = None

    @property
    def compression_mm(self) -> float:
        """How far the spring can compress [mm]: the shock's stroke."""
        return self.stroke_mm

    @property
    def leverage_points(self) -> Pairs:
        """The leverage curve as (stroke position [mm], ratio) pairs."""
        if self.leverage_table:
            return self.leverage_table
        start = self.leverage_start or self.leverage_end or 1.0
        return ((0.0, start), (self.stroke_mm, self.leverage_end or start))


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupRequest:
    """One rider on one bike: masses [kg], riding style, where it is pumped and ridden, and its spring ends.

    `front_axle_kg` and `rear_axle_kg` are what a scale under that wheel shows with the rider on the bike, kit on, in
    riding stance, the other wheel at the same height, without luggage on the bike. `luggage_front_kg` hangs on the bike
    at handlebar or fork, `luggage_rear_kg` at saddle or rack, and both stay there when the rider steps off.
    `weighed_kg` is rider, kit and bike together on that day and `weighed_stance` the stance, left out where they are
    those of the request: the share is kept, not the kilograms.
    """

    rider_mass_kg: float
    riding_style: RidingStyle
    kit_mass_kg: float = 4.0
    bike_mass_kg: float = 14.0
    luggage_front_kg: float | None = None
    luggage_rear_kg: float | None = None
    stance: Stance = "standing"
    rider_front_share_percent: float | None = None
    front_axle_kg: float | None = None
    rear_axle_kg: float | None = None
    weighed_kg: float | None = None
    weighed_stance: Stance | None = None
    bench: Conditions = field(default_factory=Conditions)
    ride: Conditions = field(default_factory=Conditions)
    front: FrontEnd | None = None
    rear: RearEnd | None = None

    def ends(self) -> Iterator[tuple[EndName, FrontEnd | RearEnd]]:
        """Yield (name, spring end) for each end that the request has, front first."""
        if self.front is not None:
            yield "front", self.front
        if self.rear is not None:
            yield "rear", self.rear
