"""What the `demo` task fills in: an invented shop's forks, shocks, bikes, checks and service records.

Every name and figure is made up. Bikes go by number and colour, forks and shocks by letter and size, so that nobody
takes them for something on sale.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

from setup_rules import RideReport, SagCheck
from setup_rules.types.units import PSI_PA
from webapp.workshop.entries import Arrival

SHOP: Final = "Lantern Lane Cycles (an invented shop)"
LOGIN: Final = "demo-owner"
FORK_A, FORK_B, FORK_C = "Fork A, 34 mm", "Fork B, 32 mm, coil negative", "Fork C, 38 mm"
SHOCK_A, SHOCK_B = "Shock A, 55 mm stroke", "Shock B, 65 mm stroke"

#: The shop's forks and shocks, shaped like its TOML file.
UNITS: Final[tuple[dict[str, Any], ...]] = (
    {
        "kind": "fork",
        "name": FORK_A,
        "note": "Invented for the demo",
        "stanchion_mm": 34,
        "travels_mm": [120, 130, 140, 150],
        "travel_spacers_mm": [10, 20],
        "min_pressure_psi": 40,
        "max_pressure_psi": 150,
        "rebound_clicks": 16,
        "compression_clicks": 12,
        "max_volume_spacers": 4,
        "torques": ["top cap 10-12 nm", "foot bolts 6-8 nm"],
        "oils": ["left 10 fork oil", "right 10 fork oil"],
        "intervals": ["lower_legs 50 h 6 months", "full 200 h 24 months"],
        "charts": [{"travel_mm": 140, "rows": [[55, 62], [70, 78], [85, 94], [100, 110]], "sag_percent": 20}],
    },
    {
        "kind": "fork",
        "name": FORK_B,
        "note": "Invented for the demo",
        "stanchion_mm": 32,
        "travels_mm": [80, 100, 120],
        "travel_spacers_mm": [20],
        "negative_spring": "coil",
        "max_pressure_psi": 160,
        "rebound_clicks": 20,
    },
    {
        "kind": "fork",
        "name": FORK_C,
        "note": "Invented for the demo",
        "stanchion_mm": 38,
        "travels_mm": [150, 160, 170, 180],
        "travel_spacers_mm": [10],
        "max_pressure_psi": 160,
        "rebound_clicks": 18,
        "compression_clicks": 12,
        "max_volume_spacers": 5,
    },
    {
        "kind": "shock",
        "name": SHOCK_A,
        "note": "Invented for the demo",
        "travels_mm": [55],
        "max_pressure_psi": 300,
        "rebound_clicks": 14,
        "max_volume_spacers": 3,
    },
    {
        "kind": "shock",
        "name": SHOCK_B,
        "note": "Invented for the demo",
        "travels_mm": [62.5, 65],
        "max_pressure_psi": 350,
        "rebound_clicks": 12,
        "max_volume_spacers": 4,
    },
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoBike:
    """An invented bike: its request without what the library knows, and what was done with its setup since.

    `fork` and `shock` name what of the library is fitted; `checks` are taken one after the other, then come `changes`.
    """

    label: str
    request: dict[str, Any]
    fork: str = ""
    shock: str = ""
    note: str = ""
    checks: tuple[SagCheck | RideReport, ...] = ()
    changes: dict[str, Any] = field(default_factory=dict)


RED: Final = DemoBike(
    label="Bike 1, red",
    note="Fork air spring serviced",
    request={
        "rider_mass_kg": 78,
        "riding_style": "trail",
        "bench": {"temperature_c": 20, "altitude_m": 300},
        "ride": {"temperature_c": 8, "altitude_m": 1400},
        "front": {"travel_mm": 140},
        "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4},
    },
    fork=FORK_A,
    shock=SHOCK_A,
)
BLUE: Final = DemoBike(
    label="Bike 2, blue",
    request={"rider_mass_kg": 55, "riding_style": "trail", "front": {"travel_mm": 150}},
    fork=FORK_A,
)
GREEN: Final = DemoBike(
    label="Bike 3, green",
    request={
        "rider_mass_kg": 68,
        "kit_mass_kg": 2,
        "bike_mass_kg": 10.5,
        "riding_style": "cross_country",
        "front": {"travel_mm": 100},
    },
    fork=FORK_B,
    checks=(
        SagCheck(
            end="front",
            pressure_pa=60 * PSI_PA,
            readings_from_above_mm=(18.0, 19.0),
            readings_from_below_mm=(23.0, 22.0),
        ),
    ),
)
ORANGE: Final = DemoBike(
    label="Bike 4, orange, motor",
    note="Shock seals replaced",
    request={
        "rider_mass_kg": 96,
        "kit_mass_kg": 7,
        "bike_mass_kg": 24.5,
        "riding_style": "enduro",
        "front": {"travel_mm": 170},
        "rear": {"stroke_mm": 65, "leverage_start": 2.8, "leverage_end": 2.3},
    },
    fork=FORK_C,
    shock=SHOCK_B,
    checks=(
        SagCheck(end="front", pressure_pa=89 * PSI_PA, readings_mm=(45.0, 46.5, 46.0)),
        SagCheck(end="rear", pressure_pa=254 * PSI_PA, readings_mm=(21.5, 22.0)),
        RideReport(end="rear", felt=("packs_down",), travel_used_mm=60.0),
    ),
    changes={"kit_mass_kg": 9, "ride": {"temperature_c": 3, "altitude_m": 1800}},
)
WHITE: Final = DemoBike(
    label="Bike 5, white",
    request={
        "rider_mass_kg": 83,
        "bike_mass_kg": 16.5,
        "riding_style": "park",
        "rear": {"stroke_mm": 55, "leverage_start": 2.6, "leverage_end": 2.5},
    },
    shock=SHOCK_A,
    note="Negative chamber cleaned",
)
BIKES: Final = (RED, BLUE, GREEN, ORANGE, WHITE)

#: The closed visit: travel of the blue bike's fork from 150 to 130 mm, written down step by step.
CLOSED_VISIT: Final = Arrival(
    bike_label=BLUE.label,
    unit_label=FORK_A,
    customer_reference="Demo ticket 101",
    as_found={"pressure_psi": 58.0, "temperature_c": 19.0, "rebound_out": 4, "symptoms": "Too tall, slow to return"},
)
CLOSED_STEPS: Final[tuple[tuple[str, dict[str, Any] | None], ...]] = (
    ("eyes", None),
    ("release", None),
    ("release_again", None),
    ("parts", {"parts": [["Stanchions", "good"], ["Wiper seals", "replaced"], ["Foam rings", "replaced"]]}),
    ("seals", {"what": "wiper seals and air piston seal"}),
    ("lubricant", {"what": "Lower legs, kind from the manual"}),
    ("travel", {"before_mm": 150.0, "after_mm": 130.0, "longest_mm": 150.0, "spacers": [[20.0, 1]]}),
    (
        "torque",
        {"part": "Top cap (invented figures)", "torque": 11.0, "unit": "nm", "low": 10, "high": 12, "range_unit": "nm"},
    ),
    ("clearance", None),
    ("handover", None),
)
#: Pressure read again the same day, with the pump left on: too early to tell, as it mostly is. It is judged when saved.
LEAK_READINGS: Final = {"first_psi": 70.0, "hours": 5.0, "second_psi": 70.0, "left_on": True}

#: The open visit: the orange bike's shock, half way through its checklist.
OPEN_VISIT: Final = Arrival(
    bike_label=ORANGE.label,
    unit_label=SHOCK_B,
    customer_reference="Demo ticket 102",
    spring_end="rear",
    as_found={"pressure_psi": 212.0, "sag_mm": 24.0, "rebound_out": 5, "symptoms": "Loses air within a week"},
)
#: Bikes that came in today and wait: without a setup yet, and without a service begun.
WAITING: Final[tuple[Arrival, ...]] = (
    Arrival(
        bike_label="Bike 6, black",
        unit_label=FORK_C,
        customer_reference="Demo ticket 103",
        service_kind="lower_legs",
        as_found={"pressure_psi": 88.0, "symptoms": "Harsh over small bumps"},
    ),
    Arrival(
        bike_label="Bike 7, yellow",
        unit_label=SHOCK_A,
        customer_reference="Demo ticket 104",
        spring_end="rear",
        service_kind="air_spring",
        as_found={"pressure_psi": 120.0, "symptoms": "Soft after a night"},
    ),
    Arrival(bike_label="Bike 8, grey", unit_label=FORK_B, customer_reference="Demo ticket 105", service_kind="full"),
)
#: The shop's bikes for demo days, as the JSON interface describes them.
FLEET: Final[tuple[dict[str, Any], ...]] = (
    {"number": "D1", "label": "Demo bike 1, red, M", "front": {"unit": FORK_A, "travel_mm": 140}},
    {"number": "D2", "label": "Demo bike 2, red, L", "front": {"unit": FORK_A, "travel_mm": 140}},
    {
        "number": "D3",
        "label": "Demo bike 3, teal, M",
        "bike_mass_kg": 24,
        "front": {"unit": FORK_C, "travel_mm": 170},
        "rear": {"unit": SHOCK_B, "stroke_mm": 65, "leverage_start": 2.8, "leverage_end": 2.3},
    },
    {
        "number": "D4",
        "label": "Demo bike 4, teal, L",
        "bike_mass_kg": 24,
        "front": {"unit": FORK_C, "travel_mm": 170},
        "rear": {"unit": SHOCK_B, "stroke_mm": 65, "leverage_start": 2.8, "leverage_end": 2.3},
    },
)
#: What the shop says of itself. The number is one that Ofcom keeps free for drama.
PHONE: Final = "01632 960123"
TIME_ZONE: Final = "Europe/London"
INITIALS: Final = "LL"

OPEN_STEPS: Final[tuple[tuple[str, dict[str, Any] | None], ...]] = (
    ("eyes", None),
    ("release", None),
    ("parts", {"parts": [["Shaft", "good"], ["Air can seals", "worn"]]}),
)
