"""Numbers as people read them: by a table of what a gauge, a ruler and a keyboard can show."""

from __future__ import annotations

import math

import pytest

from setup_rules.messages.rounding import as_typed, gauge_psi, gauge_psi_below


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (140.0, 140),
        (0.1 + 0.2, 0.3),
        (1 / 3, 0.333333),
        (-4.0, -4),
        (123_456.7, 123_457),
        (1e15, 1e15),
        (0.0, 0),
    ],
)
def test_what_was_typed_comes_back_in_six_figures(value: float, shown: float) -> None:
    found = as_typed(value)
    assert found == shown
    assert isinstance(found, int) is (float(shown).is_integer() and abs(shown) < 1e15)


def test_what_has_no_end_stays_a_float() -> None:
    assert as_typed(math.inf) == math.inf
    assert math.isnan(as_typed(math.nan))


@pytest.mark.parametrize(
    ("psi", "nearest", "not_above"),
    [
        (20.0, 20, 20),
        (28.24, 28, 28),
        (28.26, 28.5, 28),
        (28.6, 28.5, 28.5),
        (39.74, 39.5, 39.5),
        (39.76, 40, 39.5),
        (39.99, 40, 39.5),
        (40.0, 40, 40),
        (40.24, 40, 40),
        (40.4, 40, 40),
        (40.6, 41, 40),
        (83.49999999999996, 84, 83),
        (150.0, 150, 150),
    ],
)
def test_a_gauge_shows_halves_below_forty_and_wholes_from_there(psi: float, nearest: float, not_above: float) -> None:
    assert gauge_psi(psi) == nearest
    assert gauge_psi_below(psi) == not_above
    assert gauge_psi_below(psi) <= round(psi, 6)
