"""Whole answers against a second reckoning, over all pairs of what a request may say.

Source: statics, gas law, virtual work and the damped oscillator, as reckoned in `second_reckoning` from the design
alone; rows from a covering array of strength 2 (`covering_array`).

Confirmed: the reckoning shares no line with the product; the array is counted against every permitted pair.

Tolerance: with every unknown at its central value what is left is numerics: 0.02 psi, 0.005 mm, 0.1 N, damping to one
in a thousand, and clicks to the click, where the reckoning lies more than 0.02 of a click from a half.

With a chart nothing can be held central: it weighs all drawn springs. So the chart is the one that the typical spring
of the reckoning would have, and the answer must stay with that spring: within 2 % in pressure, 1 % in load and one
click of 40. What is left is that the product answers with a median of what stays unknown, whose spread is not even
about its centre; the greatest of 25 was 1.5 %, where no more than the shock's class is known. Limits are left wide
there: one that binds would hide the chart.
"""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from setup_rules import EndSetup, read_request, recommend
from tests.published import second_reckoning as second
from tests.published.covering_array import covering_array, pairs_in, permitted_pairs
from tests.published.second_requests import FACTORS, body_of, end_of, permits
from tests.published.test_worked_whole_answers import PSI_PA

ROWS = covering_array(FACTORS, permits)
EACH = pytest.mark.parametrize("row", ROWS, ids=["-".join(row.values()) for row in ROWS])


def product(body: dict[str, Any]) -> EndSetup:
    """Return what the product answers to a request of one end."""
    (end,) = recommend(read_request(json.loads(json.dumps(body)))).ends()
    return end


def is_half(clicks: float) -> bool:
    """Return whether clicks lie so near a half that numerics alone may round them either way."""
    return abs(clicks - math.floor(clicks) - 0.5) < 0.02


def test_every_permitted_pair_stands_in_a_row() -> None:
    held = set().union(*map(pairs_in, ROWS))
    assert held == set(permitted_pairs(FACTORS, permits))
    assert 40 <= len(ROWS) <= 80


def test_rows_are_permitted_and_have_every_factor() -> None:
    for row in ROWS:
        assert list(row) == list(FACTORS)
        assert all(permits(one, other) for one in row.items() for other in row.items() if one != other)


def test_a_limit_binds_where_the_row_says_so_and_a_wide_one_never_does() -> None:
    for row in ROWS:
        limited = second.answer(body_of(row), end_of(row)).limited
        assert limited or row["limits"] not in ("maxBinds", "minBinds"), row
        assert not limited or row["limits"] != "wide", row


@EACH
@pytest.mark.usefixtures("central_scale_too")
def test_without_a_chart_the_central_answer_is_the_second_reckonings(row: dict[str, str]) -> None:
    body = body_of(row | {"chart": "noChart"})
    found, wanted = product(body), second.answer(body, end_of(row))
    assert found.pressure_pa / PSI_PA == pytest.approx(wanted.psi, abs=0.02)
    assert found.limited == wanted.limited
    assert found.rest_mm == pytest.approx(wanted.rest, abs=0.005)
    assert found.sag_target_mm == pytest.approx(wanted.sag_target, abs=1e-3)
    assert found.sag_expected_mm == pytest.approx(wanted.sag, abs=0.005)
    assert found.wheel_sag_mm == pytest.approx(wanted.wheel_sag, abs=0.01)
    assert found.load_n == pytest.approx(wanted.load, abs=0.1)
    if found.coil is not None:
        assert found.coil.rate_n_per_m / 1000 == pytest.approx(wanted.rate, abs=0.001)
        assert found.coil.preload_mm == pytest.approx(wanted.preload)


@EACH
@pytest.mark.usefixtures("central_scale_too")
def test_without_a_chart_the_clicks_are_the_second_reckonings(row: dict[str, str]) -> None:
    body = body_of(row | {"chart": "noChart"})
    found, wanted = product(body), second.answer(body, end_of(row))
    assert found.rebound is not None
    assert found.compression is not None
    assert wanted.compression is not None
    assert found.rebound.damping_n_s_per_m == pytest.approx(wanted.damping, rel=1e-3)
    assert is_half(wanted.rebound) or found.rebound.out == wanted.rebound_set
    assert is_half(wanted.compression) or found.compression.out == wanted.compression_set


CHARTS = [row | {"limits": "wide"} for row in ROWS if row["chart"] != "noChart"]


@pytest.mark.parametrize("row", CHARTS, ids=["-".join(row.values()) for row in CHARTS])
def test_the_chart_of_the_typical_spring_leaves_the_answer_with_it(row: dict[str, str]) -> None:
    body = body_of(row)
    found, wanted = product(body), second.answer(body, end_of(row))
    assert found.pressure_pa / PSI_PA == pytest.approx(wanted.psi, rel=0.02)
    assert found.load_n == pytest.approx(wanted.load, rel=0.01)
    assert found.rest_mm == pytest.approx(wanted.rest, abs=0.25)
    assert found.sag_expected_mm == pytest.approx(wanted.sag, abs=0.1)
    assert found.rebound is not None
    assert abs(found.rebound.out - wanted.rebound_set) <= 1
