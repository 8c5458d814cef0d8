"""Saves a setup with some of its request changed; what sag checks taught is kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from setup_rules import what_if
from setup_rules.messages.message import Message
from webapp.checks.actions.save_correction import Correction, save_correction
from webapp.ground.text.sentences import list_messages
from webapp.setups.actions.round_weights import rounded_changes
from webapp.setups.revision import Revision


def save_changes(
    code_text: str,
    changes: Mapping[str, Any],
    *,
    base_revision: int | None = None,
    idempotency_key: str | None = None,
) -> Revision:
    """Save the setup behind a code with `changes` as `what_if` takes them (raises as `save_correction`)."""
    correction = Correction(
        kind="what_if",
        reason=_name_changes(changes),
        asked=changes,
        apply=lambda setup: what_if(setup, rounded_changes(changes)),
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)


def _name_changes(changes: Mapping[str, Any]) -> Message:
    labels = tuple(dict.fromkeys(_labels(changes)))
    if not labels:
        return Message.of("revision.changed.nothing")
    return Message.of("revision.changed", inputs=list_messages("list.inputs", labels))


def _labels(changes: Mapping[str, Any]) -> Iterator[Message]:
    """Yield what people call the changed inputs; a name that the rules do not know never gets as far as being saved."""
    for key, value in changes.items():
        if isinstance(value, Mapping):
            yield from _labels(value)
        else:
            yield Message.of(f"label.{key}")
