"""A worker that dies or stops half way: another goes on, nothing is lost and nothing is made twice."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules.types.errors import NoSolutionError
from tests.webapp.stacks.conftest import Table
from webapp.cards.rendering.fragments import take_apart
from webapp.cards.rendering.sizes import find_size
from webapp.cards.rendering.tags import Tag, print_tags
from webapp.ground.database.engine import database
from webapp.setups.actions.shop_setups import find_shop_setups
from webapp.stacks import make_cards, queries
from webapp.stacks.make_cards import make_stack

BATCH = 4
CARDS = BATCH + 2


@pytest.fixture(autouse=True)
def small_batches(monkeypatch: pytest.MonkeyPatch) -> None:
    """Save more often than the product does, so that few cards are enough."""
    monkeypatch.setattr(make_cards, "BATCH", BATCH)


class KilledError(BaseException):
    """Stands in for a power cut: nothing is tidied up after it."""


@pytest.fixture
def ordered(staff: FlaskClient, table: Table) -> FlaskClient:
    """The browser of a shop that ordered a stack of more than one batch."""
    answer = staff.post("/shop/stacks/table", data={"table": table(CARDS), "size": "a4-8"})
    assert answer.status_code == 303
    return staff


@pytest.fixture
def quick_cards(monkeypatch: pytest.MonkeyPatch, app: Flask) -> list[str]:
    """Lay out one card for all: what is tested here is what is kept. Returns the titles of those asked for."""
    asked: list[str] = []
    with app.app_context():
        tag = print_tags([Tag("1", "https://CARDS.EXAMPLE/S/0")], find_size("62x100"))
    pdf = take_apart(tag).to_bytes()

    def note(card: object, _size: object) -> bytes:
        asked.append(str(card.title))  # type: ignore[attr-defined]
        return pdf

    monkeypatch.setattr(make_cards, "print_fragment", note)
    return asked


@pytest.mark.parametrize("after", [1, BATCH - 1, BATCH, BATCH + 1])
def test_a_worker_killed_anywhere_costs_a_batch_and_no_setup_is_made_twice(
    app: Flask, ordered: FlaskClient, quick_cards: list[str], monkeypatch: pytest.MonkeyPatch, after: int
) -> None:
    made = make_cards._print_setup

    def die(*arguments: object) -> object:
        if len(quick_cards) == after:
            raise KilledError
        return made(*arguments)  # type: ignore[arg-type]

    with app.app_context(), monkeypatch.context() as patch:
        patch.setattr(make_cards, "_print_setup", die)
        patch.setattr(queries, "let_go", lambda *_arguments: None)
        with pytest.raises(KilledError):
            make_stack(1, "first")
        assert "Being made" in ordered.get("/shop/stacks/1").text or after < BATCH
        make_stack(1, "second")
        assert len(quick_cards) == after, "the first still holds it"
        monkeypatch.setattr(make_cards, "datetime", _Later)
    with app.app_context():
        make_stack(1, "second")
        assert find_shop_setups(1).total == CARDS
        with database.read() as connection:
            stack = queries.stack_by_id(connection, 1)
    assert stack is not None
    assert (stack.state, stack.done, [part.cards for part in stack.parts]) == ("done", CARDS, [CARDS])
    assert len(quick_cards) <= CARDS + BATCH
    assert len(set(quick_cards)) == CARDS


class _Later(datetime):
    @classmethod
    def now(cls, _zone: object = None) -> datetime:  # type: ignore[override]
        return datetime.now(UTC) + timedelta(minutes=1)


def test_a_worker_that_is_to_stop_lets_go_at_once(app: Flask, ordered: FlaskClient, quick_cards: list[str]) -> None:
    asked = iter([True])
    with app.app_context():
        make_stack(1, "first", lambda: next(asked))
        assert len(quick_cards) == BATCH
        assert make_cards.waiting_stacks() == [1]
        make_stack(1, "second")
        assert len(quick_cards) == CARDS
    assert "Ready to print" in ordered.get("/shop/stacks/1").text


def test_a_stack_cancelled_while_it_is_made_is_made_no_further(
    app: Flask, ordered: FlaskClient, quick_cards: list[str]
) -> None:
    def cancel() -> bool:
        if quick_cards:
            ordered.post("/shop/stacks/1/cancel")
        return False

    with app.app_context():
        make_stack(1, "first", cancel)
    assert len(quick_cards) <= 2 * BATCH
    assert "Cancelled" in ordered.get("/shop/stacks/1").text


def test_a_card_that_was_finished_before_is_not_laid_out_again(
    app: Flask, ordered: FlaskClient, quick_cards: list[str]
) -> None:
    with app.app_context():
        make_stack(1, "first")
        codes = "\n".join(setup.code for setup in find_shop_setups(1).setups)
    count = len(quick_cards)
    assert ordered.post("/shop/stacks/setups", data={"codes": codes, "size": "letter-8"}).status_code == 303
    with app.app_context():
        make_stack(2, "first")
    assert len(quick_cards) == count
    assert "Ready to print" in ordered.get("/shop/stacks/2").text


def test_a_row_that_no_card_can_be_made_of_is_left_out_and_named(
    app: Flask, ordered: FlaskClient, quick_cards: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    made: Callable[..., object] = make_cards.create_setup

    def refuse(request: object, texts: object, **more: object) -> object:
        if texts.bike_label == "Heron 3":  # type: ignore[attr-defined]
            raise NoSolutionError("none")
        return made(request, texts, **more)

    monkeypatch.setattr(make_cards, "create_setup", refuse)
    with app.app_context():
        make_stack(1, "first")
    page = ordered.get("/shop/stacks/1").text
    assert "Card 3, Heron 3: no pressure gives the target sag" in page
    assert f"{CARDS} of {CARDS} cards" in page
