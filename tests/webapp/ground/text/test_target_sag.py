"""How lists of a shop and a crew say the target sag of a bike that is ridden in other air than it is set in."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from flask import Flask

from setup_rules import EndSetup, read_request, recommend
from webapp.ground.text.phrases import target_sag_words


@pytest.fixture
def fork(app: Flask, whole_request: dict[str, Any]) -> EndSetup:
    """A fork with a target of 28 mm."""
    front = recommend(read_request(whole_request)).front
    assert front is not None
    return front


@pytest.mark.parametrize(
    ("shift_mm", "said"),
    [
        (0.0, "28 mm"),
        (0.49, "28 mm"),
        (-0.5, "28 mm on the ride, 27.5 mm where set"),
        (2.0, "28 mm on the ride, 30 mm where set"),
    ],
)
def test_what_is_set_elsewhere_is_said_from_half_a_millimetre_on(fork: EndSetup, shift_mm: float, said: str) -> None:
    assert target_sag_words(replace(fork, bench_shift_mm=shift_mm)) == said
