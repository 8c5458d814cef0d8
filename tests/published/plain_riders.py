"""300,000 riders on forks of one size class, drawn at random from what the rules state, in N, mm and MPa.

For the checks by plain Monte Carlo: what the rules state is our estimate and typed here; nothing is shared with the
product. A fork of 140 mm with stanchions of 34 mm at 66°, 82 kg with kit on 14 kg, at sea level.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np

from tests.published.on_paper import AIR_AT, PSI, G

DRAWS, AIR, TRAVEL = 300_000, AIR_AT[0], 140.0


@dataclass(frozen=True)
class Riders:
    """Drawn forks and riders: areas mm², volumes mm³, lengths mm, forces N; `weight` after a check."""

    area: np.ndarray
    volume: np.ndarray
    negative_area: np.ndarray
    negative_volume: np.ndarray
    port: np.ndarray
    leg_area: np.ndarray
    leg_volume: np.ndarray
    gas: np.ndarray
    friction: np.ndarray
    load: np.ndarray
    per_share: np.ndarray
    share_off: np.ndarray
    rest_load: np.ndarray
    weight: np.ndarray

    def push(self, psi: np.ndarray | float, x: np.ndarray) -> np.ndarray:
        """Return the settled force [N], chamber by chamber (Boyle)."""
        p = np.asarray(psi) * PSI + AIR
        at_port = p * self.volume / (self.volume - self.area * self.port)
        grown = (self.negative_volume + self.negative_area * self.port) / (
            self.negative_volume + self.negative_area * x
        )
        legs = AIR * self.leg_volume / (self.leg_volume - self.leg_area * x) - AIR
        positive = p * self.volume / (self.volume - self.area * x) - AIR
        return self.area * positive - self.negative_area * (at_port * grown - AIR) + self.leg_area * legs + self.gas

    def place(self, psi: np.ndarray | float, load: np.ndarray) -> np.ndarray:
        """Return where a load is held [mm], by bisection; 0 where it does not move the spring."""
        low, high = np.zeros_like(load), np.full_like(load, TRAVEL)
        for _ in range(20):
            middle = 0.5 * (low + high)
            short = self.push(psi, middle) < load
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        return 0.5 * (low + high)

    def pressure_for(self, gap: float) -> np.ndarray:
        """Return the pressure [psi] at which the gap without friction is the wanted one, by bisection."""
        low, high = np.full_like(self.load, 5.0), np.full_like(self.load, 300.0)
        for _ in range(14):
            middle = 0.5 * (low + high)
            soft = self.place(middle, self.load) - self.place(middle, self.rest_load) > gap
            low, high = np.where(soft, middle, low), np.where(soft, high, middle)
        return 0.5 * (low + high)

    def some(self, rng: np.random.Generator, count: int) -> Riders:
        """Return `count` of them, drawn by weight."""
        chosen = rng.choice(len(self.weight), count, p=self.weight / self.weight.sum())
        return Riders(*(getattr(self, name)[chosen] for name in self.__dataclass_fields__))


@functools.cache
def drawn() -> Riders:
    """Return the riders of the request: what the rules state of a 34 mm fork of 140 mm, 66°, and 82 kg on 14 kg."""
    rng = np.random.default_rng(101)

    def even(low: float, high: float) -> np.ndarray:
        return rng.uniform(low, high, DRAWS)

    share, bike = rng.normal(0.39, 0.035, DRAWS), rng.normal(0.475, 0.02, DRAWS)
    unsprung, model = rng.normal(3.2, 0.35, DRAWS), rng.normal(1.0, 0.045, DRAWS)
    along = G * np.sin(np.radians(66.0))
    area = np.pi / 4 * (30.8 * even(0.98, 1.02)) ** 2
    ratio, leg_area = 2.5 + even(-0.3, 0.3), even(1.9, 2.3) * area
    return Riders(
        area=area,
        volume=area * TRAVEL * ratio / (ratio - 1.0),
        negative_area=even(0.90, 0.96) * area,
        negative_volume=even(0.08, 0.38) * area * TRAVEL,
        port=even(0.03, 0.08) * TRAVEL,
        leg_area=leg_area,
        leg_volume=even(1.6, 3.0) * leg_area * TRAVEL,
        gas=even(0.0, 30.0),
        friction=even(8.0, 30.0),
        load=(share * 82 + bike * 14 - unsprung) * along * model,
        per_share=82 * along * model,
        share_off=share - 0.39,
        rest_load=(bike * 14 - unsprung) * along,
        weight=np.ones(DRAWS),
    )


def plain_answer(riders: Riders, gap: float) -> tuple[float, float, float]:
    """Return 5 %, median and 95 % of the pressure [psi] for a target gap, of 20,000 drawn by weight."""
    chosen = riders.some(np.random.default_rng(5), 20_000)
    low, middle, high = np.quantile(chosen.pressure_for(gap), [0.05, 0.5, 0.95])
    return float(low), float(middle), float(high)
