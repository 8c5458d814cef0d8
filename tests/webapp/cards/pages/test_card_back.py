"""The back of the card as strings: order, lengths, and what stays off it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from setup_rules.workshop.checklist import DEFAULT_STEPS
from webapp.cards.pages.card_back import LINE_LENGTH, present_back
from webapp.cards.pages.card_words import link_words
from webapp.workshop.actions.records import ServiceRecord

TORQUE = {"part": "top cap", "torque": 62.0, "unit": "lbfin", "low": 6.0, "high": 8.0, "range_unit": "nm"}


def record(**changes: Any) -> ServiceRecord:
    """Return a closed record of an invented bike."""
    now = datetime(2026, 11, 25, 10, tzinfo=UTC)
    steps = tuple(
        step.with_state("done", {"torque": TORQUE, "seals": {"what": "all", "note": "by T. Vole"}}.get(step.key, {}))
        for step in DEFAULT_STEPS
    )
    whole = ServiceRecord(
        record_id=1,
        shop_id=1,
        short_code="AB12CD",
        bike_label="Heron 4, green",
        unit_label="34 mm fork",
        customer_reference="Ms Weasel, T-1042",
        spring_end="front",
        state="closed",
        as_found={"pressure_psi": 62.0, "before_hose_psi": 64.48, "temperature_c": -4.0, "symptoms": "she says harsh"},
        steps=steps,
        as_left={"pressure_psi": 99.0, "sag_mm": 27.0, "note": "call her"},
        draft=None,
        setup_code="0" * 26,
        setup_revision=2,
        closing_key="",
        opened_at=now,
        opened_by="mira",
        closed_at=now,
        closed_by="mira",
        next_due_on=date(2027, 11, 25),
        next_due_hours=50,
    )
    return replace(whole, **changes)


def test_what_matters_on_the_road_comes_first() -> None:
    back = present_back(record(), "https://cards.example/S/0")
    labels = [label for label, _text in back.lines]
    assert labels == ["Next service", "Final settings", "As received", "Seals", "Torque", "Checks done"]
    lines = dict(back.lines)
    assert lines["Next service"] == "after 50 hours of riding or on 2027-11-25"
    assert lines["As received"] == "64.5 psi, at −4 °C"
    assert lines["Torque"] == "top cap: 62 lbf·in, manual 6–8 N·m"
    assert lines["Checks done"] == "5 of 5"


def test_free_notes_people_and_references_stay_off_it() -> None:
    back = present_back(record(), "https://cards.example/S/0")
    text = " ".join([back.title, back.bike, back.issued, *(word for line in back.lines for word in line)])
    for hidden in ("Vole", "Weasel", "T-1042", "harsh", "call", "mira"):
        assert hidden not in text


@pytest.mark.parametrize("compact", [True, False])
def test_tighter_steps_show_less_and_say_so(compact: bool) -> None:
    back = present_back(record(), "https://cards.example/S/0", link=link_words(local=False, later=True))
    back = replace(back, lines=back.lines * 3)
    counts = [len(back.shown(step, compact=compact)) for step in ("fit-0", "fit-1", "fit-2", "fit-3")]
    assert counts == sorted(counts, reverse=True)
    assert len(set(counts)) == 4
    assert back.more("fit-3", compact=compact) == f"{len(back.lines) - counts[-1]} more lines in the shop's record"
    assert back.link.full


def test_a_long_line_is_cut_at_a_word() -> None:
    seals = DEFAULT_STEPS[4].with_state("done", {"what": "seal " * 40})
    (line,) = [text for label, text in present_back(record(steps=(seals,)), "").lines if label == "Seals"]
    assert len(line) <= LINE_LENGTH
    assert line.endswith("seal…")
