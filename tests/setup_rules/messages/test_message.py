"""A sentence as data, and the numbers in it: by what a reader must see."""

from __future__ import annotations

import math

import pytest

from setup_rules.messages.marking import N_, NN_, Plural
from setup_rules.messages.message import Message, Value, fields_of, fill, plain_number
from setup_rules.messages.rounding import (
    expected_mm,
    gauge_psi,
    gauge_psi_below,
    halves,
    places,
    quarters,
    spring_rate,
    turns,
    whole,
)


def test_a_message_is_its_key_and_its_values() -> None:
    one = Message.of("problem.no_fork", a=1)
    assert (one.key, dict(one.values), one.template) == ("problem.no_fork", {"a": 1}, "")
    assert one == Message("problem.no_fork", {"a": 1})
    assert str(Message.of("problem.no_fork")) == "This setup has no fork. Choose the shock."
    assert hash(Message.of("problem.no_fork", a=1)) == hash(Message.of("problem.no_fork", a=2))


def test_a_message_stored_before_keys_has_its_own_template() -> None:
    assert Message("gone", {"psi": 72.0}, "Set {psi} psi.").english == "Set 72 psi."


def test_marks_leave_sentences_as_they_are() -> None:
    assert N_("One {a}.") == "One {a}."
    assert NN_("one", "other") == Plural("one", "other", "count")
    assert NN_("one", "other", "riders").count == "riders"


@pytest.mark.parametrize(("count", "form"), [(1, "one"), (0, "other"), (2, "other"), (3, "other")])
def test_the_count_chooses_the_form(count: int, form: str) -> None:
    assert Plural("one", "other").form({"count": count, "riders": 1}) == form
    assert Plural("one", "other", "riders").form({"riders": count}) == form


def test_a_stored_plural_is_filled_in_the_form_of_its_count() -> None:
    key = "learned.more.fork"
    values = {"count": 1, "friction": 40, "percent": 5}
    assert Message(key, values).english != Message(key, {**values, "count": 2}).english


def test_fields_are_the_names_in_braces() -> None:
    assert fields_of("{a} of {b_2}, {a}, {not one} {}") == {"a", "b_2"}


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (27.50, "27.5"),
        (-0.0, "0"),
        (12, "12"),
        (12.0, "12"),
        (1 / 3, "0.3333333333"),
        (-2.5, "-2.5"),
        (1e9, "1000000000"),
    ],
)
def test_numbers_have_no_trailing_zeros_and_nought_no_sign(value: float, shown: str) -> None:
    assert plain_number(value) == shown


def test_fields_are_filled_by_kind() -> None:
    values: dict[str, Value] = {"text": "{a}", "number": 2.5, "message": Message("", {}, "inside")}
    assert fill("{text} {number} {message}!", values) == "{a} 2.5 inside!"
    shown = fill("{number} {message}", values, number=lambda value: f"<{value}>", message=lambda one: one.template * 2)
    assert shown == "<2.5> insideinside"
    with pytest.raises(KeyError):
        fill("{other}", values)


# Numbers as fine as they are shown


@pytest.mark.parametrize(("value", "shown"), [(83.6, 84), (83.4, 83), (-0.4, 0), (-1.6, -2)])
def test_whole_numbers_are_whole(value: float, shown: int) -> None:
    assert whole(value) == shown
    assert isinstance(whole(value), int)
    assert whole(math.inf) == math.inf


def test_places_have_no_minus_before_nought() -> None:
    assert math.copysign(1.0, places(-0.01, 1)) == 1.0
    assert (places(1.26, 1), places(1.24, 0), places(-1.26, 1)) == (1.3, 1.0, -1.3)


@pytest.mark.parametrize(("value", "shown"), [(27.6, 27.5), (27.8, 28.0), (27.2, 27.0), (27.3, 27.5), (-0.6, -0.5)])
def test_a_sag_is_read_in_halves(value: float, shown: float) -> None:
    assert halves(value) == shown


@pytest.mark.parametrize(
    ("expected", "shown"), [(33.7, 34.0), (33.31, 34.0), (33.25, 33.0), (33.2, 33.0), (34.25, 34.0), (34.3, 34.5)]
)
def test_an_expected_sag_is_the_target_where_less_than_half_a_millimetre_apart(expected: float, shown: float) -> None:
    # The target of 33.75 mm is shown as 34; exactly half a millimetre off, at 33.25 and 34.25, counts as another.
    assert expected_mm(expected, 33.75) == shown


def test_a_spring_rate_is_told_to_a_tenth() -> None:
    assert (spring_rate(78.807), spring_rate(8.0), spring_rate(8.04), spring_rate(8.06)) == (78.8, 8, 8, 8.1)
    assert isinstance(spring_rate(8.0), int)


@pytest.mark.parametrize(
    ("count", "shown"),
    [
        (1.25, 1.25),
        (1.26, 1.25),
        (1.279, 1.25),
        (1.221, 1.25),
        (1.29, 1.3),
        (1.2, 1.2),
        (1.1, 1.1),
        (2.0, 2),
        (1.37, 1.4),
    ],
)
def test_turns_are_quarters_where_they_are_near_one_and_tenths_between(count: float, shown: float) -> None:
    assert turns(count) == shown


@pytest.mark.parametrize(("count", "shown"), [(1.2, 1.25), (1.1, 1), (1.13, 1.25), (2.0, 2), (0.6, 0.5)])
def test_turns_are_counted_in_quarters(count: float, shown: float) -> None:
    assert quarters(count) == shown
    assert isinstance(quarters(2.0), int)


@pytest.mark.parametrize(
    ("psi", "nearest", "not_above"), [(39.75, 40, 39.5), (39.7499, 39.5, 39.5), (40.0, 40, 40), (39.9999, 40, 39.5)]
)
def test_a_gauge_is_read_in_wholes_from_forty_on(psi: float, nearest: float, not_above: float) -> None:
    assert (gauge_psi(psi), gauge_psi_below(psi)) == (nearest, not_above)
