"""A setup survives storage unchanged in every field."""

from __future__ import annotations

import dataclasses
import json
from typing import Any

import pytest

from setup_rules import SagCheck, Setup, TakenCheck, apply_sag_check, read_request, recommend
from webapp.setups.documents import SetupDocument, setup_document, setup_from_document


def through_json(setup: Setup) -> Setup:
    document = setup_document(setup)
    parts = json.loads(json.dumps(dataclasses.asdict(document), allow_nan=False))
    return setup_from_document(SetupDocument(**parts))


def test_a_whole_setup_comes_back_equal(whole_request: dict[str, Any]) -> None:
    setup = recommend(read_request(whole_request))
    assert through_json(setup) == setup


def test_a_setup_with_one_end_and_a_leverage_table_comes_back_equal() -> None:
    rear = {"stroke_mm": 60, "leverage_table": [[0, 3.1], [20.5, 2.8], [60, 2.4]]}
    setup = recommend(read_request({"rider_mass_kg": 70, "riding_style": "enduro", "rear": rear}))
    back = through_json(setup)
    assert back == setup
    assert back.request.rear is not None
    assert back.request.rear.leverage_table == ((0.0, 3.1), (20.5, 2.8), (60.0, 2.4))


def test_taken_checks_come_back_so_that_later_ones_can_build_on_them(whole_request: dict[str, Any]) -> None:
    first = recommend(read_request(whole_request))
    assert first.front is not None
    check = SagCheck(
        end="front",
        pressure_pa=first.front.pressure_pa,
        readings_mm=(33.0, 31.5),
        readings_from_above_mm=(30.0,),
        temperature_c=-3.5,
    )
    checked = apply_sag_check(first, check)
    back = through_json(checked)
    assert back == checked
    carried_mm = checked.checks[-1].carried_mm
    assert carried_mm is not None
    assert carried_mm != 0.0
    assert back.checks[-1] == TakenCheck(check=check, request=first.request, carried_mm=carried_mm)
    again = SagCheck(end="front", pressure_pa=checked.front.pressure_pa if checked.front else 0.0, readings_mm=(28.0,))
    assert apply_sag_check(back, again) == apply_sag_check(checked, again)


def test_the_stored_request_is_the_interfaces_own(whole_request: dict[str, Any]) -> None:
    setup = recommend(read_request(whole_request))
    stored = setup_document(setup).request
    assert read_request(stored) == setup.request


def test_an_older_document_gets_the_defaults_of_newer_fields_and_loses_dropped_ones(
    whole_request: dict[str, Any],
) -> None:
    setup = recommend(read_request(whole_request))
    document = setup_document(setup)
    older = {k: v for k, v in document.result.items() if k != "settled"} | {"dropped_long_ago": 1}
    assert setup_from_document(dataclasses.replace(document, result=older)) == setup


def test_what_is_no_setup_is_refused() -> None:
    with pytest.raises((KeyError, TypeError, ValueError)):
        setup_from_document(SetupDocument({}, [], {}))
