"""What three riders teach of one fork, kept as a few rounded numbers, against plain Monte Carlo of 100,000 forks.

Source: JCGM 101:2008 (propagation of distributions by Monte Carlo) and Bayes' theorem, any text; JCGM 101 was
remembered, not opened. Every fork is drawn once, every rider's share, habit and stance anew for each fork, and the
three readings weigh the forks together by their plain normal densities: the posteriors are multiplied as such. The
product never holds more than nine rounded numbers between two riders. What it knows of each of its own drawn forks is
held against the same fork on paper, by bisection, and its factor against SciPy's normal density.

Confirmed: drawn and worked out here; no line or closed form is shared with the product, and of its sample only the
unknowns of the forks that are compared one by one.

Tolerance: beside the draw's own scatter of about 0.5 %: 2 % of the fourth rider's median pressure and 5 % of the ends
of its range, since the product reads with heavier tails and keeps means and covariances alone. One by one: 0.001 in the
logarithm of a pressure, which is the bisection's last step; SciPy's density to nine digits.
"""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from setup_rules import (
    SagCheck,
    SetupRequest,
    SpringMemory,
    add_lesson,
    apply_sag_check,
    lesson_of,
    read_request,
    recommend,
    with_memories,
)
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import low_discrepancy_sample
from setup_rules.inference.spring_memory import differences, memory_log_weight, typical_factor
from tests.published.on_paper import G
from tests.published.plain_riders import Riders, drawn, plain_answer

PSI_PA, TARGET, ALONG = 6894.757293168, 31.5, G * np.sin(np.radians(66.0))
#: Rider and kit [kg], pressure pumped [psi], gap read [mm]: all of one fork that is softer than the class, or harder.
SOFT = ((60.0, 55.0, 33.0), (95.0, 84.0, 36.0), (76.0, 68.0, 34.0))
HARD = ((60.0, 55.0, 23.0), (95.0, 84.0, 26.0), (76.0, 68.0, 25.0))
NEXT_KG, FORKS = 82.0, 100_000
REFERENCE_KG, REFERENCE_GAP = (55.0, 75.0, 95.0), 0.22 * 140.0


def share_sigma(place: int) -> float:
    """Return the spread of the front share: 0.035, and 3 % of the stated weight for all but a bike's first rider."""
    return 0.035 if place == 0 else float(np.hypot(0.035, 0.03 * 0.39))


def with_rider(forks: Riders, kg: float, share: np.ndarray) -> Riders:
    """Return the same forks and bikes under another rider."""
    per_share = forks.per_share / 82.0 * kg
    without = forks.load - (forks.share_off + 0.39) * forks.per_share
    return replace(forks, load=without + share * per_share, per_share=per_share, share_off=share - 0.39)


def some_forks() -> Riders:
    """Return the first of the drawn forks."""
    every = drawn()
    return Riders(*(getattr(every, name)[:FORKS] for name in every.__dataclass_fields__))


@functools.cache
def plain(turns: tuple[tuple[float, float, float], ...]) -> Riders:
    """Return the next rider on forks weighed by all turns together."""
    forks, rng = some_forks(), np.random.default_rng(11)
    log_weight = np.zeros(FORKS)
    for place, (kg, psi, read) in enumerate(turns):
        rider = with_rider(forks, kg, rng.normal(0.39, share_sigma(place), FORKS))
        gap = rider.place(psi, rider.load) - rider.place(psi, rider.rest_load + 0.3 * rider.friction)
        give = (rider.place(psi, rider.load + 5.0) - rider.place(psi, rider.load)) / 5.0
        slack = rider.friction * give
        habit, stance = rng.normal(0.0, 0.45, FORKS), rng.normal(0.0, 0.008, FORKS) * rider.per_share * give
        expected = gap + stance + rng.normal(0.0, 0.026, FORKS) * gap + habit * slack
        sigma = np.sqrt(1.0 + 1.0 / 12.0 + (0.4 * slack) ** 2)
        log_weight += -0.5 * ((read - expected) / sigma) ** 2 - np.log(sigma)
    rider = with_rider(forks, NEXT_KG, rng.normal(0.39, share_sigma(len(turns)), FORKS))
    return replace(rider, weight=np.exp(log_weight - log_weight.max()))


def request_of(kg: float, memory: SpringMemory) -> SetupRequest:
    """Return the request of a rider on the bike."""
    asked = {
        "rider_mass_kg": kg,
        "kit_mass_kg": 0,
        "bike_mass_kg": 14,
        "riding_style": "trail",
        "front": {"travel_mm": 140, "stanchion_mm": 34, "head_angle_deg": 66, "max_pressure_psi": 200},
    }
    return with_memories(read_request(asked), {"front": memory})


@functools.cache
def remembered(turns: tuple[tuple[float, float, float], ...]) -> SpringMemory:
    """Return what the product keeps of all turns; drift between riders, which is an estimate, is left out."""
    memory = SpringMemory.nothing()
    for kg, psi, read in turns:
        check = SagCheck(end="front", pressure_pa=psi * PSI_PA, readings_mm=(read,), confirm=True)
        lesson = lesson_of(apply_sag_check(recommend(request_of(kg, memory)), check), "front")
        assert lesson is not None
        memory = add_lesson(memory, lesson)
    return memory


