"""Strikes a sag check out of a setup, or counts it again."""

from __future__ import annotations

from setup_rules import strike_check as strike
from setup_rules.messages.message import Message
from webapp.checks.actions.save_correction import Correction, save_correction
from webapp.setups.revision import Revision


def strike_check(
    code_text: str,
    index: int,
    *,
    struck: bool,
    base_revision: int | None = None,
    idempotency_key: str | None = None,
) -> Revision:
    """Save the setup behind a code without one of its sag checks, or with it again (raises as `save_correction`).

    `index` is the place of the check among those of `base_revision`, from 0.
    """
    correction = Correction(
        kind="check_struck" if struck else "check_counted",
        reason=Message.of("revision.check_struck" if struck else "revision.check_counted"),
        asked=[index, struck],
        apply=lambda setup: strike(setup, index, struck=struck),
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)
