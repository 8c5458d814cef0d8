"""A coil is stored and read back whole, and a shop's file with one is held to what could have been answered."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

import setup_rules as rules
from setup_rules.types.result import RULES_VERSION
from tests.webapp.api.views.test_coils import REQUEST
from webapp.moving.stored_limits import hold_revision
from webapp.setups.documents import SetupDocument, setup_document, setup_from_document

REVISION = {"number": 2, "base_number": 1, "kind": "sag_check_rear", "rules_version": RULES_VERSION}


@pytest.fixture(scope="module")
def setup() -> rules.Setup:
    """A coil bike after a check of its shock and a ride."""
    made = rules.recommend(rules.read_request(REQUEST))
    assert made.rear is not None
    assert made.rear.coil is not None
    spring = {"spring_rate_n_per_mm": made.rear.coil.rate_n_per_m / 1000, "preload_mm": made.rear.coil.preload_mm}
    checked = rules.apply_sag_check(made, rules.SagCheck(end="rear", readings_mm=(18.0, 19.0), **spring))
    return rules.apply_ride(checked, rules.RideReport(end="rear", felt=("hits_the_end",)))


def test_a_coil_is_read_back_as_it_was_stored(setup: rules.Setup) -> None:
    document = setup_document(setup)
    stored: Any = json.loads(json.dumps([document.request, document.checks, document.result]))
    assert setup_from_document(SetupDocument(*stored)) == setup


def test_a_document_from_before_there_were_coils_is_read_as_air() -> None:
    air = rules.recommend(
        rules.read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}})
    )
    document = setup_document(air)
    request, result = dict(document.request), dict(document.result)
    request["front"] = {key: value for key, value in request["front"].items() if key != "spring"}
    result["front"] = {key: value for key, value in result["front"].items() if key != "coil"}
    assert setup_from_document(SetupDocument(request, [], result)) == air


def test_a_shops_file_may_hold_a_coil_but_none_beyond_its_limits(setup: rules.Setup) -> None:
    hold_revision(REVISION, setup)
    assert setup.rear is not None
    assert setup.rear.coil is not None
    for wrong in (
        replace(setup.rear.coil, preload_mm=30.0),
        replace(setup.rear.coil, preload_max_mm=90.0),
        replace(setup.rear.coil, rate_n_per_m=-5.0),
        replace(setup.rear.coil, rate_high_n_per_m=float("nan")),
        None,
    ):
        with pytest.raises(ValueError, match=r"."):
            hold_revision(REVISION, replace(setup, rear=replace(setup.rear, coil=wrong)))
