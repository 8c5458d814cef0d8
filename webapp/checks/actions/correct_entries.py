"""Saves a setup whose entries were mistaken: the same link, the same checks as far as they still tell something."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import astuple, replace
from typing import Any

from setup_rules import RequestError, Setup, read_request, request_data, what_if
from setup_rules.messages.message import Message
from setup_rules.types.result import TakenCheck
from webapp.checks.actions.prove_weight import prove_weight
from webapp.checks.actions.save_changes import name_inputs
from webapp.checks.actions.save_correction import Correction, save_correction
from webapp.checks.weight_proof import NO_PROOF, WeightProof
from webapp.setups.actions.round_weights import rounded_changes
from webapp.setups.revision import CardTexts, Revision


def correct_entries(
    code_text: str,
    changes: Mapping[str, Any],
    texts: CardTexts | None,
    *,
    base_revision: int | None = None,
    idempotency_key: str | None = None,
    proof: WeightProof | None = NO_PROOF,
) -> Revision:
    """Save the setup behind a code with mistaken entries put right (raises as `save_correction`).

    A check that was made under the mistaken entries was made with the right ones in fact, so it is read again with
    them. Without `texts` those on the card stay. `proof` is needed where weights change (raises as `prove_weight`);
    None: who asks is shown them anyway.
    """

    def apply(setup: Setup) -> Setup:
        if proof is not None:
            prove_weight(code_text, setup, changes, proof)
        return put_right(setup, rounded_changes(changes))

    correction = Correction(
        kind="corrected",
        reason=lambda before, after: _name_correction(changes, len(before.checks) - len(after.checks)),
        asked=[dict(changes), None if texts is None else astuple(texts)],
        apply=apply,
        texts=texts,
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)


def put_right(setup: Setup, changes: Mapping[str, Any]) -> Setup:
    """Return the setup with its entries put right, and with every check that still tells something of it.

    A check ends to count where its end is gone, has another kind of main spring, or cannot have sagged so far.
    """
    return what_if(replace(setup, checks=tuple(_checks_put_right(setup, changes))), changes)


def _checks_put_right(setup: Setup, changes: Mapping[str, Any]) -> Iterator[TakenCheck]:
    saved = request_data(setup.request)
    for taken in setup.checks:
        data = _put_right(request_data(taken.request), saved, changes)
        try:
            corrected = replace(taken, request=read_request(data))
        except RequestError:
            continue  # the day's other entries, of a travel since changed perhaps, do not go with it
        if _still_tells(taken, corrected):
            yield corrected


def _put_right(then: Mapping[str, Any], saved: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return the entries of a check's day with the slips corrected that were in force on it too."""
    right = dict(then)
    for key, value in changes.items():
        was, held = saved.get(key), then.get(key)
        if isinstance(value, Mapping) and isinstance(was, Mapping) and isinstance(held, Mapping):
            right[key] = _put_right(held, was, value)
        elif was == held:
            right[key] = value
    if any(name in changes for name in ("front_axle_kg", "rear_axle_kg")):
        right.pop("weighed_kg", None)
        right.pop("weighed_stance", None)
    return {key: value for key, value in right.items() if value is not None}


def _still_tells(taken: TakenCheck, corrected: TakenCheck) -> bool:
    before, after = (dict(one.request.ends()).get(taken.check.end) for one in (taken, corrected))
    if before is None or after is None or before.spring != after.spring:
        return False
    check = taken.check
    readings = (*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm)
    return max(readings, default=0.0) < after.compression_mm


def _name_correction(changes: Mapping[str, Any], voided: int) -> Message:
    if not changes:
        return Message.of("revision.corrected.texts")
    if voided:
        return Message.of("revision.corrected.voided", inputs=name_inputs(changes), count=voided)
    return Message.of("revision.corrected", inputs=name_inputs(changes))
