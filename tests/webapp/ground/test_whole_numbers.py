"""Whole numbers in addresses: bounded, plain digits, and nothing that is sent there raises."""

from __future__ import annotations

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.ground.whole_numbers import read_whole_number


@pytest.mark.parametrize(("text", "number"), [("1", 1), ("42", 42), ("999999999", 999_999_999)])
def test_plain_numbers_are_read(text: str, number: int) -> None:
    assert read_whole_number(text) == number


@pytest.mark.parametrize(
    "text",
    [None, "", "0", "01", "+1", "-1", " 1", "1 ", "1\n", "1.0", "1e3", "x", "²", "١", "1_0", "1" * 10, "9" * 5_000],
)
def test_anything_else_is_no_number(text: str | None) -> None:
    assert read_whole_number(text) is None


def test_nought_is_a_number_only_where_it_may_be_one() -> None:
    assert (read_whole_number("0"), read_whole_number("0", low=0)) == (None, 0)


@pytest.mark.parametrize("digits", [10, 20, 5_000])
def test_a_number_in_a_path_that_no_row_can_have_is_not_found(client: FlaskClient, digits: int) -> None:
    assert client.get(f"/s/{'0' * 26}/{'9' * digits}").status_code == 404
    assert client.get(f"/s/{'0' * 26}/{'9' * digits}/answer").status_code == 404


@pytest.mark.parametrize("digit", ["١", "१", "１", "²"])
def test_the_digits_of_other_scripts_are_no_number_in_a_path(client: FlaskClient, digit: str) -> None:
    wanted = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}
    code = client.post("/api/v1/setups", json=wanted).json["code"]  # type: ignore[index]
    assert client.get(f"/s/{code}/1").status_code == 200
    assert client.get(f"/s/{code}/{digit}").status_code == 404


def test_every_number_in_a_path_is_bounded(app: Flask) -> None:
    names = {type(converter).__name__ for rule in app.url_map.iter_rules() for converter in rule._converters.values()}
    assert "IntegerConverter" not in names
    assert "PathNumber" in names
