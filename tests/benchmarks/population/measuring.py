"""A rider pumps and measures: the pump is not exact, friction holds, the O-ring drags, the eye rounds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from .draw import Case
from .spring import bisect

Side = Literal["any", "above", "below"]
_READING_SIGMA = {"front": 1.0e-3, "rear": 0.6e-3}


@dataclass(frozen=True, slots=True)
class Pumped:
    """A spring pumped and cycled: what the pump shows [psi], what is really inside [Pa], how evenly it was filled."""

    shown_psi: float
    gauge: float
    fill: float


class Rider:
    """The rider of one case with a stream of chance of his own; `day` is his lean and his friction side today."""

    def __init__(self, case: Case, stream: int) -> None:
        self.case = case
        self._at = case.effects
        self._rng = np.random.default_rng((case.seed, stream))

    def pump(self, wanted_psi: float) -> Pumped:
        """Pump to the nearest whole psi shown."""
        shown = max(1.0, float(round(wanted_psi)))
        gauge = max(0.0, self.case.gauge_pa(shown + self._at.gauge * float(self._rng.normal(0.0, 0.4))))
        return Pumped(shown, gauge, 1.0 + self._at.fill * float(self._rng.normal(0.0, 0.01)))

    def measure(self, pumped: Pumped, sides: tuple[Side, ...]) -> list[float]:
        """Return one reading [mm] for each side asked for, all in one session."""
        rng = self._rng
        exponent = 1.0 + self._at.unsettled * float(rng.uniform(0.0, 0.06))
        lean = self._at.lean * float(rng.normal(0.0, 0.006))
        today = self.case.side + float(rng.normal(0.0, 0.3))
        return [self._read(pumped, side, exponent, lean, today) for side in sides]

    def true_sag_mm(self, pumped: Pumped) -> float:
        """Return the settled sag without friction [mm] at what is really inside."""
        return 1e3 * self.case.true_sag(pumped.gauge, pumped.fill)

    def _friction(self, side: Side, today: float) -> float:
        """Return how much the friction adds to the load [N]: less than nothing holds the bike up."""
        rng = self._rng
        if side == "any":
            sided, free = float(np.clip(today + rng.normal(0.0, 0.4), -1.0, 1.0)), float(rng.uniform(-1.0, 1.0))
            part = sided if self._at.side else free
            breakaway = 1.0 + self._at.breakaway * (float(rng.uniform(0.0, 0.4)) if rng.random() < 0.15 else 0.0)
            return self.case.friction * part * breakaway
        part = float(rng.uniform(0.6, 1.0))
        return self.case.friction * (-part if side == "above" else part)

    def _read(self, pumped: Pumped, side: Side, exponent: float, lean: float, today: float) -> float:
        case, rng = self.case, self._rng
        share = case.share + lean + self._at.lean * float(rng.normal(0.0, 0.008))
        friction = self._friction(side, today)
        travel = case.spring.travel
        sag = bisect(
            lambda x: case.spring.force(x, pumped.gauge, exponent, pumped.fill) - case.load(x, share) - friction,
            0.0,
            travel,
        )
        seen = sag + case.drag + float(rng.normal(0.0, _READING_SIGMA[case.end]))
        return 1e3 * float(np.clip(round(seen / case.grain) * case.grain, 0.0, travel))
