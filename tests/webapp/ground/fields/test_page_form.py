"""What all forms share."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from flask import Flask

from webapp.ground.fields.page_form import given
from webapp.travel.forms import TravelForm
from webapp.workshop.forms.record_forms import FoundForm, LeftForm
from webapp.workshop.forms.step_forms import TorqueForm


@pytest.fixture(autouse=True)
def _inside(app: Flask) -> Iterator[None]:
    with app.test_request_context():
        yield


def test_values_are_shown_as_a_person_would_type_them() -> None:
    form = LeftForm(formdata=None)
    form.show({"pressure_psi": 99.0, "rebound_out": 8, "sag_mm": 27.5, "note": "as in the manual", "next_due_on": None})
    shown = [form[name].text for name in ("pressure_psi", "rebound_out", "sag_mm", "note", "next_due_on")]
    assert shown == ["99", "8", "27.5", "as in the manual", ""]


def test_a_label_shows_the_one_unit_of_a_bare_number() -> None:
    form = FoundForm(formdata=None)
    assert form.pressure_psi.unit_symbols == [("psi", "psi")]
    assert form.rebound_out.unit_symbols == []


def test_an_empty_field_gives_no_number() -> None:
    with pytest.raises(ValueError, match="travel_mm"):
        given(TravelForm(formdata=None).travel_mm)


def test_a_problem_goes_beside_its_field_or_above_the_form() -> None:
    form = TravelForm(formdata=None)
    form.refuse("spacer2.count", "too many")
    form.refuse("spacer2.count", "a second one")
    form.refuse("nowhere", "of the whole")
    assert form.problems() == [("", "of the whole"), ("spacer2.count", "too many")]


@pytest.mark.parametrize("text", ["", "x", "-1", "1e3", "99999999999", "²"])
def test_a_base_revision_that_cannot_be_read_is_one_that_no_setup_has(text: str) -> None:
    form = TravelForm(formdata=None)
    form.base.data = text
    assert form.base_revision() == 0


def test_a_torque_is_kept_in_the_unit_that_it_was_typed_in(app: Flask) -> None:
    data = {"low": "53 lbf·in", "high": "71 in-lb", "range_unit": "nm", "torque": "7,2", "unit": "nm"}
    with app.test_request_context(method="POST", data=data):
        values = TorqueForm().read()
    assert values == {
        "part": "",
        "torque": 7.2,
        "unit": "nm",
        "low": 53.0,
        "high": 71.0,
        "range_unit": "lbfin",
    }
