"""Weights in stones and pounds, fractions, and a shock's size; and the question about a weight without a unit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict
from wtforms import Form

from webapp.ground.fields.compound_text import read_shock_size, read_weight
from webapp.ground.fields.quantity import QuantityField

POUND_KG = 0.45359237  # exact, NIST SP 811


class Sheet(Form):
    """A rider's weight, another weight, and a stroke."""

    rider = QuantityField("rider_mass_kg", "Rider weight")
    bike = QuantityField("bike_mass_kg", "Bike weight")
    stroke = QuantityField("stroke_mm", "Shock stroke", takes_size=True)
    travel = QuantityField("travel_mm", "Fork travel")


def read(name: str, *texts: str, unit_key: str = "") -> tuple[float | None, str, list[str]]:
    """Return value, first sentence and offered answers of a field for what was typed, and for what was pressed."""
    form = Sheet(MultiDict([(name, text) for text in texts]))
    if unit_key:
        form[name].unit_key = unit_key
    form.validate()
    field = form[name]
    return field.data, str(field.errors[0]) if field.errors else "", field.answers


@pytest.mark.parametrize(
    ("text", "pounds"),
    [
        ("12 st 7", 175),
        ("12st 7lb", 175),
        ("12 st 7 lbs", 175),
        ("12 stone 7 pounds", 175),
        ("12 ST 7", 175),
        ("11½ st", 161),
        ("11 1/2 st", 161),
        ("11 3/4 stone", 164.5),
        ("170½ lb", 170.5),
        ("12 st 0", 168),
        ("9 st 13.5", 139.5),
    ],
)
@pytest.mark.parametrize("unit_key", ["kg", "lb", "st"])
def test_stones_pounds_and_fractions_are_understood_whatever_unit_is_chosen(
    text: str, pounds: float, unit_key: str
) -> None:
    value, sentence, _answers = read("rider", text, unit_key=unit_key)
    assert (value, sentence) == (pytest.approx(pounds * POUND_KG), "")


@pytest.mark.parametrize(
    "text", ["12 st 14", "12 st 7 kg", "11 2/2 st", "11 3/2 st", "½", "1 2 3", "12 st -7", "9**9 st"]
)
def test_what_is_no_weight_in_two_parts_is_refused(text: str) -> None:
    value, sentence, _answers = read("rider", text)
    assert value is None
    assert "Rider weight" in sentence


@pytest.mark.parametrize(
    ("text", "unit_key", "stroke_mm"),
    [
        ("210 × 55", "mm", 55.0),
        ("210x55", "mm", 55.0),
        ("210*52,5 mm", "mm", 52.5),
        ("205 X 65", "mm", 65.0),
        ("7.875 x 2.25", "mm", 57.15),
        ("7.875 x 2.25 in", "mm", 57.15),
        ("210 x 55", "in", 55.0),
        ("55", "mm", 55.0),
    ],
)
def test_the_second_number_of_a_shocks_size_is_its_stroke(text: str, unit_key: str, stroke_mm: float) -> None:
    value, sentence, _answers = read("stroke", text, unit_key=unit_key)
    assert (value, sentence) == (pytest.approx(stroke_mm), "")


@pytest.mark.parametrize("text", ["55 x 210", "210 x", "x 55", "210 x 55 x 3", "2 x 55", "210 x 150"])
def test_another_pair_of_numbers_is_no_size(text: str) -> None:
    assert read("stroke", text)[0] is None


def test_a_size_is_understood_only_where_a_stroke_is_asked_for() -> None:
    assert read("travel", "210 x 55")[0] is None


def test_150_in_a_kg_field_is_asked_about_and_both_answers_are_one_press() -> None:
    value, sentence, answers = read("rider", "150")
    assert (value, answers) == (None, ["150 lb", "150 kg"])
    assert sentence == "Rider weight: did you mean 150 pounds?"
    assert read("rider", "150", "150 lb")[0] == pytest.approx(150 * POUND_KG)
    assert read("rider", "150", "150 kg")[0] == 150


def test_more_than_any_rider_weighs_in_kg_offers_pounds_alone() -> None:
    assert read("rider", "180")[2] == ["180 lb"]


def test_75_in_a_lb_field_is_asked_about_too() -> None:
    value, sentence, answers = read("rider", "75", unit_key="lb")
    assert (value, answers) == (None, ["75 kg", "75 lb"])
    assert "kilograms" in sentence


@pytest.mark.parametrize(
    ("text", "unit_key"), [("124", "kg"), ("150 kg", "kg"), ("101", "lb"), ("75 lb", "kg"), ("12", "st")]
)
def test_a_usual_weight_or_a_typed_unit_is_not_asked_about(text: str, unit_key: str) -> None:
    assert read("rider", text, unit_key=unit_key)[1:] == ("", [])


def test_no_other_weight_is_asked_about() -> None:
    assert read("bike", "30")[1:] == ("", [])


@given(st.one_of(st.text(max_size=60), st.text(alphabet='0123456789 stlbx×*½/.,mi"n', max_size=30)))
def test_no_text_makes_them_raise(text: str) -> None:
    assert read_weight(text) is None or read_weight(text).value >= 0  # type: ignore[union-attr]
    assert read_shock_size(text) is None or read_shock_size(text).value >= 0  # type: ignore[union-attr]
