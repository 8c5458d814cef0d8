"""A note survives storage as key and values; one stored before sentences had keys keeps its own text."""

from __future__ import annotations

import json
from typing import Any

import pytest

from setup_rules.messages.message import Message
from setup_rules.types.result import Note
from webapp.setups.stored_notes import note_data, note_from_data

TURN = Message.of("rebound_turn.in", count=2, out=6, total=16, ratio=0.2, aim=0.42)
OLD: dict[str, Any] = {
    "code": "rebound_turn",
    "template": "Turn the rebound {count} clicks {way}, to {out} of {total}.",
    "values": {"count": 2, "way": "in (slower)", "out": 6, "total": 16},
    "source": "damped linear oscillator; aim: our estimate, from memory",
    "end": "front",
}


@pytest.mark.parametrize(
    "note",
    [
        Note("rebound_turn", TURN, "our estimate", "front", "in"),
        Note("ride_none", Message.of("ride_none"), "common practice, no source", "rear"),
        Note("stop_and_ask", Message.of("caution.stop_and_ask")),
    ],
)
def test_a_note_comes_back_as_it_was_stored(note: Note) -> None:
    stored = json.loads(json.dumps(note_data(note)))
    assert note_from_data(stored) == note
    assert "template" not in stored


def test_an_old_note_keeps_its_text_and_says_its_direction_by_value() -> None:
    note = note_from_data(OLD)
    assert note.message == "Turn the rebound 2 clicks in (slower), to 6 of 16."
    assert note.way == "in"
    assert note.source == "damped linear oscillator; aim: our estimate"
    assert note_from_data(json.loads(json.dumps(note_data(note)))) == note


@pytest.mark.parametrize(
    ("code", "values", "way"),
    [
        ("rebound_turn", {"way": "out (quicker)"}, "out"),
        ("ride_rebound", {"way": "in"}, "in"),
        ("ride_compression", {"way": "out"}, "out"),
        ("ride_sag_target", {"more": "less"}, "less"),
        ("ride_volume_spacers", {"more": "more"}, "more"),
        ("rebound_at_end", {"more": "quicker"}, ""),
        ("chart_differs", {"more": "more"}, ""),
    ],
)
def test_every_old_direction_is_known(code: str, values: dict[str, Any], way: str) -> None:
    assert note_from_data({"code": code, "template": "", "values": values}).way == way
