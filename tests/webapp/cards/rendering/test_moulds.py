"""A card from a mould is the card that WeasyPrint would have made: every text, stroke and place of it."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

import pytest
from flask import Flask

from setup_rules import read_request, recommend
from webapp.cards.pages.card import CardView, present_card
from webapp.cards.rendering import renderer
from webapp.cards.rendering.drawings import Run, read_runs
from webapp.cards.rendering.fragments import FORM, Fragment
from webapp.cards.rendering.moulds import Mould, Moulds, type_case
from webapp.cards.rendering.sizes import CARD_SIZES, CardSize, Step
from webapp.cards.rendering.texts import read_texts
from webapp.setups.revision import CardTexts, Revision

CODES = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
NAMES = ("Bluebell 140, number 7", "Heron 1", "AVATAR To. WAY-LT", "Ill lilt", "Magpie (size S/M) & Co")
LABEL = CARD_SIZES["62x100"]
Draw = Callable[[Step], str]


@pytest.fixture(autouse=True)
def _in_app(app: Flask) -> Iterator[None]:
    with app.app_context():
        yield


@pytest.fixture
def cards(whole_request: dict[str, Any]) -> Callable[..., list[CardView]]:
    """Cards of riders of all weights on bikes with one or two springs, each with a link and a name of its own."""

    def make(number: int, ends: tuple[str, ...], **texts: str) -> list[CardView]:
        made = []
        for turn in range(number):
            code = "".join(CODES[(turn * 7 + place * (turn + 3)) % 32] for place in range(26))
            data = {k: v for k, v in whole_request.items() if k not in ("front", "rear") or k in ends}
            data |= {"rider_mass_kg": 96 - 1.7 * (turn * 5 % 23)}
            saved = Revision(
                code=code,
                number=1,
                latest_number=1,
                created_at=datetime(2026, 3, 14, 9, 30, tzinfo=UTC),
                texts=CardTexts(texts.get("bike", NAMES[turn % len(NAMES)]), ""),
                setup=recommend(read_request(data)),
                reason="",
            )
            made.append(present_card(saved, f"https://CARDS.EXAMPLE/S/{code}"))
        return made

    return make


@dataclass(frozen=True)
class Drawn:
    """What a drawing consists of: its texts, and all else."""

    runs: list[Run]
    rest: str


def drawn(fragment: Fragment, letters: dict[str, dict[str, str]]) -> Drawn:
    """Take a card's drawing apart."""
    text = zlib.decompress(fragment.streams[FORM]).decode("latin-1")
    runs = read_runs(text, letters)
    rest = text
    for run in reversed(runs):
        rest = rest[: run.begin] + rest[run.end :]
    return Drawn([replace(run, begin=0, end=0) for run in runs], rest)


def letters() -> dict[str, dict[str, str]]:
    """Return what each glyph says, from the font's own table and not from what WeasyPrint wrote."""
    every = {f"{number:04x}": f"glyph {number} " for number in range(0x400)}
    return {
        name: {**every, **{f"{face._ids[glyph]:04x}": letter for letter, glyph in face._names.items()}}
        for name, face in type_case().faces.items()
    }


def compare(moulds: Moulds, card: CardView, size: CardSize) -> bool:
    """Return whether a mould took a card; it must then be WeasyPrint's. Let the moulds learn from the latter."""
    draw = renderer._draw_page(card, size, renderer.FRONT[0])
    cast = moulds.cast(size, draw)
    step, printed = renderer._print_steps(draw, size, ())
    if cast is not None:
        plain = Mould(read_texts(draw(step)), printed, type_case(), compact=size.compact).fragment
        ours, theirs = drawn(cast, letters()), drawn(plain, letters())
        assert ours.rest == theirs.rest
        assert [(run.text.rstrip(), run.font, run.size, run.y) for run in ours.runs] == [
            (run.text.rstrip(), run.font, run.size, run.y) for run in theirs.runs
        ]
        assert [run.x for run in ours.runs] == pytest.approx([run.x for run in theirs.runs], abs=0.03)
        assert {**cast.streams, FORM: b""} == {**plain.streams, FORM: b""}
        assert cast.objects[1:] == plain.objects[1:]
        return True
    moulds.learn(size, step, draw, printed)
    return False


@pytest.mark.parametrize(
    ("size", "ends", "number"),
    [
        ("62x100", ("front",), 7),
        ("a6", ("front", "rear"), 8),
        pytest.param("62x100", ("front", "rear"), 14, marks=pytest.mark.long),
        pytest.param("a6", ("front",), 14, marks=pytest.mark.long),
        pytest.param("4x6", ("front",), 14, marks=pytest.mark.long),
        pytest.param("4x6", ("front", "rear"), 14, marks=pytest.mark.long),
    ],
)
def test_cards_from_moulds_are_those_that_weasyprint_makes(
    cards: Callable[..., list[CardView]], size: str, ends: tuple[str, ...], number: int
) -> None:
    moulds = Moulds()
    taken = [compare(moulds, card, CARD_SIZES[size]) for card in cards(number, ends)]
    assert not taken[0]
    assert sum(taken) >= number // 4, taken


@pytest.fixture
def taught(cards: Callable[..., list[CardView]]) -> tuple[Moulds, CardView]:
    """Moulds that know one card, and that card."""
    (card,) = cards(1, ("front",), bike="Heron 888")
    moulds = Moulds()
    draw = renderer._draw_page(card, LABEL, renderer.FRONT[0])
    step, printed = renderer._print_steps(draw, LABEL, ())
    moulds.learn(LABEL, step, draw, printed)
    return moulds, card


@pytest.mark.parametrize(
    ("bike", "takes"),
    [
        ("Heron 777", True),
        ("Heron 8888", False),  # wider than any that was laid out
        ("Finch fi", False),  # f and i are drawn as one
        ("Heron ʻŌ", False),  # a letter of another font
        ("1⁄2", False),  # drawn as a fraction
        ("", False),  # no such heading: another frame
    ],
)
def test_a_name_is_set_only_where_that_is_known_to_come_out_the_same(
    taught: tuple[Moulds, CardView], bike: str, takes: bool
) -> None:
    moulds, card = taught
    other = replace(card, bike=bike)
    assert (moulds.cast(LABEL, renderer._draw_page(other, LABEL, renderer.FRONT[0])) is not None) == takes


def test_caution_and_further_row_are_left_to_weasyprint(taught: tuple[Moulds, CardView]) -> None:
    moulds, card = taught
    for other in (replace(card, cautions=("Stop.",)), replace(card, rows=card.rows[:-1])):
        assert moulds.cast(LABEL, renderer._draw_page(other, LABEL, renderer.FRONT[0])) is None


def test_only_so_many_moulds_are_kept(cards: Callable[..., list[CardView]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("webapp.cards.rendering.moulds.FRAMES", 1)
    moulds = Moulds()
    for ends in (("front",), ("rear",)):
        draw = renderer._draw_page(cards(1, ends)[0], LABEL, renderer.FRONT[0])
        moulds.learn(LABEL, *_printed(draw))
    assert len(moulds._frames) == 1


def _printed(draw: Draw) -> tuple[Step, Draw, bytes]:
    step, printed = renderer._print_steps(draw, LABEL, ())
    return step, draw, printed
