"""An end that has no second chamber, or a coil in its place, is answered without one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice.second_chamber import answer_second
from setup_rules.inference.posterior import prior
from setup_rules.inference.start_setting import DrawnEnd
from tests.setup_rules.advice.test_end_reasons import FORK, model_of


@pytest.mark.parametrize(
    "given", [{}, {"spring": "coil"}, {"spring": "coil", "second_volume_cm3": 40.0, "second_pressure_ratio": 1.8}]
)
def test_there_is_nothing_to_pump_into_what_is_not_there(given: dict[str, Any]) -> None:
    assert answer_second(DrawnEnd.of(model_of(replace(FORK, **given)), prior()), 500_000.0) is None
