"""A stack that is erased or cancelled while a worker is in the middle of it: no rider comes back, none is mixed up."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import select

from tests.webapp.stacks.conftest import Table
from webapp.cards.rendering.fragments import take_apart
from webapp.cards.rendering.sizes import find_size
from webapp.cards.rendering.tags import Tag, print_tags
from webapp.demo_day.actions.end_day import erase_riders
from webapp.ground.database.engine import database
from webapp.ground.database.setup_rows import RevisionRow, SetupRow
from webapp.ground.database.stack_rows import StackCardRow
from webapp.stacks import make_cards
from webapp.stacks.actions.change_stack import cancel_stack, remove_stack
from webapp.stacks.make_cards import make_stack

SHOP = 1
CARDS = 5


def order(staff: FlaskClient, table: str) -> None:
    answer = staff.post("/shop/stacks/table", data={"table": table, "size": "a4-8"})
    assert answer.status_code == 303
    assert answer.location.endswith("/shop/stacks/1"), "an erased stack's number is given again"


def labels_saved() -> list[str]:
    """Return the bikes of all living setups."""
    wanted = select(RevisionRow.bike_label).join(SetupRow, SetupRow.id == RevisionRow.setup_id)
    with database.read() as connection:
        return sorted(connection.execute(wanted.where(SetupRow.deleted_at.is_(None))).scalars())


@pytest.fixture
def during(app: Flask, monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Do something once, while the worker lays out its second card."""
    with app.app_context():
        pdf = take_apart(print_tags([Tag("1", "https://CARDS.EXAMPLE/S/0")], find_size("62x100"))).to_bytes()
    printed: list[Any] = []
    todo: list[Callable[[], Any]] = []

    def lay_out(card: Any, _size: object) -> bytes:
        printed.append(card)
        if len(printed) == 2 and todo:
            todo[0]()
        return pdf

    monkeypatch.setattr(make_cards, "print_fragment", lay_out)
    return todo.append


@pytest.mark.parametrize("how", ["erased", "cancelled"])
def test_no_rider_is_saved_after_the_stack_is_gone(
    app: Flask, staff: FlaskClient, table: Table, during: Callable[..., None], how: str
) -> None:
    order(staff, table(CARDS))
    erase = {"erased": lambda: erase_riders(SHOP, None, keep_cards=False), "cancelled": lambda: cancel_stack(SHOP, 1)}
    during(erase[how])
    with app.app_context():
        make_stack(1, "worker")
        assert labels_saved() == ["Heron 1", "Heron 2"], "those that were saved before"


def test_a_setup_made_while_its_stack_is_erased_goes_with_it(
    app: Flask, staff: FlaskClient, table: Table, during: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    during(lambda: None)
    order(staff, table(CARDS))
    monkeypatch.setattr(make_cards, "tie_to_units", lambda *_: erase_riders(SHOP, None, keep_cards=False))
    with app.app_context():
        make_stack(1, "worker")
        assert labels_saved() == []


@pytest.mark.sqlite  # PostgreSQL never gives a number again
def test_a_later_stack_of_the_same_number_gets_its_own_riders(
    app: Flask, staff: FlaskClient, table: Table, during: Callable[..., None]
) -> None:
    order(staff, table(CARDS))

    def again() -> None:
        cancel_stack(SHOP, 1)
        remove_stack(SHOP, 1)
        order(staff, table(CARDS).replace("Heron", "Tern"))

    during(again)
    with app.app_context():
        make_stack(1, "worker")
        make_stack(1, "worker")
        pairs = (
            select(StackCardRow.label, RevisionRow.bike_label)
            .join(RevisionRow, RevisionRow.setup_id == StackCardRow.setup_id)
            .order_by(StackCardRow.number)
        )
        with database.read() as connection:
            found = [tuple(row) for row in connection.execute(pairs)]
    assert found == [(f"Tern {n}", f"Tern {n}") for n in range(1, CARDS + 1)]
