"""Damping that cannot be has no clicks: nothing below zero, and no adjuster that changes nothing."""

from __future__ import annotations

import pytest

from setup_rules.physics.damping import clicks_between
from setup_rules.types.errors import LimitError


@pytest.mark.parametrize(
    ("damping", "other", "spread"),
    [
        *((0.0, 500.0, 4.0), (-500.0, 500.0, 4.0), (500.0, 0.0, 4.0), (500.0, -500.0, 4.0)),
        *((500.0, 400.0, 0.0), (500.0, 400.0, -4.0), (500.0, 400.0, 1.0), (-500.0, -400.0, 4.0)),
    ],
)
def test_damping_that_cannot_be_is_refused(damping: float, other: float, spread: float) -> None:
    with pytest.raises(LimitError, match="above zero"):
        clicks_between(damping, other, 16, spread)
