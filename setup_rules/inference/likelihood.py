"""From sag readings to what they say of a spring end: a weighted set of springs and loads.

A reading is the gap at the O-ring: the compression under the rider less the compression where the gap is read, moved
by stick friction, by how the rider stands, by reading error and by rounding. Each drawn spring carries two Gaussian
states of the rider: the load's deviation d, in standard deviations of the front share, and the settling habit s, the
side on which the spring tends to stop (−1 short of, +1 beyond the place without friction):

    reading = x_rider(d) − x_rest(0.3·F_f) + s·F_f/k + error

A Kalman step a group of readings updates (d, s) of every draw, and the draw is weighted by how likely the readings are
with it. The error has heavy tails (Student, four degrees of freedom), so that one slip of the pen does not rule; d and
s drift between checks, so that newer checks count more. Readings *from above* stop short by most of the friction, *from
below* long by as much: their side is known, and one of each brackets the friction. One drawn spring is shared by all
checks; another rider's d and s are drawn anew.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np

from setup_rules.inference.draw_weights import evened
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.measured import Measured, posterior_after
from setup_rules.inference.posterior import DRAWS, Posterior, prior
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.spring_memory import memory_log_weight
from setup_rules.inference.start_setting import Held, held_of
from setup_rules.inference.unit_memory import remembered_of
from setup_rules.physics.rider_load import weight_n
from setup_rules.types.constants import READING_SIGMA_MM
from setup_rules.types.request import Conditions, Datum
from setup_rules.types.result import SagCheck, TakenCheck

#: How differently a rider stands from one check to the next: standard deviation of the front share (our estimate).
STANCE_SIGMA: Final = 0.008
#: Air not quite settled, O-ring pushed on while getting on: standard deviation as a share of the sag (our estimate).
SETTLING_SIGMA: Final = 0.02
#: Gauge and pump: standard deviation of a set pressure as read, as a share (our estimate).
GAUGE_SIGMA: Final = 0.006
#: Settling habit of a rider: standard deviation, as a share of the friction (our estimate).
HABIT_SIGMA: Final = 0.45
#: Part of the friction that is new with each reading: standard deviation, as a share of the friction (our estimate).
NEW_SIDE_SIGMA: Final = 0.4
#: A one-sided reading stops at this share of the friction (mean, standard deviation; our estimate).
ONE_SIDED: Final = (0.9, 0.12)
#: Where the gap is read, friction holds the spring in with this share of itself (our estimate).
REST_SIDE: Final = 0.3
#: What the states gain in variance from one check to the next: newer checks count more (our estimate).
DRIFT: Final = (0.02, 0.01)
#: What an older check still says of the spring, for each check that came after it: seals wear, air is lost, a habit of
#: reading repeats (our estimate).
MEMORY: Final = 0.9
#: Degrees of freedom of the readings' error, and the least weight that a reading keeps (our estimate).
STUDENT: Final = 4.0
LEAST_WEIGHT: Final = 0.02
#: Fewer effective draws than this mean that the answers disagree: the weights are evened out until there are as many.
LEAST_DRAWS: Final = 30.0
#: A bike's memory is never taken to be so sharp that fewer effective draws than this would carry it.
LEAST_REMEMBERED: Final = 64.0
#: So many compared checks are kept in memory, some 30 kB each.
_MOST_COMPARED: Final = 256
#: How far the stated masses of a rider and kit may be off: standard deviation as a share (our estimate).
STATED_MASS_SIGMA: Final = 0.03
#: A rider whose weight differs by more than this from one check to the next is another rider [kg] (our estimate).
SAME_RIDER_KG: Final = 3.0


@dataclass(frozen=True, slots=True)
class SagLikelihood:
    """One sag check made ready: its end model, surroundings, the setting as it acted and groups of readings [m].

    `side` of a group is −1 from above, +1 from below, 0 either. A frictionless one is not a measured sag but one
    that somebody else worked out: it speaks of the spring, not of the rider.
    """

    model: EndModel
    conditions: Conditions
    acting: float
    groups: tuple[tuple[int, tuple[float, ...]], ...]
    reading_sigma_m: float
    frictionless: bool = False
    datum: Datum | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """One group of readings against every drawn spring: expected reading [m] = `expected_m` + `per_state`·(d, s).

    `variance_m2` is that of the middle reading, `single_m2` of one reading about the middle.
    """

    reading_m: float
    expected_m: Any
    per_state: Any
    variance_m2: Any
    single_m2: Any
    readings_m: Any


def compare_readings(check: SagLikelihood, z: Any) -> list[Group]:
    """Return each group of readings of a check against drawn springs z, shape (draws, unknowns)."""
    model, site, pressure = check.model, check.model.setting.site(check.conditions), check.acting
    centred = z.copy()
    centred[:, COLUMN["share"]] = 0.0
    held, friction = held_of(model, centred, check.datum), model.friction_n(z) * (not check.frictionless)
    # Coming out of the sag, friction keeps the spring from extending all the way; topped out firmly, it does not.
    rest = replace(held, rest_load_n=held.rest_load_n + REST_SIDE * friction).rest_m(pressure, site)
    count_groups, compared = len(check.groups), []
    for side, readings in check.groups:
        count = len(readings)
        reading = _middle(readings)
        # Worked out about the reading itself: exact there, and no search for the place under the rider.
        x = np.clip(reading + rest, 0.0, 0.98 * model.travel_m)
        rate = _net_rate(held, x, held.load_n, pressure, site)
        lever = held.leverage.at(x)
        gap = x - rest - (held.springs.force_n(x, pressure, site) - held.load_n * lever) / rate
        slack, per_share = friction / rate, _load_per_share(model, z) * lever / rate
        own = check.reading_sigma_m**2 + (0.0 if side else NEW_SIDE_SIGMA**2) * slack**2
        stance = STANCE_SIGMA / model.share_sigma * per_share
        whole = stance**2 + ((GAUGE_SIGMA + SETTLING_SIGMA) * reading) ** 2
        # What a check's groups have in common is counted once for the check, though each group carries it.
        variance = own / count + (0.0 if check.frictionless else count_groups * whole)
        if side:
            variance = variance + (ONE_SIDED[1] * slack) ** 2
        moved = gap + side * ONE_SIDED[0] * slack
        by_rider = per_share * (not check.frictionless)
        per_state = np.stack((by_rider, np.zeros_like(slack) if side else slack), axis=-1)
        compared.append(Group(reading, moved, per_state, variance, own, readings))
    return compared


@lru_cache(maxsize=_MOST_COMPARED)
def _compared(check: SagLikelihood, measured: Measured | None) -> tuple[Group, ...]:
    """Return the groups of a check against the sample, worked out once: each answer weighs the same checks again."""
    return tuple(compare_readings(check, posterior_after(measured).z))


def _net_rate(held: Held, x: Any, load_n: Any, pressure: float, site: Any) -> Any:
    rate = held.springs.rate_n_per_m(x, pressure, site) - load_n * held.leverage.slope_at(x)
    # With every internal entered the rate is one number: still one a draw, as the friction is.
    return np.maximum(rate, 1.0) * np.ones(len(held.load_n))


def _load_per_share(model: EndModel, z: Any) -> Any:
    """Return what one standard deviation of the front share adds to the load [N], one a draw."""
    one = np.zeros_like(z)
    one[:, COLUMN["share"]] = 1.0
    sign = 1.0 if model.name == "front" else -1.0
    along = model.load_n(one) / np.maximum(model.sprung_kg(one), 1.0) / weight_n(1.0)
    return sign * model.share_sigma * weight_n(model.rider_and_kit_kg) * along


def sag_likelihood(taken: TakenCheck, model: EndModel) -> SagLikelihood:
    """Make a taken check ready, translated by the request that was in force when it was taken."""
    check = taken.check
    bench = model.request.bench
    there = bench if check.place == "bench" else model.request.ride
    conditions = Conditions(
        temperature_c=there.temperature_c if check.temperature_c is None else check.temperature_c,
        altitude_m=there.altitude_m if check.altitude_m is None else check.altitude_m,
    )
    model = model.as_checked(check)
    set_at = conditions if check.place == "bench" else bench
    acting = model.setting_at(set_at).acting(model.checked_value(check), conditions)
    named = ((0, check.readings_mm), (-1, check.readings_from_above_mm), (1, check.readings_from_below_mm))
    sigma_mm = math.hypot(READING_SIGMA_MM[check.end].value, _find_rounding_mm(check) / math.sqrt(12.0))
    groups = tuple((side, tuple(one / 1000 for one in mm)) for side, mm in named if mm)
    return SagLikelihood(model, conditions, acting, groups, sigma_mm / 1000, datum=check.datum)


def _find_rounding_mm(check: SagCheck) -> float:
    """Return the step [mm] to which the readings of a check seem rounded: 1, 0.5 or 0.1."""
    values = [*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm]
    for step in (1.0, 0.5):
        if all(abs(v / step - round(v / step)) < 1e-6 for v in values):
            return step
    return 0.1


@dataclass(frozen=True, slots=True)
class Rider:
    """What is known of the rider under each drawn spring: mean and covariance of (d, s), and who it is."""

    mean: Any
    covariance: Any
    model: EndModel | None = None

    @classmethod
    def unknown(cls, draws: int = DRAWS, on: EndModel | None = None) -> Rider:
        """Return what is known of a rider of whom no check is known, `on` a bike that may remember others."""
        prior = np.diag((_load_variance(on), HABIT_SIGMA**2))
        return cls(np.zeros((draws, 2)), np.broadcast_to(prior, (draws, 2, 2)))


def _load_variance(model: EndModel | None) -> float:
    """Return the variance of the load's deviation, in that of the front share.

    Where only one rider is known, what is wrong with the stated weight is part of what the model leaves out; on a bike
    that remembers others it is new with each rider.
    """
    if model is None or remembered_of(model.end) is None:
        return 1.0
    share = float(model.front_share(0.0))
    own = share if model.name == "front" else 1.0 - share
    return 1.0 + (STATED_MASS_SIGMA * own / model.share_sigma) ** 2


@dataclass(frozen=True, slots=True)
class Learned:
    """What is known after the checks, of the spring and of its rider; `spring` weighs the draws, loads left out.

    `effective_draws` counts the draws that carry the weight, `surprise` is the newest check's miss in standard
    deviations of what was expected of it: above zero where it read more.
    """

    posterior: Posterior
    spring: Any
    rider: Rider
    effective_draws: float = float(DRAWS)
    surprise: float = 0.0
    measured: Measured | None = None

    @classmethod
    def nothing(cls) -> Learned:
        """Return what is known before any check: the stated spreads."""
        return cls(prior(), prior().weight, Rider.unknown())

    @classmethod
    def before_checks(cls, asked: EndModel) -> Learned:
        """Return what is known of an end before any check: the stated spreads, narrowed by a scale and pushes."""
        measured = Measured.of(asked)
        if measured is None:
            return cls.nothing()
        posterior = posterior_after(measured)
        return cls(posterior, posterior.weight, Rider.unknown(), measured=measured)

    @property
    def disagree(self) -> bool:
        """Whether so few springs explain the readings that these contradict each other."""
        return self.effective_draws < LEAST_DRAWS


@dataclass(frozen=True, slots=True)
class Expected:
    """What a check is expected to read [m], its standard deviation [m], and where it read, in these."""

    reading_m: float
    sigma_m: float
    surprise: float


def learn(checks: tuple[SagLikelihood, ...], asked: EndModel | None = None, start: Any = None) -> Learned:
    """Return what is known of an end after its checks, oldest first: drawn springs with fitting loads, weighted.

    `asked` is the end as it is asked about: of another rider than the newest check's nothing is known yet. `start` is
    the log weight of each draw before any check, None where all weigh the same.
    """
    measured = Measured.of(asked) if asked else None
    learned = _weigh(checks, asked, measured, start)
    if len(checks) < 2 or checks[-1].frictionless:
        return learned
    newest = expect(_weigh(checks[:-1], checks[-1].model, measured, start), checks[-1])
    return replace(learned, surprise=newest.surprise)


def _weigh(checks: tuple[SagLikelihood, ...], asked: EndModel | None, measured: Measured | None, start: Any) -> Learned:
    """Weigh the draws by the checks, the newest first: where old and new contradict each other the old one is the slip.

    An older check says less the more checks came after it. A bike's memory of its spring stands before them all.
    """
    model = asked or checks[-1].model
    z, remembered, carried = posterior_after(measured).z.copy(), *_remembered(model)
    log_weight = remembered if start is None else remembered + start
    #: Every rider of these checks, the newest first, with how many checks of theirs were taken.
    riders: list[tuple[Rider, int]] = []
    for one in reversed(checks):
        place = -1 if one.frictionless else _place_of(riders, one.model)
        rider, age = riders[place] if riders and place < len(riders) else (Rider.unknown(on=model), 0)
        for group in _compared(one, measured):
            rider, gained = fit_rider(rider, with_drift(group, age))
            log_weight = log_weight + MEMORY**age * (gained + _scatter(group))
        if not one.frictionless:
            riders[place : place + 1] = [(replace(rider, model=rider.model or one.model), age + 1)]
    # The newest rider is the one asked about, unless somebody else is.
    place = 0 if asked is None else _place_of(riders, asked)
    own = riders[place][0] if place < len(riders) else Rider.unknown(on=model)
    column = COLUMN["share"]
    z[:, column] = own.mean[:, 0] + np.sqrt(own.covariance[:, 0, 0]) * z[:, column]
    weights = evened(log_weight, LEAST_DRAWS)
    weight, effective = weights.weight, weights.carried_before
    return Learned(Posterior(z, weight), weight, own, effective * DRAWS / carried, measured=measured)


def _place_of(riders: list[tuple[Rider, int]], model: EndModel) -> int:
    """Return where the rider of a model stands among those known, behind the last where they are new."""
    known = (place for place, (rider, _) in enumerate(riders) if rider.model and same_rider(rider.model, model))
    return next(known, len(riders))


def same_rider(one: EndModel, other: EndModel) -> bool:
    """Return whether two checks were taken with the same rider, as far as weight and stance tell."""
    near = abs(one.request.rider_mass_kg - other.request.rider_mass_kg) <= SAME_RIDER_KG
    return near and one.request.stance == other.request.stance


def with_drift(group: Group, later: int) -> Group:
    """Return a group as it speaks of the rider of today: its variance grows with what rider and habit drifted since.

    V + n·(h_d²·q_d + h_s²·q_s), a random walk of n steps with the variances q = `DRIFT`
    """
    drifted = later * (group.per_state**2 @ np.array(DRIFT))
    return replace(group, variance_m2=group.variance_m2 + drifted)


def expect(learned: Learned, check: SagLikelihood) -> Expected:
    """Return what a further check is expected to read, after what was learned, and how far off it read."""
    rider, model = learned.rider, check.model
    if rider.model is not None and not same_rider(rider.model, model):
        rider = Rider.unknown(on=model)
    held, site = held_of(model, learned.posterior.z, check.datum), model.setting.site(check.conditions)
    likely = learned.posterior.mean(held.gap_m(check.acting, site, 0.25 * model.travel_m))
    # Worked out about what is likely, not about the reading: what is expected must not lean towards it.
    foreseen = replace(check, groups=tuple((side, (likely,) * len(mm)) for side, mm in check.groups))
    groups = compare_readings(foreseen, posterior_after(learned.measured).z)
    each = [_expected(group, rider, learned.spring) for group in groups]
    middle, sigma = sum(one.reading_m for one in each) / len(each), max(one.sigma_m for one in each)
    read = sum(_middle(mm) for _, mm in check.groups) / len(check.groups)
    return Expected(middle, sigma, (read - middle) / sigma)


def _middle(readings_m: Any) -> float:
    """Return the middle of readings: their median from three on, else their mean."""
    return float(np.median(readings_m) if len(readings_m) > 2 else np.mean(readings_m))


def _expected(group: Group, rider: Rider, weight: Any) -> Expected:
    at = group.expected_m + np.einsum("ni,ni->n", group.per_state, rider.mean)
    own = np.einsum("ni,nij,nj->n", group.per_state, rider.covariance, group.per_state) + group.variance_m2
    middle = float(weight @ at)
    sigma = math.sqrt(float(weight @ ((at - middle) ** 2 + own)))
    return Expected(middle, sigma, (group.reading_m - middle) / sigma)


def fit_rider(rider: Rider, group: Group) -> tuple[Rider, Any]:
    """One Kalman step a draw: the rider after a group of readings, and the log likelihood gained (Student)."""
    mean, covariance = rider.mean, rider.covariance
    reach = np.einsum("nij,nj->ni", covariance, group.per_state)
    spread = np.einsum("ni,ni->n", reach, group.per_state)
    miss = group.reading_m - group.expected_m - np.einsum("ni,ni->n", group.per_state, mean)
    if group.reading_m <= 0.0:
        # The spring did not move: a draw that expected no movement, or less, has nothing to learn from it.
        miss = np.minimum(miss, 0.0)
    total = spread + group.variance_m2
    square = miss**2 / total
    weight = np.maximum((STUDENT + 1.0) / (STUDENT + square), LEAST_WEIGHT)
    gain = reach / (spread + group.variance_m2 / np.minimum(weight, 1.0))[:, None]
    mean = mean + gain * miss[:, None]
    covariance = covariance - gain[:, :, None] * reach[:, None, :]
    gained = -0.5 * np.log(total) - 0.5 * (STUDENT + 1.0) * np.log1p(square / STUDENT)
    return Rider(mean, covariance, rider.model), gained


def _scatter(group: Group) -> Any:
    """Log likelihood of how far the readings of a group lie apart: it speaks of the friction (Student tails)."""
    count = len(group.readings_m)
    if count < 2:
        return 0.0
    squares = float(np.sum((group.readings_m - np.mean(group.readings_m)) ** 2))
    freedom = count - 1
    shape = 0.5 * (STUDENT + freedom)
    return -0.5 * freedom * np.log(group.single_m2) - shape * np.log1p(squares / group.single_m2 / STUDENT)


def _remembered(model: EndModel) -> tuple[Any, float]:
    """Return what the bike's memory says of every draw, and how many draws carry it: it leaves enough to learn from."""
    memory = remembered_of(model.end)
    if memory is None or model.has_coil:
        return np.zeros(DRAWS), float(DRAWS)
    log_weight = memory_log_weight(memory, model)
    weights = evened(log_weight, LEAST_REMEMBERED)
    return weights.power * (log_weight - np.max(log_weight)), weights.carried
