"""Corrects a setup by measured sag."""

from __future__ import annotations

from dataclasses import asdict

from setup_rules import SagCheck, apply_sag_check
from webapp.checks.actions.save_correction import Correction, end_word, save_correction
from webapp.ground.text.i18n import gettext as _
from webapp.setups.revision import Revision


def check_sag(
    code_text: str, check: SagCheck, *, base_revision: int | None = None, idempotency_key: str | None = None
) -> Revision:
    """Save what a sag check makes of the setup behind a code (raises as `save_correction`)."""
    correction = Correction(
        kind=f"sag_check_{check.end}",
        reason=_("Sag check of the %(end)s", end=end_word(check.end)),
        asked=asdict(check),
        apply=lambda setup: apply_sag_check(setup, check),
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)
