"""A rider pumps and measures: the pump is not exact, friction holds, the ring drags, the eye rounds, the pen slips."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from .draw import Case
from .ranges import Bell, Flat
from .spring import rest_weight, rider_weight, settle

Side = Literal["any", "above", "below"]


@dataclass(frozen=True, slots=True)
class Pumped:
    """A spring pumped and cycled: what the pump shows [psi], what is really inside [Pa], how evenly it was filled."""

    shown_psi: float
    gauge: float
    fill: float


@dataclass(frozen=True, slots=True)
class Today:
    """What all readings of one check share."""

    gauge: float
    fill: float
    exponent: float
    lean: float


class Rider:
    """The rider of one case, with a stream of chance of their own."""

    def __init__(self, case: Case, stream: int) -> None:
        self.case = case
        self._ranges = case.ranges
        self._rng = np.random.default_rng((case.seed, stream))
        fork = case.told.is_fork
        self._reading = self._ranges.fork_reading if fork else self._ranges.shock_reading

    def _draw(self, source: Flat | Bell) -> float:
        return float(source.draw(self._rng, 1)[0])

    def pump(self, wanted_psi: float) -> Pumped:
        """Pump to the nearest whole psi shown."""
        shown = max(1.0, float(round(wanted_psi)))
        gauge = max(0.0, self.case.hidden.gauge_pa(shown + self._draw(self._ranges.set_error)))
        return Pumped(shown, gauge, self._draw(self._ranges.fill))

    def measure(self, pumped: Pumped, sides: tuple[Side, ...]) -> list[float]:
        """Return one reading [mm] for each side asked for, all in one session, read and written down right."""
        hidden, r = self.case.hidden, self._ranges
        lost = hidden.leak_rate * self._draw(r.leak_days)
        gauge = max(0.0, (pumped.gauge + hidden.ambient) * (1.0 - lost) - hidden.ambient)
        today = Today(gauge, pumped.fill, self._draw(r.unsettled), self._draw(r.lean_day))
        return [self._read(side, today) for side in sides]

    def write_down(self, readings: list[float]) -> list[float]:
        """Return what is typed in: the readings, or a slip of the pen."""
        rng = self._rng
        if rng.random() >= self._ranges.shares.slip:
            return readings
        slip = str(rng.choice(["centimetres", "inches", "transposed", "digit", "travel used"]))
        if slip == "centimetres":
            return [mm / 10.0 for mm in readings]
        if slip == "inches":
            return [round(mm / 25.4, 1) for mm in readings]
        if slip == "travel used":
            return [float(round(1e3 * self.case.hidden.travel * rng.uniform(0.65, 0.95))) for _ in readings]
        which = int(rng.integers(len(readings)))
        changed = _transpose(readings[which]) if slip == "transposed" else self._slip_digit(readings[which])
        return [changed if i == which else mm for i, mm in enumerate(readings)]

    def _slip_digit(self, mm: float) -> float:
        step = float(self._rng.choice([-20.0, -10.0, 10.0, 20.0]))
        return mm + step if mm + step > 0.0 else mm + abs(step)

    def true_gap_mm(self, pumped: Pumped) -> float:
        """Return the settled gap without friction [mm] at what is really inside."""
        return self.case.true_gap_mm(pumped.gauge, pumped.fill)

    def _friction(self, side: Side) -> float:
        """Return by how much of the friction the rider's weight seems larger [N]; below zero it holds the bike up."""
        hidden, r = self.case.hidden, self._ranges
        friction = float(hidden.friction)
        if side == "any":
            stuck = self._draw(r.breakaway) if self._rng.random() < r.breakaway_share else 1.0
            return float(np.clip(hidden.habit + self._draw(r.side_new), -1.0, 1.0)) * friction * stuck
        return self._draw(r.one_way) * friction * (-1.0 if side == "above" else 1.0)

    def _read(self, side: Side, today: Today) -> float:
        case, hidden = self.case, self.case.hidden
        share = hidden.share + today.lean + self._draw(self._ranges.lean_reading)
        state = (today.exponent, today.fill)
        ridden = settle(hidden, today.gauge, rider_weight(hidden, share), self._friction(side), *state)
        held = self._draw(self._ranges.rest_side) * hidden.friction
        # Stepping off, the spring comes out from below: friction keeps it a little compressed.
        at_rest = min(ridden, settle(hidden, today.gauge, rest_weight(hidden, case.datum), held, *state))
        seen = ridden - at_rest + hidden.drag + self._draw(self._reading)
        return 1e3 * float(np.clip(round(seen / case.grain) * case.grain, 0.0, hidden.travel))


def _transpose(mm: float) -> float:
    tens, ones = divmod(int(mm), 10)
    return float(10 * ones + tens) if 0 < tens < 10 else mm
