"""Saves a setup with some of its request changed; what sag checks taught is kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from setup_rules import Setup, what_if
from setup_rules.messages.message import Message
from webapp.checks.actions.prove_weight import asks_the_scale, prove_weight
from webapp.checks.actions.save_correction import Correction, save_correction
from webapp.checks.weight_proof import NO_PROOF, WeightProof
from webapp.ground.text.sentences import list_messages
from webapp.setups.actions.round_weights import rounded_changes
from webapp.setups.revision import Revision


def save_changes(
    code_text: str,
    changes: Mapping[str, Any],
    *,
    base_revision: int | None = None,
    idempotency_key: str | None = None,
    proof: WeightProof = NO_PROOF,
    rider: str = "",
) -> Revision:
    """Save the setup behind a code with `changes` as `what_if` takes them (raises as `save_correction`).

    `proof` is needed where they change the rider's weight (raises as `prove_weight`). `rider` is the name of who has
    borrowed the bike, "" for its own rider.
    """

    def apply(setup: Setup) -> Setup:
        if asks_the_scale(changes):  # before the rules say how far a reading is from the saved weights
            prove_weight(code_text, setup, changes, proof)
        after = what_if(setup, rounded_changes(changes))
        if not asks_the_scale(changes):
            prove_weight(code_text, setup, changes, proof)
        return after

    correction = Correction(
        kind="borrowed" if rider else "what_if",
        reason=Message.of("revision.borrowed", name=rider) if rider else _name_changes(changes),
        asked=[rider, dict(changes)] if rider else changes,
        apply=apply,
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)


def _name_changes(changes: Mapping[str, Any]) -> Message:
    if not any(_labels(changes)):
        return Message.of("revision.changed.nothing")
    return Message.of("revision.changed", inputs=name_inputs(changes))


def name_inputs(changes: Mapping[str, Any]) -> Message:
    """Return what people call the changed inputs, of which there is at least one."""
    return list_messages("list.inputs", tuple(dict.fromkeys(_labels(changes))))


def _labels(changes: Mapping[str, Any]) -> Iterator[Message]:
    """Yield what people call the changed inputs; a name that the rules do not know never gets as far as being saved."""
    for key, value in changes.items():
        if isinstance(value, Mapping) and key != "spring_test":
            yield from _labels(value)
        else:
            yield Message.of(f"label.{key}")
