"""Corrects the rebound of a setup from what was seen after one firm push."""

from __future__ import annotations

from dataclasses import asdict

from setup_rules import BounceCheck, apply_bounce_check
from setup_rules.messages.message import Message
from webapp.checks.actions.save_correction import Correction, save_correction
from webapp.setups.revision import Revision


def check_bounce(
    code_text: str, check: BounceCheck, *, base_revision: int | None = None, idempotency_key: str | None = None
) -> Revision:
    """Save what a bounce check makes of the setup behind a code (raises as `save_correction`)."""
    correction = Correction(
        kind=f"bounce_check_{check.end}",
        reason=Message.of(f"revision.bounce_check.{check.end}"),
        asked=asdict(check),
        apply=lambda setup: apply_bounce_check(setup, check),
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)
