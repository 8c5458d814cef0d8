"""The rider's weight is rounded before anything is stored."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask import Flask

from setup_rules import read_request
from webapp.checks.actions.preview_changes import preview_changes
from webapp.checks.actions.save_changes import save_changes
from webapp.checks.weight_proof import WeightProof
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.round_weights import rounded_changes, rounded_kg

REQUEST = {"rider_mass_kg": 81.6466266, "riding_style": "trail", "front": {"travel_mm": 140}}


@pytest.mark.parametrize(("mass", "kept"), [(81.6466, 81.5), (81.76, 82.0), (20.1, 20.0), (159.9, 160.0), (78, 78.0)])
def test_a_mass_is_kept_to_half_a_kilogram_and_inside_the_limits(mass: float, kept: float) -> None:
    assert rounded_kg(mass) == kept


def test_what_is_stored_holds_the_rounded_weight_only(app: Flask, tmp_path: Path) -> None:
    with app.app_context():
        code = create_setup(read_request(REQUEST)).saved.code
        assert find_setup(code).setup.request.rider_mass_kg == 81.5
        proof = WeightProof(81.65)
        assert preview_changes(code, {"rider_mass_kg": 79.31}, proof=proof).setup.request.rider_mass_kg == 79.5
        assert save_changes(code, {"rider_mass_kg": 79.31}, proof=proof).setup.request.rider_mass_kg == 79.5
    stored = b"".join(path.read_bytes() for path in (tmp_path / "data").glob("*.db*"))
    assert b"81.64" not in stored
    assert b"79.31" not in stored


@pytest.mark.parametrize("mass", ["heavy", None, True, float("nan"), 1e300])
def test_what_is_no_mass_is_left_for_the_rules_to_refuse(mass: object) -> None:
    assert rounded_changes({"rider_mass_kg": mass})["rider_mass_kg"] is mass
