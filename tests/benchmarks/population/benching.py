"""Measured instead of guessed: a bathroom scale under the wheel, and pushes on the spring, by people in a garage.

Shocks are pushed at the wheel, forks along their legs, at less air than they will be ridden with: nobody pushes a shock
to 70 % at full pressure. The oracle beside it knows how people do all this, and draws truths until a few hundred of
them carry the weight.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from .asking import Refusal, answer_or_refusal, first_answer
from .draw import Case, draw_cases
from .figures import Guess, by_group, guess_figures, side_of
from .habits import group_of
from .measuring import Rider
from .oracle import Oracle
from .ranges import Array, Bell, Garage
from .spring import GRAVITY, Hidden, Value, force, needed_psi

WAYS: dict[str, tuple[bool, bool]] = {
    "class only": (False, False),
    "scale": (True, False),
    "pushes": (False, True),
    "scale and pushes": (True, True),
}
#: What is asked of each way: misses at most so many times the oracle's, bands that hold so often [%].
MOST_OVER_ORACLE = 1.15
BANDS = (85.0, 95.0)
#: Truths that the oracle draws: pushes leave one in hundreds, so it draws more where a spring was pushed.
_FEW, _MANY = 4096, 160_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Pushed:
    """A spring test as it was noted down; compressions [m] and forces [N] at the wheel behind a linkage."""

    shown_psi: float
    compression: Array
    down: Array
    up: Array


def axle_kg(h: Hidden, lean: Value) -> Value:
    """Return what rests on the ground under this wheel [kg], rider on."""
    return (h.share + lean) * h.mass + h.rest_mass + h.unsprung


def weigh(case: Case, garage: Garage) -> float:
    """Return what the scale under this end's wheel shows [kg]."""
    rng = np.random.default_rng((case.seed, 41))
    lean, factor, offset = (float(s.draw(rng, 1)[0]) for s in _scale_errors(garage))
    shown = float(axle_kg(case.hidden, lean)) * factor + offset
    return round(round(shown / garage.scale_step) * garage.scale_step, 2)


def _scale_errors(garage: Garage) -> tuple[Bell, Bell, Bell]:
    return garage.scale_lean, garage.scale_factor, garage.scale_offset


def wheel_travel(h: Hidden, x: Value) -> Value:
    """Return how far the wheel has moved [m] at compression x of the spring [m]."""
    first, second, third = h.leverage_terms()
    return x * (first + x * (second / 2.0 + x * third / 3.0))


def push(case: Case, ridden_psi: float, garage: Garage) -> Pushed:
    """Push the spring of a case four times down and up, at less air than it is ridden with."""
    rng = np.random.default_rng((case.seed, 42))
    h, r, count = case.hidden, case.ranges, len(garage.depth)
    pumped = Rider(case, 43).pump(ridden_psi * float(garage.air.draw(rng, 1)[0]))
    x = float(h.travel) * (np.array(garage.depth) + garage.depth_off.draw(rng, count))
    exponent = float(r.unsettled.draw(rng, 1)[0])
    factor = float(garage.scale_factor.draw(rng, 1)[0])
    spring = np.array([force(h, float(one), pumped.gauge, exponent, pumped.fill) for one in x])
    noted = []
    for way in (1.0, -1.0):
        held = (spring + way * r.one_way.draw(rng, count) * h.friction) / h.leverage(x)
        kg = held * factor * (1.0 + garage.hand.draw(rng, count)) / GRAVITY
        noted.append(np.maximum(0.0, np.round(kg / garage.push_step) * garage.push_step) * GRAVITY)
    reading = r.fork_reading if case.told.is_fork else r.shock_reading
    # At the wheel a ruler reads the wheel, no finer than along a leg.
    ruler = (r.fork_reading if not case.told.is_fork else reading).draw(rng, count)
    seen = wheel_travel(h, x) + float(garage.zero.draw(rng, 1)[0]) + ruler
    return Pushed(shown_psi=pumped.shown_psi, compression=np.round(seen, 3), down=noted[0], up=noted[1])


def asked_with(case: Case, ridden_psi: float, way: str, garage: Garage) -> dict[str, Any]:
    """Return what goes into the form with what was measured."""
    weighed, pushed = WAYS[way]
    request = case.told.request()
    if weighed:
        request[f"{case.told.end}_axle_kg"] = weigh(case, garage)
    if pushed:
        test = push(case, ridden_psi, garage)
        request[case.told.end]["spring_test"] = {
            "pressure_psi": test.shown_psi,
            "compression_mm": [round(1e3 * float(x), 1) for x in test.compression],
            "force_down_n": [round(float(n), 1) for n in test.down],
            "force_up_n": [round(float(n), 1) for n in test.up],
            "at": "spring" if case.told.is_fork else "wheel",
        }
    return request


