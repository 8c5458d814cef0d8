"""Shows how changed conditions would affect a setup, and saves nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from setup_rules import Setup, SetupRulesError, what_if
from webapp.checks.actions.prove_weight import asks_the_scale, prove_weight
from webapp.checks.changes_by_cause import changes_by_cause
from webapp.checks.weight_proof import NO_PROOF, WeightProof
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.round_weights import rounded_changes
from webapp.setups.revision import Revision


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """The setup as it is saved, and as it would be; in between after each cause on top of those before it.

    `stages` begins with the saved setup under no cause and ends with the whole change; empty where no order of the
    causes leads there.
    """

    saved: Revision
    setup: Setup
    stages: tuple[tuple[str, Setup], ...] = ()


def preview_changes(code_text: str, changes: Mapping[str, Any], *, proof: WeightProof = NO_PROOF) -> Preview:
    """Return the newest setup behind a code beside the same with some of its request changed.

    `changes` are as `setup_rules.what_if` takes them; `proof` is needed where they change the rider's weight.

    Raises
    ------
    RequestError
        When the changed request is outside the limits, or as in `prove_weight`.
    LinkUnknownError, LinkGoneError
        As in `find_setup`.
    """
    saved = find_setup(code_text)
    if asks_the_scale(changes):  # before the rules say how far a reading is from the saved weights
        prove_weight(saved.code, saved.setup, changes, proof)
    after = what_if(saved.setup, rounded_changes(changes))
    if not asks_the_scale(changes):
        prove_weight(saved.code, saved.setup, changes, proof)
    return Preview(saved=saved, setup=after, stages=_stages(saved.setup, after, rounded_changes(changes)))


def _stages(before: Setup, after: Setup, changes: Mapping[str, Any]) -> tuple[tuple[str, Setup], ...]:
    causes = changes_by_cause(changes)
    stages, so_far = [("", before)], dict[str, Any]()
    for cause, own in causes[:-1]:
        so_far = _together(so_far, own)
        try:
            stages.append((cause, what_if(before, so_far)))
        except SetupRulesError:  # two changes that are only right together
            return ()
    return (*stages, *((cause, after) for cause, _own in causes[-1:]))


def _together(one: Mapping[str, Any], other: Mapping[str, Any]) -> dict[str, Any]:
    """Return both changes as one; what they change of one end stands side by side."""
    inner = {key: {**one[key], **other[key]} for key in ("front", "rear") if key in one and key in other}
    return {**one, **other, **inner}
