"""What the rules answer: per spring end the numbers for the pump, the O-ring and the adjusters, with reasons.

Every pressure is gauge and in pascals; `pressure_pa` is what to pump at the bench, wheel off the ground, after
the chambers were equalised by cycling. Sentences are messages: a key and values, which become words where shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from setup_rules.messages.message import Message
from setup_rules.types.request import Datum, EndName, Place, SetupRequest

#: Changes whenever the same request would give another answer; stored beside every result.
RULES_VERSION = "3"


#: A gap that differs by less than this is shown as the same [mm]: sags are read and shown in half millimetres.
LEAST_SHIFT_MM: Final = 0.5
#: Direction of a change: clicks out or in, more or less sag or spacers.
Way = Literal["", "out", "in", "more", "less"]
ChangeKind = Literal[
    "none", "sag_check", "sag_target", "rebound", "compression", "volume_spacers", "workshop", "spring_rate"
]


@dataclass(frozen=True, slots=True)
class Note:
    """One sentence with a stable code, its source in English, and the spring end that it is about.

    `way` says in which direction the sentence asks for a change, where it asks for one.
    """

    code: str
    said: Message
    source: str = ""
    end: EndName | None = None
    way: Way = ""

    @property
    def message(self) -> str:
        """The sentence in English, filled in."""
        return self.said.english


@dataclass(frozen=True, slots=True, kw_only=True)
class ClickStart:
    """A start point of one adjuster: `out` clicks out from fully closed, of `total`; `clamped` at an end stop.

    `beyond` is how many clicks of the request's offset are lost at that stop (above zero past open, below past closed).
    """

    out: int
    total: int
    clamped: bool
    damping_n_s_per_m: float
    beyond: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Force over compression at the recommended pressure, for the plot: equal-length tuples [mm], [N].

    `load_n` is the force that has to be held at each compression (constant on a fork, falling or rising with
    the leverage on a shock).
    """

    compression_mm: tuple[float, ...]
    force_n: tuple[float, ...]
    load_n: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilChoice:
    """One coil spring that is to be had: its rate [N/m], the sag at the least preload and at the preload that suits.

    Sags and preload are in mm; `reaches` says whether the second sag is within the tolerance of the target.
    """

    rate_n_per_m: float
    least_preload_sag_mm: float
    preload_mm: float
    sag_mm: float
    reaches: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilSetup:
    """What is set on a coil main spring: rate [N/m] and preload [mm], with what they were chosen from.

    `rate_wanted_n_per_m` is the rate that would give the target sag at the least preload, low and high bound 90 % of
    cases. `origin` says whether the rate is that one (exact), a stocked one, or that of the spring fitted. Preload
    turns are None where the pitch is not known; `preload_max_mm` is what limit and coil bind leave, `preload_max_bind`
    says that it is coil bind. `stroke_needed_mm` is given where the spring entered is too short to be fitted at all.
    """

    rate_n_per_m: float
    rate_wanted_n_per_m: float
    rate_low_n_per_m: float
    rate_high_n_per_m: float
    origin: Literal["exact", "stocked", "fitted"]
    preload_mm: float
    preload_turns: float | None
    preload_min_mm: float
    preload_max_mm: float
    preload_max_assumed: bool
    choices: tuple[CoilChoice, ...] = ()
    preload_max_bind: bool = False
    stroke_needed_mm: float | None = None

    @property
    def fits(self) -> bool:
        """Whether the spring may be fitted: its coils do not touch before the end of the travel."""
        return self.stroke_needed_mm is None


