"""The leak check: two pressures, two temperatures and the time between; a loss a day with its uncertainty."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, places
from setup_rules.physics.gas import kelvin, warming_ratio
from setup_rules.types.constants import Spread
from setup_rules.types.errors import Problem, RequestError

Verdict = Literal["tight", "slow", "leaks", "cannot_tell"]
#: Loss a day, as a share of the pressure, above which a spring counts as leaking (our estimate: about 1 psi a day
#: at 70 psi would halve the sag margin within a weekend).
ALLOWED_A_DAY: Final = 0.015
#: A steady loss from here on, as a share of the pressure a week, is worth topping up for (our estimate).
SLOW_A_WEEK: Final = 0.03
#: Volume of hose and gauge over that of the chamber, where a pump was connected again and nobody entered its hose: from
#: next to nothing on a long fork to a long hose on a small shock. Evenly spread (our estimate).
USUAL_HOSE: Final = Spread(0.0, 0.12, "of the chamber's volume")
#: How well the air's temperature in the spring is known at each reading [K] (our estimate).
TEMPERATURE_SIGMA_K: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakReadings:
    """First and second pressure [Pa, gauge] as read, temperatures [°C], hours between, and what blurs them.

    `resolution_pa` is the step of the gauge. `hose_share` is the volume of hose and gauge over that of the chamber;
    the first pressure was set with the hose on, the second read after connecting again, so the second lacks it. With a
    share of 0 and `reattached`, the hose is not known and `USUAL_HOSE` stands for it.
    """

    first_pa: float
    second_pa: float
    first_c: float = 20.0
    second_c: float = 20.0
    hours: float
    resolution_pa: float = 6894.757
    hose_share: float = 0.0
    ambient_pa: float = 101_325.0
    reattached: bool = True

    @property
    def hose_assumed(self) -> bool:
        """Whether our estimate of the hose stands for one that nobody entered."""
        return self.reattached and self.hose_share == 0.0

    def hose(self) -> tuple[float, float]:
        """Return the share of the hose and its standard uncertainty."""
        if self.hose_assumed:
            return USUAL_HOSE.middle, (USUAL_HOSE.high - USUAL_HOSE.low) / math.sqrt(12.0)
        return self.hose_share, 0.3 * self.hose_share


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakResult:
    """Expected second pressure [Pa, gauge], loss [Pa] and loss a day [Pa/day] with its 95 % uncertainty, verdict.

    `hose_pa` is what connecting the pump again took [Pa]: entered, or our estimate where `hose_assumed`.
    `hours_needed` is how long to wait for readings that can tell a tight spring from one that leaks.
    """

    expected_pa: float
    loss_pa: float
    loss_a_day_pa: float
    uncertainty_a_day_pa: float
    allowed_a_day_pa: float
    hours_needed: float
    verdict: Verdict
    hose_pa: float = 0.0
    hose_assumed: bool = False

    @property
    def loss_a_week_pa(self) -> float:
        """The loss in a week [Pa], at the same pace."""
        return 7.0 * self.loss_a_day_pa


def check_leak(readings: LeakReadings) -> LeakResult:
    """Return whether a spring holds its air, the temperature between the two readings taken into account.

    expected = (p₁ + p_a)·T₂/T₁ − p_a; loss = expected − p₂·(1 + hose share), both over the days between

    Parameters
    ----------
    readings : LeakReadings
        Pressures above 0, 0.25 to 2000 hours apart.

    Returns
    -------
    LeakResult [Pa gauge, Pa, Pa/day, h]
        "tight" or "leaks" when the 95 % uncertainty allows to say so, "slow" for a loss that is no proven leak but
        surely there and worth topping up for, else "cannot_tell": wait longer.

    Raises
    ------
    RequestError
        When a reading is out of range.

    Examples
    --------
    >>> left_on = LeakReadings(
    ...     first_pa=600_000.0, second_pa=552_150.0, first_c=20, second_c=0, hours=48, reattached=False
    ... )
    >>> check_leak(left_on).verdict, round(check_leak(left_on).expected_pa)
    ('tight', 552152)

    References
    ----------
    Gay-Lussac's law; propagation of uncertainty, JCGM 100 (rectangular resolution, coverage factor 2).
    """
    problems = _find_problems(readings)
    if problems:
        raise RequestError(problems)
    absolute = (readings.first_pa + readings.ambient_pa) * warming_ratio(readings.first_c, readings.second_c)
    expected = absolute - readings.ambient_pa
    share, share_sigma = readings.hose()
    loss = expected - readings.second_pa * (1.0 + share)
    first_k, second_k = kelvin(readings.first_c), kelvin(readings.second_c)
    reading = readings.resolution_pa / math.sqrt(12.0) * math.hypot(second_k / first_k, 1.0 + share)
    temperature = absolute * TEMPERATURE_SIGMA_K * math.hypot(1.0 / first_k, 1.0 / second_k)
    hose = share_sigma * readings.second_pa
    spread = 2.0 * math.hypot(reading, temperature, hose)
    days = readings.hours / 24.0
    allowed = ALLOWED_A_DAY * readings.first_pa
    return LeakResult(
        expected_pa=expected,
        loss_pa=loss,
        loss_a_day_pa=loss / days,
        uncertainty_a_day_pa=spread / days,
        allowed_a_day_pa=allowed,
        hours_needed=24.0 * 1.5 * spread / allowed,
        verdict=_judge_loss(loss / days, spread / days, allowed, SLOW_A_WEEK * readings.first_pa / 7.0),
        hose_pa=readings.second_pa * share,
        hose_assumed=readings.hose_assumed,
    )


def _judge_loss(loss: float, spread: float, allowed: float, slow: float) -> Verdict:
    if loss - spread > allowed:
        return "leaks"
    if loss - spread > 0.0 and loss >= slow:
        return "slow"
    return "tight" if loss + spread <= allowed else "cannot_tell"


def _find_problems(readings: LeakReadings) -> tuple[Problem, ...]:
    problems = []
    for name in ("first_pa", "second_pa"):
        value = getattr(readings, name)
        if not 0.0 < value < 4e6:
            problems.append(Problem(name, Message.of("leak.pressure", bar=places(value / 1e5, 2))))
    for name in ("first_c", "second_c"):
        value = getattr(readings, name)
        if not -30.0 <= value <= 60.0:
            problems.append(Problem(name, Message.of("leak.temperature", celsius=as_typed(value))))
    if not 0.25 <= readings.hours <= 2000.0:
        problems.append(Problem("hours", Message.of("leak.hours", hours=as_typed(readings.hours))))
    if not 0.0 <= readings.hose_share < 1.0:
        problems.append(Problem("hose_share", Message.of("leak.hose")))
    return tuple(problems)
