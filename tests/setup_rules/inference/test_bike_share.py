"""How much the bike's own share in front may be off before a pressure leaves its stated band."""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules import read_request, recommend
from setup_rules.types import constants
from setup_rules.types.constants import BIKE_FRONT_SHARE


@pytest.mark.parametrize("share", [0.3183, 0.3725, 0.3788, 0.4223, 0.4655, 0.5083, 0.5199, 0.5449, 0.5561])
def test_a_measured_bicycles_share_would_give_a_pressure_inside_the_stated_band(
    share: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The shares are those of the measured bicycles in tests/published/test_bicycle_parameters_axle_loads.py.
    request = read_request({"rider_mass_kg": 75, "riding_style": "trail", "front": {"travel_mm": 140}})
    ours = recommend(request).front
    monkeypatch.setattr(constants, "BIKE_FRONT_SHARE", replace(BIKE_FRONT_SHARE, mean=share))
    theirs = recommend(request).front
    assert ours is not None
    assert theirs is not None
    assert (theirs.pressure_pa > ours.pressure_pa) == (share > BIKE_FRONT_SHARE.mean)
    assert ours.pressure_low_pa < theirs.pressure_pa < ours.pressure_high_pa
