"""The words and numbers of a card: all that experience asks for at the bike, and nothing about the rider."""

from __future__ import annotations

from dataclasses import astuple, replace
from datetime import UTC, datetime
from typing import Any

import pytest

from setup_rules import EndSetup, Setup, read_request, recommend
from setup_rules.messages.message import Message
from setup_rules.types.result import ClickStart, Note
from setup_rules.types.units import PSI_PA
from webapp.cards.pages.card import CardRow, CardView, present_card
from webapp.cards.pages.card_cautions import CAUTION_LENGTH
from webapp.cards.pages.card_words import NO_WORDS, Words, link_words
from webapp.setups.revision import CardTexts, Revision

CODE = "01110123456789ABCDEFGHJKMN"


@pytest.fixture
def setup(whole_request: dict[str, Any]) -> Setup:
    """Both ends as recommended, front numbers set by hand so that the card's can be told in advance."""
    made = recommend(read_request(whole_request))
    assert made.front is not None
    front = replace(
        made.front,
        pressure_pa=84 * PSI_PA,
        pressure_low_pa=74 * PSI_PA,
        pressure_high_pa=97 * PSI_PA,
        max_pressure_pa=150 * PSI_PA,
        max_pressure_assumed=False,
        sag_target_mm=28.0,
        sag_target_percent=20.0,
        volume_spacers=2,
        rebound=ClickStart(out=8, total=16, clamped=False, damping_n_s_per_m=500.0),
        compression=ClickStart(out=6, total=12, clamped=False, damping_n_s_per_m=500.0),
    )
    return replace(made, front=front, cautions=())


def card_of(setup: Setup, *, link: Words = NO_WORDS, **texts: Any) -> CardView:
    """Return the card of `setup`."""
    saved = Revision(
        code=CODE,
        number=3,
        latest_number=4,
        created_at=datetime(2026, 3, 14, 9, 30, tzinfo=UTC),
        texts=CardTexts(texts.get("bike", "Bluebell 140"), texts.get("service", "")),
        setup=setup,
        reason="",
    )
    return present_card(saved, f"https://CARDS.EXAMPLE/S/{CODE}", link=link)


def row(card: CardView, label: str) -> CardRow:
    """Return the row of `card` called `label`."""
    (found,) = [r for r in card.rows if r.label.full.replace("\u00ad", "") == label]
    return found


def entry(card: CardView, label: str) -> str:
    """Return the front entry of a row as one text."""
    cell = row(card, label).cells[0]
    return " ".join([*(f"{part.value} {part.unit}".strip() for part in cell.parts), cell.remark.full]).strip()


def front_only(setup: Setup, **changes: Any) -> Setup:
    """Return `setup` with its front end alone, changed."""
    assert isinstance(setup.front, EndSetup)
    return replace(setup, front=replace(setup.front, **changes), rear=None)


@pytest.mark.parametrize(
    ("label", "text"),
    [
        ("Start pressure", "84 psi 5.8 bar likely between 74 and 97 psi"),
        ("Target sag", "28 mm 20 %"),
        ("Rebound", "8 of 16"),
        ("Compression", "6 of 12 assumed: count yours"),
        ("Volume spacers", "2"),
        ("Maximum pressure", "150 psi 10.3 bar"),
    ],
)
def test_each_row_carries_its_numbers(setup: Setup, label: str, text: str) -> None:
    assert entry(card_of(setup), label) == text


@pytest.mark.parametrize(("shift_mm", "said"), [(-0.4, ""), (-3.0, "where set: 25 mm"), (0.6, "where set: 28.5 mm")])
def test_what_the_target_reads_where_it_is_set_has_a_line_of_its_own(setup: Setup, shift_mm: float, said: str) -> None:
    card = card_of(front_only(setup, bench_shift_mm=shift_mm))
    assert row(card, "Target sag").cells[0].elsewhere == said


def test_a_target_out_of_reach_is_not_named_for_the_bench(setup: Setup) -> None:
    card = card_of(front_only(setup, bench_shift_mm=-3.0, sag_expected_mm=34.0))
    assert row(card, "Target sag").cells[0].elsewhere == ""


def test_a_bike_ridden_where_it_is_set_says_one_place(setup: Setup) -> None:
    here = replace(setup, request=replace(setup.request, ride=setup.request.bench))
    assert card_of(here).bench.full == "Set at 20 °C, 300 m altitude"


def test_clicks_are_said_to_count_out_from_fully_closed(setup: Setup) -> None:
    assert row(card_of(setup), "Rebound").detail.full == "clicks out from fully closed"


def test_bike_date_revision_and_installed_travel_head_the_card(setup: Setup) -> None:
    card = card_of(setup)
    assert (card.bike, card.issued) == ("Bluebell 140", "2026-03-14, version 3")
    assert [(h.name.full, h.travel.full) for h in card.heads] == [
        ("Front fork", "140 mm travel"),
        ("Rear shock", "55 mm stroke"),
    ]


def test_one_end_makes_one_column(setup: Setup) -> None:
    card = card_of(front_only(setup))
    assert [h.name.full for h in card.heads] == ["Front fork"]
    assert {len(r.cells) for r in card.rows} == {1}


def test_the_bench_and_the_code_in_groups_are_on_the_card(setup: Setup) -> None:
    card = card_of(setup)
    assert card.bench.full == "Set at 20 °C, 300 m, for a ride at 8 °C, 1400 m"
    assert card.bench.short == "At 20 °C, 300 m altitude"
    assert card.code == "01110 12345 6789A BCDEF GHJKMN"


