"""Weights of draws from their logarithms: however unlikely all of them are, and where just enough carry them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from setup_rules.inference.draw_weights import evened


@pytest.mark.parametrize("best", [-2000.0, 0.0, 2000.0])
def test_only_what_one_draw_is_likelier_than_another_counts(best: float) -> None:
    # e² to 1, however many orders of magnitude all of it lies below 1 or above.
    found = evened(np.array([best, best - 2.0]), 1.0)
    assert found.weight == pytest.approx([1 / (1 + math.exp(-2.0)), 1 / (1 + math.exp(2.0))])
    assert found.power == 1.0


def test_as_many_draws_as_are_asked_for_are_left_as_they_are() -> None:
    # Four alike are carried by four.
    found = evened(np.zeros(4), 4.0)
    assert (found.power, found.carried, found.carried_before) == (1.0, 4.0, 4.0)
