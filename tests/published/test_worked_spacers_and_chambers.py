"""Volume spacers that fit, chambers at another travel and the way of a travel change, by the volume of a cylinder.

Source: volume of a cylinder, any text on geometry. The size classes, 8 and 6 cm³ a spacer and the twentieth of the
swept volume that has to be left are our estimates, typed here.

Confirmed: worked in the comments in cm² and cm³, where the code works in SI, and counted by hand.

Tolerance: the typed digits, 0.001 cm³; none for pieces.
"""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules.inference.posterior import central_row
from setup_rules.inference.size_class import draw_fork, draw_shock, spacer_volume_cm3
from setup_rules.inference.volume_spacer import most_spacers
from setup_rules.physics.travel_change import geometry_change, volume_at_travel_cm3
from setup_rules.types.request import FrontEnd, RearEnd
from setup_rules.workshop.checklist import Step, travel_change_mm

ENDS: dict[str, tuple[FrontEnd | RearEnd, float, int]] = {
    # Bore 30.8 mm, 7.4506 cm²·14 = 104.31 cm³ swept; ratio 2.5: 69.54 at the end, 5.22 have to stay: 64.32/8 = 8.04.
    "fork of the 34 mm class": (FrontEnd(travel_mm=140.0, stanchion_mm=34), 8.0, 8),
    # Bore 28.5 mm, 6.3794 cm²·8 = 51.04 swept; 34.02 at the end, 2.55 stay: 31.47/8 = 3.93.
    "short fork of the 32 mm class": (FrontEnd(travel_mm=80.0, stanchion_mm=32), 8.0, 3),
    # Bore 41 mm, 13.2025 cm²·5.5 = 72.61 swept; ratio 2.75: 41.49 at the end, 3.63 stay: 37.86/6 = 6.31.
    "shock": (RearEnd(stroke_mm=55.0, leverage_start=2.9, leverage_end=2.4), 6.0, 6),
    # Entered: bore 35 mm, 9.6211 cm²·5 = 48.11 swept; 60 − 48.11 = 11.89 at the end, 2.41 stay: 9.49/4 = 2.37.
    "shock as entered": (
        RearEnd(
            stroke_mm=50.0,
            leverage_start=2.9,
            leverage_end=2.4,
            bore_mm=35.0,
            positive_volume_cm3=60.0,
            volume_spacer_cm3=4.0,
        ),
        4.0,
        2,
    ),
}


@pytest.mark.parametrize(("end", "cm3", "most"), ENDS.values(), ids=ENDS)
def test_as_many_spacers_fit_as_the_end_of_the_stroke_holds(end: FrontEnd | RearEnd, cm3: float, most: int) -> None:
    assert spacer_volume_cm3(end) == cm3
    assert most_spacers(end) == most


@pytest.mark.parametrize(
    ("volume", "bore", "before", "after", "worked"),
    [
        # 8.0425 cm²·2 cm = 16.085 cm³ less; 7.4506·3 = 22.352 more; 5.7256·10 = 57.256 less.
        (165.0, 32.0, 140.0, 120.0, 148.915),
        (180.0, 30.8, 120.0, 150.0, 202.352),
        (90.0, 27.0, 200.0, 100.0, 32.744),
    ],
)
def test_a_chamber_at_another_travel_loses_or_gains_a_cylinder(
    volume: float, bore: float, before: float, after: float, worked: float
) -> None:
    assert volume_at_travel_cm3(volume, bore, before, after) == pytest.approx(worked, abs=1e-3)


@pytest.mark.parametrize(
    ("end", "left_cm3"),
    [
        # Bore 36 mm, 10.1788 cm²·10 = 101.788 cm³ swept; 150 − 101.788 = 48.212 at the end, less 5 of oil: 43.212.
        (FrontEnd(travel_mm=100.0, bore_mm=36.0, positive_volume_cm3=150.0, air_lubricant_cm3=5.0), 43.212),
        # And less two spacers of 6 as well: 31.212.
        (
            FrontEnd(
                travel_mm=100.0,
                bore_mm=36.0,
                positive_volume_cm3=150.0,
                air_lubricant_cm3=5.0,
                volume_spacers=2,
                volume_spacer_cm3=6.0,
            ),
            31.212,
        ),
        # Bore 35 mm, 9.6211 cm²·5 = 48.106 swept; 60 − 48.106 = 11.894 at the end; 2.5 of grease are a fifth of it.
        (
            RearEnd(
                stroke_mm=50.0,
                leverage_start=2.9,
                leverage_end=2.4,
                bore_mm=35.0,
                positive_volume_cm3=60.0,
                air_lubricant_cm3=2.5,
            ),
            9.394,
        ),
    ],
)
def test_oil_takes_its_volume_from_the_air(end: FrontEnd | RearEnd, left_cm3: float) -> None:
    spring: Any = draw_fork(end, central_row()) if isinstance(end, FrontEnd) else draw_shock(end, central_row())
    assert float(spring.compressed_volume_m3) * 1e6 == pytest.approx(left_cm3, abs=1e-3)


def spacers(before: float, after: float, state: Any = "done") -> Step:
    """Return the step of a service in which the travel was changed."""
    values = {"before_mm": before, "after_mm": after}
    return Step(key="travel", kind="travel", title="Spacers", state=state, values=values)


@pytest.mark.parametrize(
    ("steps", "change", "degrees"),
    [
        # By the table of fork lengths at 66° on 1200 mm: 20 mm less is 0.8783° steeper, 10 mm more 0.4347° slacker.
        ((spacers(140.0, 120.0),), -20.0, 0.8783),
        ((spacers(140.0, 120.0), spacers(140.0, 150.0)), 10.0, -0.4347),
        ((spacers(140.0, 120.0, "open"),), 0.0, 0.0),
    ],
)
def test_a_service_that_shortens_the_fork_makes_the_head_angle_steeper(
    steps: tuple[Step, ...], change: float, degrees: float
) -> None:
    assert travel_change_mm(steps) == change
    assert geometry_change(1200.0, 66.0, travel_change_mm(steps)).head_angle_deg == pytest.approx(degrees, abs=5e-5)
