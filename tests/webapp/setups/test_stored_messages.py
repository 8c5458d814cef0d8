"""Why a revision was saved survives storage as key and values, in words only where it is shown."""

from __future__ import annotations

import dataclasses
import json
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import text

from setup_rules import read_request
from setup_rules.messages.catalogue import TEMPLATES as RULES
from setup_rules.messages.marking import Plural
from setup_rules.messages.message import Message, fields_of
from setup_rules.physics.travel_change import Stack
from setup_rules.types.limits import LIMITS
from setup_rules.types.request import BROUGHT_BY_BIKE, Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import Note
from tests.pseudo.catalogue import outside, pseudo, switch_on
from webapp.ground.database.engine import database
from webapp.ground.text.messages import TEMPLATES
from webapp.ground.text.sentences import in_english, list_messages, say
from webapp.setups.actions.append_revision import append_revision
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.revision import Revision
from webapp.setups.stored_messages import values_data, values_from_data
from webapp.setups.stored_notes import note_data, note_from_data
from webapp.travel.wording import describe_change

LABELS = [Message.of(f"label.{name}") for name in ("riding_style", "temperature_c", "kit_mass_kg")]
CHANGED = Message.of("revision.changed", inputs=list_messages("list.inputs", LABELS))
TRAVEL = describe_change(100.0, 112.5, Stack(((20.0, 1), (7.5, 1)), 112.5))
REASONS = {
    "First setup": Message.of("revision.created"),
    "Sag check of the shock": Message.of("revision.sag_check.rear"),
    "Restored version 2": Message.of("revision.restored", number=2),
    "Changed: Riding style, Temperature, Kit weight": CHANGED,
    "Serviced: seals: {x} & 100 %": Message.of("revision.serviced", work=Message.of("work.seals", what="{x} & 100 %")),
    "Fork travel changed from 100 to 112.5 mm, travel spacers 1 × 20 mm + 1 × 7.5 mm": TRAVEL,
    "Fork travel changed from 100 to 120 mm, travel spacer 1 × 20 mm": describe_change(
        100, 120, Stack(((20, 1),), 120)
    ),
    "Fork travel changed from 120 to 140 mm, no travel spacer": describe_change(120, 140, Stack((), 140)),
}


@pytest.fixture
def saved(app: Flask, whole_request: dict[str, Any]) -> Revision:
    with app.app_context():
        return create_setup(read_request(whole_request)).saved


def stored(code: str) -> tuple[str, str | None, str | None]:
    """Return the newest revision's (text, key, values) as they lie in the database."""
    with database.read() as connection:
        row = connection.execute(
            text(
                "SELECT reason, reason_key, CAST(reason_values AS TEXT) FROM revision "
                "JOIN setup ON setup.id = setup_id WHERE code = :code ORDER BY number DESC"
            ),
            {"code": code},
        ).first()
    assert row is not None
    return row[0], row[1], row[2]


@pytest.mark.parametrize(("sentence", "reason"), REASONS.items())
def test_values_come_back_as_they_were_stored(sentence: str, reason: Message) -> None:
    back = values_from_data(json.loads(json.dumps(values_data(reason.values))))
    assert back == reason.values
    assert in_english(Message(reason.key, back)) == sentence


@pytest.mark.parametrize(("sentence", "reason"), REASONS.items())
def test_a_revision_keeps_its_reason_as_key_and_values_with_the_english_text_beside_it(
    app: Flask, saved: Revision, sentence: str, reason: Message
) -> None:
    with app.app_context():
        append_revision(saved.followed_by(saved.setup, kind="k", reason=reason))
        found = find_setup(saved.code).reason
        words, key, values = stored(saved.code)
        assert say(found) == sentence
    assert isinstance(found, Message)
    assert (found.key, found.values) == (reason.key, reason.values)
    assert (words, key) == (sentence, reason.key)
    assert json.loads(values or "") == values_data(reason.values)


def test_a_text_stays_a_text(app: Flask, saved: Revision) -> None:
    with app.app_context():
        append_revision(saved.followed_by(saved.setup, kind="k", reason="Packed for {a} tour, 100 %"))
        assert find_setup(saved.code).reason == "Packed for {a} tour, 100 %"
        assert stored(saved.code) == ("Packed for {a} tour, 100 %", None, None)


def test_a_reason_saved_in_one_language_is_read_in_another(
    app: Flask, saved: Revision, monkeypatch: pytest.MonkeyPatch
) -> None:
    with app.app_context(), monkeypatch.context() as patch:
        switch_on(patch)
        append_revision(saved.followed_by(saved.setup, kind="k", reason=CHANGED))
        assert stored(saved.code)[0] == "Changed: Riding style, Temperature, Kit weight"
        line = say(find_setup(saved.code).reason)
        assert pseudo("Riding style") in line
        assert pseudo("Kit weight") in line
        assert not outside(line)[0]
    with app.app_context():
        assert say(find_setup(saved.code).reason) == "Changed: Riding style, Temperature, Kit weight"


def test_a_note_may_hold_a_message_too() -> None:
    note = Note("x", Message.of("problem.needed", label=LABELS[0]))
    assert note_from_data(json.loads(json.dumps(note_data(note)))) == note
    assert note_from_data(json.loads(json.dumps(note_data(note)))).message == note.message


def test_a_long_list_nests_no_deeper_than_it_must() -> None:
    many = [Message.of("label.sag_mm")] * 500
    assert say_plainly(list_messages("list.work", many)) == "; ".join(["Sag"] * 500)


def say_plainly(message: Message) -> str:
    """Return a message in English, having gone through storage."""
    return in_english(Message(message.key, values_from_data(json.loads(json.dumps(values_data(message.values))))))


def test_every_input_that_can_change_has_a_name() -> None:
    names = {f.name for kind in (SetupRequest, FrontEnd, RearEnd, Conditions) for f in dataclasses.fields(kind)}
    assert len(names) > 30
    # What a shop's bikes, units and checks bring is no input.
    names -= BROUGHT_BY_BIKE | {"shop_checks"}
    assert not {name for name in names | set(LIMITS) if f"label.{name}" not in TEMPLATES}


@pytest.mark.parametrize("key", sorted(set(TEMPLATES) - set(RULES)))
def test_both_forms_of_a_template_have_the_same_fields_and_its_key_fits_the_column(key: str) -> None:
    template = TEMPLATES[key]
    assert len(key) <= 64
    if isinstance(template, Plural):
        assert fields_of(template.one) == fields_of(template.other)
