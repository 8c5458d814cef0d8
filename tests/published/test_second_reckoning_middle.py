"""The rider that the middle click is for gets it, whatever the spring.

Source: by definition the reference rider (79 kg with kit, trail, a bare bike of 14 kg) has the middle click.

Confirmed: the middle is no computation at all, it is the definition of the reference.

Tolerance: no click.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.published.test_second_reckoning_pairs import product

Body = dict[str, Any]
FORK: Body = {"travel_mm": 140, "rebound_clicks": 60, "compression_clicks": 60}
SHOCK: Body = {
    "stroke_mm": 55,
    "leverage_start": 2.3,
    "leverage_end": 1.9,
    "rebound_clicks": 60,
    "compression_clicks": 60,
}
ENDS: dict[str, tuple[str, Body]] = {
    "fork, air": ("front", FORK),
    "fork, coil": ("front", FORK | {"spring": "coil"}),
    "shock, air": ("rear", SHOCK),
    "shock, coil": ("rear", SHOCK | {"spring": "coil"}),
}


@pytest.mark.parametrize(("name", "end"), ENDS.values(), ids=ENDS)
@pytest.mark.usefixtures("central_scale_too")
def test_the_reference_rider_has_the_middle_click(name: str, end: Body) -> None:
    found = product({"rider_mass_kg": 75, "kit_mass_kg": 4, "bike_mass_kg": 14, "riding_style": "trail", name: end})
    assert found.rebound is not None
    assert found.compression is not None
    assert (found.rebound.out, found.compression.out) == (30, 30)
