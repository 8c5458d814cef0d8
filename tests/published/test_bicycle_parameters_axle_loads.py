"""Axle loads against a balance of moments worked by hand and against measured bicycles.

Source: statics; the measured bicycles and riders that the `bicycleparameters` package ships; the benchmark bicycle of
"Linearized dynamics equations for the balance and steer of a bicycle: a benchmark and review", Proc. R. Soc. A, 2007.
Confirmed: centres of mass recomputed with the package in this file; the benchmark's masses are read from the package,
the paper itself was not opened here. Tolerance: the worked digits; rounding for the package's.
"""

from __future__ import annotations

from importlib import resources

import pytest
from bicycleparameters import parameter_dicts
from bicycleparameters.parameter_sets import Meijaard2007ParameterSet as BenchmarkSet

from setup_rules.physics.rider_load import axle_masses
from setup_rules.types.constants import BIKE_FRONT_SHARE, FRONT_SHARE
from setup_rules.types.units import Quantity

BODIES = ("B", "F", "H", "R")


def shipped_bicycles() -> list[dict[str, float]]:
    """Return the parameters of every measured bicycle in the package, without their uncertainties."""
    folder = resources.files("bicycleparameters") / "app-data" / "bicycles"
    files = [
        file
        for bicycle in sorted(folder.iterdir(), key=lambda f: f.name)
        if (bicycle / "Parameters").is_dir()
        for file in (bicycle / "Parameters").iterdir()
        if file.name.endswith("Benchmark.txt")
    ]
    return [
        {
            name.strip(): float(value.split("+")[0])
            for name, value in (line.split("=") for line in file.read_text().splitlines() if "=" in line)
        }
        for file in files
    ]


def shipped_with_rider() -> list[dict[str, float]]:
    """Return the parameters of every bicycle in the package that has a seated rider joined to its rear frame."""
    return [
        found
        for found in vars(parameter_dicts).values()
        if isinstance(found, dict) and "mB" in found and found["mB"] > 50 and "xB" in found
    ]


def front_share(parameters: dict[str, float]) -> float:
    """Return the share of the weight on the front axle, by `axle_masses`."""
    p = parameters
    ahead = {"R": 0.0, "B": p["xB"], "H": p["xH"], "F": p["w"]}
    front, rear = axle_masses(
        [Quantity(p[f"m{body}"], "kg") for body in BODIES],
        [Quantity(ahead[body], "m") for body in BODIES],
        Quantity(p["w"], "m"),
    )
    return float((front / (front + rear)).magnitude)


def test_rider_and_bike_of_the_worked_example_load_the_axles_as_worked() -> None:
    front, rear = axle_masses(
        [Quantity(75, "kg"), Quantity(15, "kg")],
        [Quantity(432, "mm"), Quantity(600, "mm")],
        Quantity(1200, "mm"),
    )
    assert front.to("kg").magnitude == pytest.approx(34.5, abs=1e-9)
    assert rear.to("kg").magnitude == pytest.approx(55.5, abs=1e-9)


def test_the_benchmark_bicycle_loads_its_front_axle_as_worked_by_hand() -> None:
    # (85·0.3 + 4·0.9 + 3·1.02) / 1.02 kg on the front of 94 kg.
    benchmark = next(p for p in shipped_bicycles() if p["mB"] == 85.0)
    assert front_share(benchmark) * 94.0 == pytest.approx(31.5294, abs=5e-5)


@pytest.mark.parametrize("number", range(10))
def test_the_front_share_is_the_packages_centre_of_mass_over_the_wheelbase(number: int) -> None:
    bicycles = shipped_bicycles()
    assert len(bicycles) >= 10
    parameters = bicycles[number]
    centre = BenchmarkSet({**parameters, "v": 5.0}, False).mass_center_of(*BODIES)
    assert front_share(parameters) == pytest.approx(float(centre[0]) / parameters["w"], rel=1e-12)


def test_measured_bicycles_without_rider_agree_with_the_assumed_share_of_the_bike() -> None:
    shares = [front_share(p) for p in shipped_bicycles() if p["mB"] < 50]
    middle = sorted(shares)[len(shares) // 2]
    assert abs(middle - BIKE_FRONT_SHARE.mean) < 3 * BIKE_FRONT_SHARE.sigma


def test_measured_bicycles_with_seated_rider_agree_with_the_assumed_seated_share() -> None:
    shares = [front_share(p) for p in shipped_with_rider()]
    assert shares
    seated = FRONT_SHARE["seated"]
    assert all(abs(share - seated.mean) < 2 * seated.sigma for share in shares)