class BenchOracle(Oracle):
    """An oracle that is told what the scale and the pushes showed, and knows how people weigh and push."""

    def __init__(self, case: Case, target_mm: float, garage: Garage, number: int) -> None:
        super().__init__(case.told, case.datum, target_mm, case.ranges, case.seed, number)
        self._garage = garage
        self._number = number

    def learn_scale(self, shown_kg: float) -> None:
        """Weigh the truths by what the scale showed."""
        g, h = self._garage, self.hidden
        middle = axle_kg(h, 0.0)
        spread = (g.scale_lean.spread * h.mass) ** 2 + (g.scale_factor.spread * middle) ** 2 + g.scale_offset.spread**2
        self._log_weight = self._log_weight - 0.5 * ((shown_kg - middle) ** 2 / spread + np.log(spread))

    def learn_pushes(self, test: Pushed) -> None:
        """Weigh the truths by the pushes; what all have in common is drawn for each truth."""
        g, h, r, rng, number = self._garage, self.hidden, self._ranges, self._rng, self._number
        gauge = np.maximum(0.0, h.gauge_pa(test.shown_psi + r.set_error.draw(rng, number)))
        fill, exponent = r.fill.draw(rng, number), r.unsettled.draw(rng, number)
        factor, zero = g.scale_factor.draw(rng, number), g.zero.draw(rng, number)
        reading = r.fork_reading.spread**2 + 1e-3**2 / 12.0
        for place in range(len(test.compression)):
            wheel = np.maximum(0.0, test.compression[place] - zero)
            x = np.clip(_spring_at(h, wheel), 0.0, 0.98 * h.travel)
            lever, near = h.leverage(x), 1e-3 * h.travel
            spring = force(h, x, gauge, exponent, fill)
            rate = (force(h, x + near, gauge, exponent, fill) - spring) / near / lever**2
            for way, shown in ((1.0, test.down[place]), (-1.0, test.up[place])):
                expected = factor * (spring + way * r.one_way.middle * h.friction) / lever
                own = (r.one_way.spread * h.friction / lever) ** 2 + (g.hand.spread * expected) ** 2
                own = own + (g.push_step * GRAVITY) ** 2 / 12.0 + 0.5 * 2.0 * reading * rate**2
                self._log_weight = self._log_weight - 0.5 * ((shown - expected) ** 2 / own + np.log(own))

    def know_needed(self) -> None:
        """Work out what is needed for the truths that count alone."""
        keep = np.argsort(self.weight)[-_FEW:]
        self.hidden = _rows(self.hidden, keep)
        self._log_weight = self._log_weight[keep]
        self._needed = np.asarray(needed_psi(self.hidden, self._target, self._datum))

    @property
    def effective(self) -> float:
        """How many truths carry the weight."""
        return float(1.0 / np.sum(self.weight**2))


def _spring_at(h: Hidden, wheel: Value) -> Value:
    """Return the spring's compression [m] at a travel of the wheel [m]: a few Newton steps."""
    x = wheel / h.leverage_start
    for _ in range(4):
        x = x - (wheel_travel(h, x) - wheel) / h.leverage(x)
    return x


def _rows(h: Hidden, keep: Array) -> Hidden:
    from dataclasses import fields

    return Hidden(**{s.name: _row(getattr(h, s.name), keep) for s in fields(h)})


def _row(value: Value, keep: Array) -> Value:
    return value if np.ndim(value) == 0 else value[keep]


def guess_with(case: Case, way: str, ridden_psi: float, garage: Garage) -> tuple[Guess, float] | None:
    """Ask with what was measured and hold the answer against the truth and the oracle; with its effective truths.

    None where the rules refuse what was measured.
    """
    answer = answer_or_refusal(asked_with(case, ridden_psi, way, garage), case.told.end, case.datum)
    if isinstance(answer, Refusal):
        return None
    weighed, pushed = WAYS[way]
    oracle = BenchOracle(case, answer.target, garage, _MANY if pushed else _FEW)
    if weighed:
        oracle.learn_scale(weigh(case, garage))
    if pushed:
        oracle.learn_pushes(push(case, ridden_psi, garage))
    oracle.know_needed()
    needed, low_high = case.needed_psi(answer.target), oracle.pressure_band()
    gap = case.shown_gap_mm(answer.pressure)
    guess = Guess(
        group=group_of(case),
        miss=case.percent(gap - answer.target),
        oracle_miss=case.percent(case.shown_gap_mm(oracle.pressure()) - answer.target),
        log_error=float(np.log(answer.pressure / needed)),
        pressure_side=side_of(needed, answer.pressure_low, answer.pressure_high),
        oracle_side=side_of(needed, *low_high),
        wider=float(np.log(answer.pressure_high / answer.pressure_low) / np.log(low_high[1] / low_high[0])),
        sag_side=side_of(gap, answer.sag_low, answer.sag_high),
        at_limit=answer.at_limit,
    )
    return guess, oracle.effective


def measured_blocks(number: int, seed: int) -> Iterator[tuple[str, dict[str, dict[str, float]]]]:
    """Draw `number` cases a kind and yield a block of first guesses for each way to measure."""
    garage, cases = Garage(), draw_cases(number, seed)
    ridden = [first_answer(case.told.request(), case.told.end, case.datum).pressure for case in cases]
    for way in WAYS:
        asked = [guess_with(case, way, psi, garage) for case, psi in zip(cases, ridden, strict=True)]
        found = [one for one in asked if one is not None]
        refused = len(asked) - len(found)
        effective = float(np.median([number for _, number in found]))
        rows = {k: guess_figures(v) for k, v in by_group([guess for guess, _ in found]).items()}
        yield f"Measured: {way} (oracle: {effective:.0f} effective truths; refused: {refused} of {len(asked)})", rows


def summary(blocks: Sequence[tuple[str, dict[str, dict[str, float]]]], group: str) -> str:
    """Return a line a way: misses as shares of travel beside the oracle's, and how often the bands held."""
    lines = ["way                median  oracle  ratio     p90  oracle  ratio   needed in band  gap in band"]
    for way, (_, rows) in zip(WAYS, blocks, strict=True):
        f = rows[group]
        lines.append(
            f"{way:<18}"
            f"{f['median miss'] / 100:7.3f}{f['oracle median'] / 100:8.3f}{f['median ratio']:7.2f}"
            f"{f['p90 miss'] / 100:8.3f}{f['oracle p90'] / 100:8.3f}{f['p90 ratio']:7.2f}"
            f"{f['needed in band']:16.1f}{f['gap in band']:13.1f}"
        )
    return "\n".join(lines)