@pytest.mark.parametrize("turns", [SOFT, HARD], ids=["soft", "hard"])
def test_the_fourth_rider_gets_what_all_readings_together_say(turns: tuple[tuple[float, float, float], ...]) -> None:
    low, middle, high = plain_answer(plain(turns), TARGET)
    found = recommend(request_of(NEXT_KG, remembered(turns))).front
    assert found is not None
    got = tuple(pa / PSI_PA for pa in (found.pressure_low_pa, found.pressure_pa, found.pressure_high_pa))
    print(f"Monte Carlo {low:.1f} {middle:.1f} {high:.1f}, product {got[0]:.1f} {got[1]:.1f} {got[2]:.1f} psi")
    assert got == (pytest.approx(low, rel=0.05), pytest.approx(middle, rel=0.02), pytest.approx(high, rel=0.05))


def on_paper(z: np.ndarray) -> Riders:
    """Return forks of given unknowns on their bike, without a rider: what the rules state, typed here."""
    even = dict(zip(UNIFORM, z[:, 4:].T, strict=True))
    value = {name: low + (high - low) * even[name] for name, (low, high) in UNIFORM.items()}
    area = np.pi / 4 * (30.8 * value["bore"]) ** 2
    ratio, leg_area = 2.5 + value["ratio"], value["leg_area"] * area
    bike, unsprung, model = 0.475 + 0.02 * z[:, 1], 3.2 + 0.35 * z[:, 2], 1.0 + 0.045 * z[:, 3]
    return Riders(
        area=area,
        volume=area * 140.0 * ratio / (ratio - 1.0),
        negative_area=value["negative_area"] * area,
        negative_volume=value["negative_volume"] * area * 140.0,
        port=value["port"] * 140.0,
        leg_area=leg_area,
        leg_volume=value["leg"] * leg_area * 140.0,
        gas=value["gas"],
        friction=value["friction"],
        load=(bike * 14 - unsprung + 0.39 * 82.0) * ALONG * model,
        per_share=82.0 * ALONG * model,
        share_off=np.zeros(len(z)),
        rest_load=(bike * 14 - unsprung) * ALONG,
        weight=np.ones(len(z)),
    )


#: Evenly spread unknowns in the order of the sample's columns.
UNIFORM = {
    "bore": (0.98, 1.02),
    "ratio": (-0.3, 0.3),
    "negative_area": (0.90, 0.96),
    "negative_volume": (0.08, 0.38),
    "port": (0.03, 0.08),
    "leg_area": (1.9, 2.3),
    "leg": (1.6, 3.0),
    "gas": (0.0, 30.0),
    "friction": (8.0, 30.0),
}


def reference_logs(forks: Riders) -> np.ndarray:
    """Return the logarithm of the pressure that each fork needs, a row a reference rider."""
    share = np.full(len(forks.load), 0.39)
    return np.array([np.log(with_rider(forks, kg, share).pressure_for(REFERENCE_GAP)) for kg in REFERENCE_KG])


def model_of(request: SetupRequest) -> EndModel:
    """Return the fork of a request."""
    assert request.front is not None
    return EndModel("front", request.front, request)


def test_each_drawn_fork_differs_from_the_typical_one_as_it_does_on_paper() -> None:
    z = np.array(low_discrepancy_sample())
    typical = np.array([[0.0] * 4 + [0.5] * 9])
    off = reference_logs(on_paper(z)) - reference_logs(on_paper(typical))
    friction = (on_paper(z).friction - 19.0) / 22.0
    found = differences(model_of(request_of(70.0, SpringMemory.nothing())))
    expected = np.stack((off.mean(axis=0), off[2] - off[0], friction), axis=-1)
    assert found == pytest.approx(expected, abs=1e-3)


def test_the_factor_is_a_normal_density() -> None:
    covariance = np.array([[0.0036, -0.0004, 0.002], [-0.0004, 0.0008, 0.0], [0.002, 0.0, 0.05]])
    precision, mean = np.linalg.inv(covariance), np.array([0.11, -0.02, 0.1])
    lower = tuple(float(precision[row, column]) for row in range(3) for column in range(row + 1))
    memory = SpringMemory(riders=4, shift=tuple(map(float, precision @ mean)), precision=lower)
    model = model_of(request_of(70.0, memory))
    density = multivariate_normal(mean, covariance).logpdf(differences(model))
    found = memory_log_weight(memory, model)
    assert found - found[0] == pytest.approx(density - density[0], rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("level_sought", [-0.3, 0.4])
def test_how_much_more_than_typical_is_the_weighted_mean_of_the_forks_on_paper(level_sought: float) -> None:
    z, covariance = np.array(low_discrepancy_sample()), np.diag((4e-3, 1e-3, 0.08))
    mean = np.array([level_sought, 0.01, 0.05])
    typical = np.array([[0.0] * 4 + [0.5] * 9])
    off = reference_logs(on_paper(z)) - reference_logs(on_paper(typical))
    level, slope = off.mean(axis=0), off[2] - off[0]
    weight = multivariate_normal(mean, covariance).pdf(np.stack((level, slope, z[:, 12] - 0.5), axis=-1))
    expected = np.exp(weight @ level / weight.sum() - level.mean())
    precision = np.linalg.inv(covariance)
    lower = tuple(float(precision[row, column]) for row in range(3) for column in range(row + 1))
    memory = SpringMemory(riders=4, shift=tuple(map(float, precision @ mean)), precision=lower)
    assert typical_factor(memory, model_of(request_of(70.0, memory))) == pytest.approx(expected, rel=1e-3)
