"""The limit that the tool is judged by: a posterior of thousands of truths, drawn from the population's own ranges.

The oracle is told exactly what the tool is told, plus the ranges of this population and how its riders measure. Nobody
can know these outside a drawn world, so no adviser can miss by less, save by luck. A first pressure is the median of
what the drawn truths need; each check weighs the truths by how likely they make the readings. What all readings of one
check share (posture of the day, unsettled gas, pump) is drawn for every truth; what is new at each reading (side of
the friction, reading error, rounding, posture) is summed up in one variance. Slips get a flat tail.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .asking import Readings
from .draw import Case, Told, draw_hidden
from .measuring import Side
from .ranges import Array, Ranges
from .spring import GRAVITY, Datum, needed_psi, rest_weight, rider_weight, settle, stiffness, true_gap

NUMBER = 4096
_TAIL = 0.002
#: Done at this chance of being within so much of travel, or where the best pump gains less than so much on average.
_NEAR, _CHANCE, _GAIN = 0.03, 0.85, 0.003
_INSIDE = ("area", "end_volume", "negative_area", "negative_volume", "port", "coil_rate", "coil_length")


class Oracle:
    """What is known of one case, from what its rider told and measured."""

    def __init__(
        self, told: Told, datum: Datum, target_mm: float, ranges: Ranges, seed: int, number: int = NUMBER
    ) -> None:
        self._rng = np.random.default_rng((seed, 99))
        self._told, self._datum, self._ranges, self._target = told, datum, ranges, 1e-3 * target_mm
        self.hidden = draw_hidden(told, number, self._rng, ranges)
        self._log_weight = np.zeros(number)
        self._needed: Array | None = None

    def know_inside(self, case: Case) -> None:
        """Be told the internals of the air spring."""
        known = {name: np.full(NUMBER, getattr(case.hidden, name)) for name in _INSIDE}
        self.hidden = replace(self.hidden, **known)

    def believe(self, log_weight: Array) -> None:
        """Begin from what was known of the drawn truths before."""
        self._log_weight = log_weight

    @property
    def needed(self) -> Array:
        """What each drawn truth needs on its pump [psi]."""
        if self._needed is None:
            self._needed = np.asarray(needed_psi(self.hidden, self._target, self._datum))
        return self._needed

    @property
    def weight(self) -> Array:
        """How much each drawn truth counts; sums to 1."""
        weight = np.exp(self._log_weight - self._log_weight.max())
        return np.asarray(weight / weight.sum())

    def quantiles(self, values: Array, parts: tuple[float, ...]) -> list[float]:
        """Return weighted quantiles of a figure of the drawn truths."""
        order = np.argsort(values)
        weight = self.weight[order]
        return [float(v) for v in np.interp(parts, np.cumsum(weight) - 0.5 * weight, values[order])]

    def pressure(self) -> float:
        """Return the best pressure to show on the pump [psi]."""
        return self.quantiles(self.needed, (0.5,))[0]

    def pressure_band(self) -> tuple[float, float]:
        """Return what nine of ten truths need [psi]."""
        low, high = self.quantiles(self.needed, (0.05, 0.95))
        return low, high

    def gap_band_mm(self, shown_psi: float) -> tuple[float, float]:
        """Return the settled gap [mm] of nine of ten truths at a shown pressure, pumped once more."""
        gauge, fill, _, _ = self._draw_today(shown_psi)
        low, high = self.quantiles(1e3 * np.asarray(true_gap(self.hidden, gauge, self._datum, fill)), (0.05, 0.95))
        return low, high

    def is_done(self, shown_psi: float) -> bool:
        """Whether the pressure pumped is near enough, or no pump would come clearly nearer."""
        off = abs(self._gaps(shown_psi) - self._target) / self.hidden.travel
        best = float(round(self.pressure()))
        if best == shown_psi or float(self.weight @ (off <= _NEAR)) >= _CHANCE:
            return True
        then = abs(self._gaps(best) - self._target) / self.hidden.travel
        return float(self.weight @ (off - then)) < _GAIN

    def learn(self, told: Readings) -> None:
        """Weigh the drawn truths by the readings of one check."""
        sides: tuple[tuple[Side, tuple[float, ...]], ...] = (
            ("any", told.either),
            ("above", told.above),
            ("below", told.below),
        )
        state = self._draw_today(told.shown_psi)
        for side, readings in sides:
            if readings:
                self._log_weight = self._log_weight + self._log_likelihood(side, 1e-3 * np.array(readings), *state)

    def _gaps(self, shown_psi: float) -> Array:
        gauge = np.maximum(0.0, self.hidden.gauge_pa(shown_psi))
        return np.asarray(true_gap(self.hidden, gauge, self._datum))

    def _draw_today(self, shown_psi: float) -> tuple[Array, Array, Array, Array]:
        """Draw for each truth what the readings of one check share: gauge [Pa], fill, exponent, lean."""
        rng, r, number = self._rng, self._ranges, NUMBER
        gauge = np.maximum(0.0, self.hidden.gauge_pa(shown_psi + r.set_error.draw(rng, number)))
        return gauge, r.fill.draw(rng, number), r.unsettled.draw(rng, number), r.lean_day.draw(rng, number)

    def _log_likelihood(
        self, side: Side, readings: Array, gauge: Array, fill: Array, exponent: Array, lean: Array
    ) -> Array:
        h, r = self.hidden, self._ranges
        way = {"any": h.habit, "above": -r.one_way.middle, "below": r.one_way.middle}[side]
        weight, empty = rider_weight(h, h.share + lean), rest_weight(h, self._datum)
        ridden = settle(h, gauge, weight, way * h.friction, exponent, fill)
        rest = settle(h, gauge, empty, r.rest_side.middle * h.friction, exponent, fill)
        expected = np.maximum(0.0, ridden - rest) + h.drag
        variance = self._variance(side, ridden, rest, gauge, weight, empty)
        slip, flat = _TAIL + r.shares.slip, -np.log(h.travel)
        log_bells = [-0.5 * ((x - expected) ** 2 / variance + np.log(2.0 * np.pi * variance)) for x in readings]
        # A slip spoils one reading, or with the wrong unit all of the check.
        each = sum(np.logaddexp(np.log1p(-slip) + bell, np.log(slip) + flat) for bell in log_bells)
        return np.asarray(np.logaddexp(np.log1p(-slip) + each, np.log(slip) + len(readings) * flat))

    def _variance(self, side: Side, ridden: Array, rest: Array, gauge: Array, weight: Array, empty: Array) -> Array:
        """Return the variance of one reading about what a truth makes it [m²]."""
        h, r = self.hidden, self._ranges
        new = (r.side_new if side == "any" else r.one_way).spread * h.friction
        posture = r.lean_reading.spread * h.mass * GRAVITY * h.along * h.leverage(ridden)
        held = np.where(rest > 0.0, r.rest_side.spread * h.friction / stiffness(h, rest, gauge, empty), 0.0)
        reading = (r.fork_reading if self._told.is_fork else r.shock_reading).spread
        rounding = (1e-3**2 * (1.0 - r.half_mm_share) + 0.5e-3**2 * r.half_mm_share) / 12.0
        return np.asarray(
            (new**2 + posture**2) / stiffness(h, ridden, gauge, weight) ** 2 + held**2 + reading**2 + rounding
        )


def make_oracle(case: Case, target_mm: float, ranges: Ranges | None = None) -> Oracle:
    """Return an oracle that knows what the rider of a case tells, and the ranges it believes in."""
    return Oracle(case.told, case.datum, target_mm, ranges or case.ranges, case.seed)
