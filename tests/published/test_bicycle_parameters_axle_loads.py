"""Axle loads against a balance of moments worked by hand and against measured bicycles.

Source: statics; the measured bicycles and riders that the `bicycleparameters` package ships; the benchmark bicycle of
"Linearized dynamics equations for the balance and steer of a bicycle: a benchmark and review", Proc. R. Soc. A, 2007.

Confirmed: centres of mass recomputed with the package in this file; the benchmark's masses are read from the package,
the paper itself was not opened here.

Tolerance: the worked digits; rounding for the package's.
"""

from __future__ import annotations

from importlib import resources

import pytest
from bicycleparameters import parameter_dicts
from bicycleparameters.parameter_sets import Meijaard2007ParameterSet as BenchmarkSet

from setup_rules.physics.rider_load import sprung_mass_kg

BODIES = ("B", "F", "H", "R")
#: Our estimates with their standard deviations: the bike's share in front, and a seated rider's.
BIKE_SHARE, BIKE_SIGMA, SEATED_SHARE, SEATED_SIGMA = 0.475, 0.02, 0.31, 0.035


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


def centre_share(parameters: dict[str, float], bodies: tuple[str, ...] = BODIES) -> float:
    """Return the package's centre of mass of some bodies, over the wheelbase: their share on the front axle."""
    centre = BenchmarkSet({**parameters, "v": 5.0}, False).mass_center_of(*bodies)
    return float(centre[0]) / parameters["w"]


def test_rider_and_bike_of_the_worked_example_load_the_axles_as_worked() -> None:
    # 75 kg standing 432 mm and 15 kg standing 600 mm ahead of the rear axle of a wheelbase of 1200 mm.
    rider, bike = 432 / 1200, 600 / 1200
    assert sprung_mass_kg(75.0, 15.0, rider, bike, 0.0) == pytest.approx(34.5, abs=1e-9)
    assert sprung_mass_kg(75.0, 15.0, 1 - rider, 1 - bike, 0.0) == pytest.approx(55.5, abs=1e-9)


def test_the_benchmark_bicycle_loads_its_front_axle_as_worked_by_hand() -> None:
    # (85·0.3 + 4·0.9 + 3·1.02) / 1.02 kg on the front of 94 kg: rider with frame, then fork and both wheels.
    p = next(one for one in shipped_bicycles() if one["mB"] == 85.0)
    rest_kg = p["mH"] + p["mF"] + p["mR"]
    rest = (p["mH"] * p["xH"] + p["mF"] * p["w"]) / rest_kg / p["w"]
    assert sprung_mass_kg(p["mB"], rest_kg, p["xB"] / p["w"], rest, 0.0) == pytest.approx(31.5294, abs=5e-5)


@pytest.mark.parametrize("number", range(10))
def test_two_parts_load_the_front_axle_as_the_packages_centre_of_all_masses_does(number: int) -> None:
    bicycles = shipped_bicycles()
    assert len(bicycles) >= 10
    p = bicycles[number]
    rest_kg, whole_kg = p["mH"] + p["mF"] + p["mR"], sum(p[f"m{body}"] for body in BODIES)
    found = sprung_mass_kg(p["mB"], rest_kg, centre_share(p, ("B",)), centre_share(p, ("H", "F", "R")), 0.0)
    assert found == pytest.approx(whole_kg * centre_share(p), rel=1e-12)


#: Measured bicycles without a rider by their place in the package's list: mass [kg] and front share. None has
#: suspension. Up to 11 kg they carry more in front than a mountain bike is taken to, from 18 kg on less.
MEASURED = {
    1: (18.2, 0.3788),
    2: (23.0, 0.3183),
    3: (21.2, 0.4655),
    4: (10.4, 0.5083),
    5: (9.8, 0.5561),
    6: (34.8, 0.3725),
    7: (19.25, 0.4223),
    8: (10.3, 0.5199),
    9: (10.3, 0.5449),
}
#: Within three standard deviations of our share of the bike, 0.475 ± 0.02: judged one by one.
NEAR_OURS = {3, 4, 7, 8}


def test_every_measured_bicycle_is_judged() -> None:
    light = [number for number, p in enumerate(shipped_bicycles()) if p["mB"] < 50]
    assert light == list(MEASURED)


@pytest.mark.parametrize(("number", "mass_kg", "share"), [(n, *row) for n, row in MEASURED.items()])
def test_a_measured_bicycle_is_near_our_share_or_named_as_another_kind(
    number: int, mass_kg: float, share: float
) -> None:
    p = shipped_bicycles()[number]
    assert sum(p[f"m{body}"] for body in BODIES) == pytest.approx(mass_kg, abs=0.01)
    assert centre_share(p) == pytest.approx(share, abs=5e-5)
    assert (abs(share - BIKE_SHARE) < 3 * BIKE_SIGMA) == (number in NEAR_OURS)


@pytest.mark.parametrize("parameters", [p for p in (*shipped_with_rider(), shipped_bicycles()[0]) if p["mB"] > 50])
def test_every_measured_bicycle_with_a_seated_rider_loads_its_front_axle_as_ours_would(
    parameters: dict[str, float],
) -> None:
    # Rider and kit 79 kg at 0.31 and bike 14 kg at 0.475: 0.3348 of the whole; two deviations of the rider's.
    ours = sprung_mass_kg(79.0, 14.0, SEATED_SHARE, BIKE_SHARE, 0.0) / 93.0
    assert ours == pytest.approx(0.3348, abs=5e-5)
    assert abs(centre_share(parameters) - ours) < 2 * SEATED_SIGMA
