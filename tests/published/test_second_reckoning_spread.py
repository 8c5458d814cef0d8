"""Start pressure and band of whole requests against plain Monte Carlo, over pairs of what a request may say.

Source: JCGM 101 (propagation of distributions by Monte Carlo), 40,000 draws from the design's priors, weighed by what a
scale under a wheel shows and a manual's chart says; solved by bisection in `second_draws`.

Confirmed: the draws, their weights and the search share no line with the product.

Tolerance: two standard deviations of both sampling errors, computed from the drawn values: those of the draws here (as
many as their weights are worth) and those of 512 draws in the product, of which a chart leaves as large a part as it
leaves of ours. They are taken as if drawn at random, but are evenly filled: so two are enough. The width of
a band is held to three standard deviations of 24 samples of 512 that are evenly filled too (scrambled Sobol).
"""

from __future__ import annotations

import itertools
import json
import math
from typing import Any

import numpy as np
import pytest

from setup_rules import read_request, recommend
from tests.published.second_draws import Draws, quantile_sigma, weighed_quantile
from tests.published.second_requests import chart_of, with_share
from tests.published.test_worked_whole_answers import PSI_PA

COUNT, CHART_COUNT, PRODUCT_DRAWS = 40_000, 24_000, 512
Body = dict[str, Any]
FORK = {"travel_mm": 140, "stanchion_mm": 34, "max_pressure_psi": 400, "min_pressure_psi": 1}
SHOCK = {"stroke_mm": 55, "leverage_start": 2.3, "leverage_end": 1.9, "max_pressure_psi": 400, "min_pressure_psi": 1}
FEATURES: dict[str, Body] = {
    "bags": {"luggage_front_kg": 6, "luggage_rear_kg": 5},
    "entered": {},
    "scaleFront": {},
    "scaleRear": {},
    "seated": {"stance": "seated"},
    "kit": {"kit_mass_kg": 11},
    "spacers": {"end": {"volume_spacers": 2}},
    "shortened": {"end": {"longest_travel_mm": 160}},
    "coldBench": {"bench": {"temperature_c": 0}, "ride": {"temperature_c": 22, "altitude_m": 1800}},
    "eBike": {"bike_mass_kg": 25},
}
KNOWN = {
    "front": {
        "bore_mm": 31,
        "rod_mm": 9,
        "positive_volume_cm3": 175,
        "negative_volume_cm3": 30,
        "port_position_mm": 6,
    },
    "rear": {
        "bore_mm": 42,
        "rod_mm": 15,
        "positive_volume_cm3": 122,
        "negative_volume_cm3": 20,
        "port_position_mm": 3,
    },
}
#: A share is entered or weighed, not both.
APART = ({"entered", "scaleFront"}, {"entered", "scaleRear"})
CASES = [
    (name, pair)
    for name in ("front", "rear")
    for pair in itertools.combinations(FEATURES, 2)
    if set(pair) not in APART and not (name == "rear" and "shortened" in pair)
]


def body_of(name: str, pair: tuple[str, ...]) -> Body:
    """Return a request with two features."""
    body: Body = {"rider_mass_kg": 76, "riding_style": "trail", name: dict(FORK if name == "front" else SHOCK)}
    for feature in pair:
        body |= {key: value for key, value in FEATURES[feature].items() if key != "end"}
        body[name] |= FEATURES[feature].get("end", {})
    for feature in pair:
        with_share(feature, body)
    return body


CHART_CASES = [
    (name, chart, feature)
    for name in ("front", "rear")
    for chart in ("chartWithKit", "chartRider", "chartSag", "chartTravel")
    for feature in FEATURES
    if not (name == "rear" and (chart == "chartTravel" or feature == "shortened"))
]


def worth_of(weights: Any) -> float:
    """Return how many draws of equal weight weighed draws are worth: (Σw)²/Σw²."""
    return float(weights.sum() ** 2 / np.square(weights).sum())


def hold(body: Body, name: str, draws: Draws, by_chart: Any) -> None:
    """Assert that the product's low bound, pressure and high bound are those of the weighed draws.

    A chart weighs the product's draws as it does ours, and leaves of both the same part; a scale moves the product's.
    """
    pressures, weights = draws.pressures(), draws.weights() * by_chart
    worth, left = worth_of(weights), PRODUCT_DRAWS * worth_of(by_chart) / draws.count
    assert worth > 1_500  # fewer would make the tolerance wide
    (found,) = recommend(read_request(json.loads(json.dumps(body)))).ends()
    answered = (found.pressure_low_pa, found.pressure_pa, found.pressure_high_pa)
    for share, pascal in zip((0.05, 0.5, 0.95), answered, strict=True):
        wanted = weighed_quantile(pressures, weights, share)
        errors = (quantile_sigma(pressures, weights, share, count) for count in (worth, left))
        assert pascal / PSI_PA == pytest.approx(wanted, abs=2.0 * math.hypot(*errors)), share


@pytest.mark.parametrize(("name", "pair"), CASES, ids=["-".join((name, *pair)) for name, pair in CASES])
def test_pressure_and_band_are_those_of_plain_draws(name: str, pair: tuple[str, str]) -> None:
    body = body_of(name, pair)
    draws = Draws(body, name, COUNT, seed=2101)
    hold(body, name, draws, np.ones(COUNT))


@pytest.mark.parametrize(("name", "chart", "feature"), CHART_CASES, ids=["-".join(case) for case in CHART_CASES])
def test_with_a_chart_they_are_those_of_the_draws_that_it_leaves(name: str, chart: str, feature: str) -> None:
    body = body_of(name, (feature,))
    told = chart_of(chart, body, name)
    body[name] |= told | {"chart": [[kg, round(1.08 * psi, 1)] for kg, psi in told["chart"]]}  # a firmer spring
    draws = Draws(body, name, CHART_COUNT, seed=2101)
    hold(body, name, draws, draws.chart_weights())


WEIGHED = [
    (name, wheel, internals)
    for name in ("front", "rear")
    for wheel in ("noScale", "scaleFront", "scaleRear")
    for internals in ("known", "class")
]


def width_of(draws: Draws) -> float:
    """Return how wide the band of 90 % is [psi]."""
    low, high = (weighed_quantile(draws.pressures(), draws.weights(), share) for share in (0.05, 0.95))
    return high - low


@pytest.mark.parametrize(("name", "wheel", "internals"), WEIGHED, ids=["-".join(case) for case in WEIGHED])
def test_the_band_narrows_with_a_scale_under_this_or_the_other_wheel(name: str, wheel: str, internals: str) -> None:
    body = body_of(name, ())
    body[name] |= KNOWN[name] if internals == "known" else {}
    filled = [width_of(Draws(body, name, PRODUCT_DRAWS, seed, filled=True)) for seed in range(24)]
    with_share(wheel, body)
    (found,) = recommend(read_request(json.loads(json.dumps(body)))).ends()
    width = (found.pressure_high_pa - found.pressure_low_pa) / PSI_PA
    error = float(np.std(filled) / np.mean(filled))
    assert width == pytest.approx(width_of(Draws(body, name, COUNT, seed=2101)), rel=3.0 * error)