@dataclass(frozen=True, slots=True, kw_only=True)
class PushedSpring:
    """The pushes of a spring test, at the spring, beside the likeliest air spring at the pressure of the test.

    `pressure_pa` is gauge. `force_n` is the mean of down and up at each push, `residual_n` how far it lies above the
    likeliest spring, `friction_n` half the difference as it was believed. `curve_mm` and `curve_n` are that spring.
    """

    pressure_pa: float
    compression_mm: tuple[float, ...]
    force_n: tuple[float, ...]
    residual_n: tuple[float, ...]
    friction_n: float
    curve_mm: tuple[float, ...]
    curve_n: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondChamber:
    """What is pumped into a second positive chamber, at the pressure of the first: gauge [Pa], at the bench and shown
    on the ride.

    `joins_at_mm` is the compression from full extension at which it joins the first, None where the travel ends before.
    `limited` says that its maximum keeps it below the manual's ratio.
    """

    pressure_pa: float
    ride_pressure_pa: float
    max_pressure_pa: float
    max_pressure_assumed: bool
    volume_cm3: float
    joins_at_mm: float | None
    limited: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class EndSetup:
    """The recommendation for one spring end. Low and high bound 90 % of cases (5th and 95th percentile).

    An end with a coil main spring has `coil`, and every pressure of it is 0. Every sag is that of the ride;
    `bench_shift_mm` is how much more the gap reads where the spring is set, below 0 how much less; None in answers of
    before it was reckoned.
    """

    end: EndName
    travel_mm: float
    pressure_pa: float
    pressure_low_pa: float
    pressure_high_pa: float
    ride_pressure_pa: float
    max_pressure_pa: float
    max_pressure_assumed: bool
    min_pressure_pa: float
    min_pressure_assumed: bool
    sag_target_mm: float
    sag_target_percent: float
    sag_expected_mm: float
    sag_low_mm: float
    sag_high_mm: float
    wheel_travel_mm: float
    wheel_sag_mm: float
    load_n: float
    rate_n_per_m: float
    full_force_n: float
    volume_spacers: int
    rebound: ClickStart | None
    compression: ClickStart | None
    curve: Curve
    checks_used: int = 0
    friction_n: float | None = None
    force_factor: float | None = None
    chart_fit_percent: float | None = None
    datum: Datum = "bike_at_rest"
    rest_mm: float = 0.0
    limited: bool = False
    answers_disagree: bool = False
    newest_surprise: float = 0.0
    coil: CoilSetup | None = None
    pushed: PushedSpring | None = None
    second: SecondChamber | None = None
    bench_shift_mm: float | None = None

    @property
    def setting(self) -> float:
        """What is set on the spring: the rate of a coil [N/m], else the air pressure [Pa, gauge]."""
        return self.pressure_pa if self.coil is None else self.coil.rate_n_per_m

    @property
    def tolerance_mm(self) -> float:
        """Miss of the target sag [mm] that is good enough: the larger of 2 mm and 2 % of the travel or stroke."""
        return max(2.0, 0.02 * self.travel_mm)

    @property
    def bench_target_mm(self) -> float:
        """What the target sag of the ride reads where the spring is set [mm], inside the travel."""
        return min(max(self.sag_target_mm + (self.bench_shift_mm or 0.0), 0.0), self.travel_mm)

    @property
    def reads_otherwise(self) -> bool:
        """Whether the gap where the spring is set differs from that on the ride by as much as is shown."""
        return abs(self.bench_shift_mm or 0.0) >= LEAST_SHIFT_MM

    @property
    def names_bench_target(self) -> bool:
        """Whether what the target reads where the spring is set is worth a word: it differs, and is within reach."""
        return self.reads_otherwise and self.reaches_target

    @property
    def reaches_target(self) -> bool:
        """Whether the sag to expect is within the tolerance of the target: at a limit it may not be."""
        return abs(self.sag_expected_mm - self.sag_target_mm) <= self.tolerance_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class SagCheck:
    """Sag readings [mm] at one set pressure [Pa, gauge], or with one coil, as taken at one time on one spring end.

    `readings_mm` settled any way; `from_above` eased on, `from_below` pushed down and let up.
    Conditions are those where the sag was taken; None means those of the request at `place`. The pressure was read
    there too, but on the ride, where it is that read at the bench of the request.
    """

    end: EndName
    pressure_pa: float = 0.0
    readings_mm: tuple[float, ...] = ()
    readings_from_above_mm: tuple[float, ...] = ()
    readings_from_below_mm: tuple[float, ...] = ()
    temperature_c: float | None = None
    altitude_m: float | None = None
    datum: Datum | None = None
    confirm: bool = False
    spring_rate_n_per_mm: float | None = None
    preload_mm: float = 0.0
    place: Place = "bench"

    @property
    def is_two_sided(self) -> bool:
        """Whether there are readings from above and from below, which bracket the friction."""
        return bool(self.readings_from_above_mm and self.readings_from_below_mm)

    @property
    def is_in_saved_air(self) -> bool:
        """Whether it was taken in the air that the setup has for its place."""
        return self.temperature_c is None and self.altitude_m is None


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenCheck:
    """A sag check with the request that was in force when it was taken, so that it can still be translated.

    `carried_mm` is how much more it read than the same spring shows on the ride, as it was known then; None in checks
    of before it was reckoned.
    """

    check: SagCheck
    request: SetupRequest
    struck: bool = False
    carried_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RideReport:
    """What a rider says of one spring end after a ride.

    `travel_used_mm` is where the O-ring ended (along the leg or the shaft), `hard_hits` how often the end of the
    travel was felt, `felt` any of `trail_feedback.FELT`.
    """

    end: EndName
    felt: tuple[str, ...] = ()
    travel_used_mm: float | None = None
    hard_hits: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """The one thing to change next: `amount` is signed, in `kind`'s own step (clicks out, points of sag, spacers).

    `before` is where that adjuster stood (clicks out, per cent of sag, spacers): nobody is sent back there.
    """

    end: EndName
    kind: ChangeKind
    amount: float = 0.0
    before: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenRide:
    """A ride report with the one change that was advised on it."""

    report: RideReport
    change: Change


@dataclass(frozen=True, slots=True, kw_only=True)
class BounceCheck:
    """What was seen after one firm dip of the bike with the rider standing on it.

    Give `seen` (one of `feedback.SEEN` or `feedback.OLD_SEEN`), or the dip and the first swing beyond standing height
    [mm], both by ruler. `clicks_out` is the rebound as it was set.
    """

    end: EndName
    clicks_out: int
    seen: str | None = None
    dip_mm: float | None = None
    beyond_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenBounce:
    """A bounce check that was taken: where the rebound stood, and the way it asked for.

    `direction` is 1 for out (quicker), −1 for in (slower), 0 for right as it was.
    """

    end: EndName
    clicks_out: int
    direction: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """One whole answer: the request, what each end is to be set to, cautions, reasons, and what lies behind it.

    `advice` says what to do next after a check or a ride, first the thing itself and then what goes with it; `settled`
    is about the sag check that led here, if one did. `bounces` holds the bounce checks that still count.
    """

    request: SetupRequest
    front: EndSetup | None
    rear: EndSetup | None
    cautions: tuple[Note, ...]
    reasons: tuple[Note, ...]
    checks: tuple[TakenCheck, ...] = ()
    rides: tuple[TakenRide, ...] = ()
    bounces: tuple[TakenBounce, ...] = ()
    advice: tuple[Note, ...] = ()
    settled: bool | None = None
    rules_version: str = RULES_VERSION

    def ends(self) -> tuple[EndSetup, ...]:
        """Return the spring ends that the answer has, front first."""
        return tuple(end for end in (self.front, self.rear) if end is not None)

    @property
    def minds_place(self) -> bool:
        """Whether it matters where a sag is measured: the air of the ride is another, and some end minds."""
        here = self.request.bench == self.request.ride
        return not here and any(end.coil is None or end.reads_otherwise for end in self.ends())
