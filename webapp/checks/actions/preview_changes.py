"""Shows how changed conditions would affect a setup, and saves nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from setup_rules import Setup, what_if
from webapp.checks.actions.prove_weight import asks_the_scale, prove_weight
from webapp.checks.weight_proof import NO_PROOF, WeightProof
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.round_weights import rounded_changes
from webapp.setups.revision import Revision


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """The setup as it is saved, and as it would be."""

    saved: Revision
    setup: Setup


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
    return Preview(saved=saved, setup=after)