def test_an_assumed_maximum_says_to_read_the_unit(setup: Setup) -> None:
    card = card_of(front_only(setup, max_pressure_assumed=True))
    assert entry(card, "Maximum pressure").endswith("our estimate: check yours")


def test_unknown_clicks_leave_room_to_write(setup: Setup) -> None:
    card = card_of(front_only(setup, rebound=None))
    cell = row(card, "Rebound").cells[0]
    assert (cell.parts, cell.remark.full) == ((), "clicks")


def test_compression_is_left_out_when_no_end_has_it(setup: Setup) -> None:
    card = card_of(front_only(setup, compression=None))
    assert not [r for r in card.rows if "pression" in r.label.full]


def test_measured_sag_and_date_have_room_to_write(setup: Setup) -> None:
    room = row(card_of(setup), "Measured sag")
    assert room.kind == "write"
    assert all(cell.parts == () for cell in room.cells)


def test_the_safety_line_defers_to_the_units_manual(setup: Setup) -> None:
    card = card_of(setup)
    for words in (card.safety.full, card.safety.short):
        assert "follow the manual" in words.lower()


def test_a_card_whose_link_would_be_dead_at_home_says_why_it_has_no_code(setup: Setup) -> None:
    assert card_of(setup, link=link_words(local=True, dead=True)).link.full.startswith("No QR code")
    assert card_of(setup, link=link_words(local=True)).link.full.startswith("Works only on the network")
    assert card_of(setup, link=link_words(later=True)).link.full.startswith("Works as soon as")
    assert card_of(setup).link.full == ""


def test_no_string_of_the_card_tells_the_riders_weight(whole_request: dict[str, Any]) -> None:
    heavy = {**whole_request, "rider_mass_kg": 123.4, "kit_mass_kg": 7.7}
    card = card_of(recommend(read_request(heavy)), service="Air seals renewed")
    text = str(astuple(replace(card, code="", address="")))
    for secret in ("123", "131", "7.7", "rider", "weight", "kg"):
        assert secret not in text.lower()


def test_a_caution_has_its_short_words_and_names_its_end(setup: Setup) -> None:
    note = Note(
        "pressure_above_maximum",
        Message.of("caution.pressure_above_maximum.fork", wanted=171, limit=150, sag=34),
        end="front",
    )
    card = card_of(replace(setup, cautions=(note,)))
    assert card.cautions == ("Fork: Needs 171 psi, but never pump above 150 psi: expect 34 mm of sag.",)


def test_an_unknown_caution_is_cut_at_a_word_with_an_ellipsis(setup: Setup) -> None:
    note = Note("new_one", Message("new_one", {}, "word " * 60))
    (text,) = card_of(replace(setup, cautions=(note,))).cautions
    assert len(text) <= CAUTION_LENGTH
    assert text.endswith("word…")


def test_what_the_card_says_elsewhere_is_no_caution_of_its_own(setup: Setup) -> None:
    notes = tuple(Note(code, Message(f"caution.{code}")) for code in ("start_point", "stop_and_ask", "maximum_assumed"))
    assert card_of(replace(setup, cautions=notes)).cautions == ()


def test_every_short_caution_fills_from_the_values_that_the_rules_give(whole_request: dict[str, Any]) -> None:
    whole_request["front"] |= {
        "max_pressure_psi": 30,
        "min_pressure_psi": 10,
        "sag_target_percent": 42,
        "longest_travel_mm": 200,
        "negative_spring": "coil",
    }
    card = card_of(recommend(read_request(whole_request)))
    text = "\n".join(card.cautions)
    for words in ("never pump above 30", "outside the usual 8 to 40 %", "Travel set by spacers", "Coil negative"):
        assert words in text
    assert "{" not in text


@pytest.mark.parametrize(
    ("count", "shown", "words"),
    [
        (2, 4, ""),
        (5, 4, "1 more caution: scan the code"),
        (5, 2, "3 more cautions: scan the code"),
        (1, 0, "1 caution: scan the code"),
        (3, 0, "3 cautions: scan the code"),
    ],
)
def test_cautions_without_room_are_counted(setup: Setup, count: int, shown: int, words: str) -> None:
    notes = tuple(Note(f"n{n}", Message("", {}, f"Caution {n}.")) for n in range(count))
    assert card_of(replace(setup, cautions=notes)).more_cautions(shown) == words


@pytest.mark.parametrize(("shown", "words"), [(2, "1 more caution: ask the shop"), (0, "3 cautions: ask the shop")])
def test_a_card_without_a_qr_code_never_says_to_scan_it(setup: Setup, shown: int, words: str) -> None:
    notes = tuple(Note(f"n{n}", Message("", {}, f"Caution {n}.")) for n in range(3))
    card = replace(card_of(replace(setup, cautions=notes)), address="")
    assert card.more_cautions(shown) == words


def test_a_bike_without_a_label_still_has_a_heading(setup: Setup) -> None:
    assert card_of(setup, bike="").bike == "Bike"


def test_the_cards_band_never_goes_beyond_the_limits_of_the_unit(setup: Setup) -> None:
    assert setup.front is not None
    narrow = replace(setup.front, max_pressure_pa=90 * PSI_PA, min_pressure_pa=80 * PSI_PA)
    pressure = row(card_of(replace(setup, front=narrow)), "Start pressure").cells[0]
    assert pressure.remark.full == "likely 80 psi or more"
