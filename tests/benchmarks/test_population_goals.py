"""The rules held against the population: first misses, bands, re-pumps, slips, a shifted world; a goal missed is named.

A small table of the one that `python -m tests.benchmarks.population` prints, so that it fits into a test run.
"""

from __future__ import annotations

import pytest

from .population.table import blocks
from .test_population import check_goals

pytestmark = pytest.mark.benchmark

_CASES_A_KIND = 100
_SEED = 24


def test_the_rules_meet_their_goals_on_springs_and_people_that_they_know_nothing_of() -> None:
    check_goals(dict(blocks(_CASES_A_KIND, _SEED, goals_only=True)))
