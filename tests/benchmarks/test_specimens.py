"""Specimens of one fork or shock that teach each other, in a small sample: later specimens start nearer.

The whole table: `python -m tests.benchmarks.population units`.
"""

from __future__ import annotations

import numpy as np
import pytest

from .population.draw import draw_cases, draw_hidden
from .population.fleet import fleet_figures
from .population.ranges import Ranges
from .population.specimens import SPREAD, another_specimen, follow_units, next_specimen, pressure_scatter

pytestmark = pytest.mark.benchmark


def test_specimens_differ_as_they_say_and_are_nobody_else_s() -> None:
    model = draw_cases(1, 20)[0]
    areas = [next_specimen(model, place).hidden.area / model.hidden.area for place in range(60)]
    assert np.std(np.log(areas)) == pytest.approx(SPREAD["area"], rel=0.3)
    assert next_specimen(model, 3) == next_specimen(model, 3)
    assert next_specimen(model, 3).hidden.gauge_scale == model.hidden.gauge_scale


def test_many_models_get_a_specimen_each() -> None:
    model = draw_cases(1, 20)[0]
    many = draw_hidden(model.told, 2_000, np.random.default_rng(1), Ranges())
    ratio = np.log(another_specimen(many, 1, 2).end_volume / many.end_volume)
    assert np.std(ratio) == pytest.approx(SPREAD["end_volume"], rel=0.1)


def test_specimens_of_a_model_need_pressures_within_what_the_rules_allow_for() -> None:
    assert 1.0 < pressure_scatter(9, 20, Ranges()) < 4.0


def test_the_first_rider_on_a_specimen_starts_nearer_after_others_on_others() -> None:
    turns = [turn for turn in follow_units(6, 5, 20, Ranges(), None) if not turn.at_limit and turn.place >= 2]
    figures = fleet_figures(turns)
    assert figures["median"] < 0.8 * figures["no memory median"]
    assert figures["p90"] < figures["no memory p90"]
