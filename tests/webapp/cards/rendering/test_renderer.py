"""The bounds around the press: how many wait, how long, what is said when libraries are missing."""

from __future__ import annotations

import gc
import sys
import threading
from collections.abc import Callable, Iterator

import pytest
from flask import Flask

from webapp.cards.pages.card import CardView
from webapp.cards.rendering import renderer
from webapp.cards.rendering.errors import CardBusyError, PdfMissingError
from webapp.cards.rendering.renderer import PLACES, print_card, warm_up
from webapp.cards.rendering.sizes import CARD_SIZES

MakeCard = Callable[..., CardView]
A6 = CARD_SIZES["a6"]


@pytest.fixture(autouse=True)
def _in_app(app: Flask) -> Iterator[None]:
    with app.app_context():
        yield


class StuckPress:
    """Stands in for a card that takes long: every card waits until `let_go`."""

    def __init__(self) -> None:
        self.gate = threading.Event()
        self.begun = threading.Semaphore(0)

    def __call__(self, _html: str, _styles: object) -> bytes:
        self.begun.release()
        assert self.gate.wait(10)
        return b"%PDF-late"

    def let_go(self) -> None:
        """Let every waiting card through."""
        self.gate.set()


@pytest.fixture
def stuck(monkeypatch: pytest.MonkeyPatch) -> Iterator[StuckPress]:
    """A press that is stuck for the test, and free again after it."""
    press = StuckPress()
    monkeypatch.setattr(renderer, "_write", press)
    yield press
    press.let_go()
    renderer._worker().submit(lambda: None).result(timeout=10)


def test_a_card_that_takes_too_long_is_given_up(
    make_card: MakeCard, stuck: StuckPress, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(renderer, "PATIENCE_S", 0.05)
    with pytest.raises(CardBusyError, match="was not done"):
        print_card(make_card(), A6)


def test_more_cards_than_there_are_places_are_turned_away_at_once(
    app: Flask, make_card: MakeCard, stuck: StuckPress
) -> None:
    card, results = make_card(), []

    def ask() -> None:
        with app.app_context():
            results.append(print_card(card, A6))

    waiting = [threading.Thread(target=ask) for _ in range(PLACES)]
    for thread in waiting:
        thread.start()
    assert stuck.begun.acquire(timeout=10)
    taken = threading.Event()
    for _ in range(500):
        if renderer._places._value == 0:
            taken.set()
            break
        taken.wait(0.01)
    assert taken.is_set()
    with pytest.raises(CardBusyError, match="Too many"):
        print_card(card, A6)
    stuck.let_go()
    for thread in waiting:
        thread.join(10)
    assert results == [b"%PDF-late"] * PLACES


def test_places_are_free_again_after_failures(make_card: MakeCard, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_html: str, _styles: object) -> bytes:
        raise PdfMissingError("gone")

    with monkeypatch.context() as patch:
        patch.setattr(renderer, "_write", fail)
        for _ in range(PLACES + 2):
            with pytest.raises(PdfMissingError):
                print_card(make_card(), A6)
    assert print_card(make_card(), A6).startswith(b"%PDF-")


@pytest.mark.parametrize("error", [ImportError("no weasyprint"), OSError("cannot load library 'pango'")])
def test_missing_libraries_are_one_kind_of_error(
    make_card: MakeCard, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    class Absent:
        """An import that fails as a missing Python package or a missing system library does."""

        def find_spec(self, name: str, _path: object, _target: object = None) -> None:
            """Fail for WeasyPrint alone."""
            if name.startswith("weasyprint"):
                raise error

    for name in [m for m in sys.modules if m.startswith("weasyprint") or m == "webapp.cards.rendering.pdf"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.delattr("webapp.cards.rendering.pdf", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Absent(), *sys.meta_path])
    with pytest.raises(PdfMissingError, match="cannot be loaded"):
        print_card(make_card(), A6)


def test_the_warm_up_makes_a_whole_card(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[bytes] = []
    write = renderer._write

    def note(html: str, styles: tuple[str, ...]) -> bytes:
        made.append(write(html, styles))
        return made[-1]

    monkeypatch.setattr(renderer, "_write", note)
    warm_up(app)
    assert [card[:5] for card in made] == [b"%PDF-"]


def test_the_warm_up_survives_missing_libraries(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def fail(html: str, _styles: object) -> bytes:
        asked.append(html)
        raise PdfMissingError("gone")

    monkeypatch.setattr(renderer, "_write", fail)
    warm_up(app)
    assert len(asked) == 1


@pytest.mark.parametrize("on", [True, False])
def test_the_collector_is_left_as_it_was_after_a_card_and_after_one_that_fails(
    make_card: MakeCard, monkeypatch: pytest.MonkeyPatch, on: bool
) -> None:
    seen: list[bool] = []

    def fail(_html: str, _styles: object) -> bytes:
        seen.append(gc.isenabled())
        raise ValueError("no ink")

    was = gc.isenabled()
    (gc.enable if on else gc.disable)()
    try:
        assert print_card(make_card(), A6).startswith(b"%PDF-")
        after_a_card = gc.isenabled()
        monkeypatch.setattr("webapp.cards.rendering.pdf.write_card", fail)
        with pytest.raises(ValueError, match="no ink"):
            print_card(make_card(), A6)
        after_a_failure = gc.isenabled()
    finally:
        (gc.enable if was else gc.disable)()
    assert seen == [False]
    assert (after_a_card, after_a_failure) == (on, on)


def test_what_a_card_leaves_behind_is_swept_up_before_it_is_answered(make_card: MakeCard) -> None:
    print_card(make_card(), A6)
    found: list[int] = []

    def note(phase: str, info: dict[str, int]) -> None:
        if phase == "stop" and info["generation"] == 0:
            found.append(info["collected"])

    gc.callbacks.append(note)
    try:
        print_card(make_card(), A6)
    finally:
        gc.callbacks.remove(note)
    assert max(found) > 1000  # the collector's own passes over the young begin at 700 objects
