"""A table of riders and bikes: columns by key or label, every problem with row, value, limits and what to do."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from flask import Flask

from setup_rules import read_request, recommend
from webapp.stacks.forms.table import RowProblem, TableError, read_table
from webapp.stacks.stack import MOST_CARDS, NewCard

HEAD = "Rider weight;Riding style;Fork travel;Bike\n"


@pytest.fixture(autouse=True)
def _in_request(app: Flask) -> Iterator[None]:
    with app.test_request_context():
        yield


def read(text: str) -> list[NewCard]:
    return read_table(text, lambda _kind, _name: None)


def problems(text: str) -> tuple[RowProblem, ...]:
    with pytest.raises(TableError) as caught:
        read(text)
    return caught.value.problems


def test_a_row_is_the_request_that_the_form_would_make() -> None:
    (card,) = read(
        "Rider weight (lb),riding_style,front.travel_mm,Fork: Maximum pressure (bar),Bike\n180,Trail,140,8,B1"
    )
    asked = read_request(card.document["request"])  # type: ignore[index]
    assert asked.rider_mass_kg == pytest.approx(81.646, abs=0.01)
    assert asked.front is not None
    assert (asked.front.travel_mm, round(asked.front.max_pressure_psi or 0, 1)) == (140, 116.0)
    assert asked.rear is None
    assert card.label == "B1"
    assert recommend(asked).front is not None


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_the_separator_follows_from_the_headings(separator: str) -> None:
    text = (HEAD + "82 kg;trail;140;Heron 1").replace(";", separator)
    assert [card.label for card in read(text)] == ["Heron 1"]


def test_a_shock_alone_needs_no_fork() -> None:
    (card,) = read("Rider weight;Riding style;Shock stroke;Rear wheel travel\n82;enduro;65;160")
    asked = read_request(card.document["request"])  # type: ignore[index]
    assert asked.front is None
    assert asked.rear is not None


def test_every_problem_is_named_with_its_line_value_limits_and_advice() -> None:
    found = problems(HEAD + "82;trail;1400;A\n;foo;140;B\n5 kg;trail;9**9;C\n")
    assert [(one.line, one.column, one.cell) for one in found] == [
        (2, "Fork travel", "1400"),
        (3, "Rider weight", ""),
        (3, "Riding style", "foo"),
        (4, "Rider weight", "5 kg"),
        (4, "Fork travel", "9**9"),
    ]
    assert "outside 40 to 220 mm" in found[0].sentence
    assert "Check the number" in found[0].sentence


def test_columns_that_are_not_known_twice_or_missing_are_named() -> None:
    (unknown,) = problems("Rider wieght;Riding style\n1;trail")
    assert "“Rider wieght”" in unknown.message
    assert "rider weight" in unknown.message
    (twice,) = problems("Rider weight;rider_mass_kg;Riding style\n1;1;trail")
    assert "twice" in twice.message
    (missing,) = problems("Riding style;Fork travel\ntrail;140")
    assert "Rider weight" in missing.message


@pytest.mark.parametrize("text", ["", "\n\n", HEAD, "only words"])
def test_a_table_without_rows_says_what_a_table_is(text: str) -> None:
    assert "first line names the columns" in problems(text)[0].message


def test_a_row_without_any_spring_and_one_with_too_many_cells_are_named() -> None:
    found = problems(HEAD + "82;trail;;B\n82;trail;140;B;more\n")
    assert [one.line for one in found] == [2, 3]


def test_more_rows_than_a_stack_holds_are_refused_before_any_is_read() -> None:
    (found,) = problems(HEAD + "82;trail;140;B\n" * (MOST_CARDS + 1))
    assert str(MOST_CARDS) in found.message


def test_a_cell_that_was_guarded_against_formulas_is_read_as_it_was() -> None:
    assert read(HEAD + "82;trail;140;'=Heron")[0].label == "=Heron"


def test_a_quotation_mark_that_is_not_closed_is_one_problem() -> None:
    assert "quotation mark" in problems(HEAD + '82;trail;140;"Heron')[0].message
