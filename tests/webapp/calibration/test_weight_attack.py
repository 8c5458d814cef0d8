"""An attack on the file that a shop gives away: what does a rider's own row say of the rider's weight?

The attacker is as strong as can be: knows the rules, the bike, style and travel, which row is the rider's, and has a
thousand like it from elsewhere to learn from. Weight is fitted by every column, its square and the products; what
is left of its spread is what the attacker still does not know. The same attack on the pressure and sag behind the rows,
and on the spread of a factor, shows that it would find the weight if these were in the file.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np
import pytest

import setup_rules as rules
from setup_rules.inference.checked_guess import judge_guess
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import low_discrepancy_sample
from setup_rules.inference.start_setting import held_of
from setup_rules.types.result import TakenCheck
from webapp.calibration.anonymous_file import anonymous_checks

RIDERS = 110
#: The attacker still does not know the weight to less than this share of what was not known without the file.
STILL_UNKNOWN = 0.93


@dataclass
class Attack:
    """Weights [kg], the rows of the file, and what was measured behind them; the spreads are not in the file."""

    weights: np.ndarray
    rows: np.ndarray
    behind: np.ndarray
    spreads: np.ndarray


@pytest.fixture(scope="module")
def attack() -> Attack:
    """Riders of all weights on springs drawn by the rules' own spreads, on one known bike."""
    rng, weights, judged, behind = np.random.default_rng(3), [], [], []
    sample = low_discrepancy_sample()
    for row in rng.choice(len(sample), RIDERS, replace=False):
        kg = float(np.clip(rng.normal(76.0, 15.0), 45.0, 120.0))
        request = rules.read_request(
            {"rider_mass_kg": kg, "riding_style": "trail", "front": {"travel_mm": 150, "stanchion_mm": 36}}
        )
        setup = rules.recommend(request)
        assert setup.front is not None
        assert request.front is not None
        model = EndModel("front", request.front, request)
        held, site = held_of(model, sample[row][None, :]), model.setting.site(request.ride)
        gap = float(held.gap_m(model.setting.acting(setup.front.pressure_pa, request.ride), site, 0.03)[0])
        read = max(round(1000 * gap + rng.normal(0.0, 2.0)), 3)
        check = rules.SagCheck(end="front", pressure_pa=setup.front.pressure_pa, readings_mm=(float(read),))
        found = judge_guess(TakenCheck(check=check, request=request))
        assert found is not None
        weights.append(kg)
        judged.append(found)
        behind.append((setup.front.pressure_pa, read))
    # One at a time, in a crowd of its own kind, so that a row stays with its rider.
    rows = [anonymous_checks([one] * 5)[0] for one in judged]
    numbers = np.array([(row.held, row.factor) for row in rows], dtype=float)
    spreads = np.array([[round(one.factor_sigma / 0.05)] for one in judged], dtype=float)
    return Attack(np.array(weights), numbers, np.array(behind, dtype=float), spreads)


def still_unknown(weights: np.ndarray, known: np.ndarray) -> float:
    """Return what a fit by every column, square and product leaves of the weights' spread, freed of its own fitting."""
    spread = known.std(axis=0)
    scaled = (known - known.mean(axis=0))[:, spread > 0] / spread[spread > 0]
    pairs = combinations_with_replacement(range(scaled.shape[1]), 2)
    columns = np.column_stack([np.ones(len(weights)), scaled, *(scaled[:, a] * scaled[:, b] for a, b in pairs)])
    fitted, _, rank, _ = np.linalg.lstsq(columns, weights, rcond=None)
    left = float(np.sum((weights - columns @ fitted) ** 2)) / (len(weights) - int(rank))
    return float(np.sqrt(left) / weights.std(ddof=1))


def test_a_riders_own_row_leaves_the_weight_unknown(attack: Attack) -> None:
    assert still_unknown(attack.weights, attack.rows) > STILL_UNKNOWN


def test_pressure_and_sag_would_have_told_it(attack: Attack) -> None:
    assert still_unknown(attack.weights, attack.behind) < 0.6


def test_even_the_spread_of_a_factor_would_have_told_it(attack: Attack) -> None:
    assert still_unknown(attack.weights, attack.spreads) < 0.7


def test_many_riders_share_each_row(attack: Attack) -> None:
    _, counts = np.unique(attack.rows, axis=0, return_counts=True)
    assert float(np.sum(counts[counts >= 3]) / RIDERS) > 0.8
