"""Corrects a setup by measured sag, of one spring end or of both at once."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from setup_rules import SagCheck, apply_sag_check, apply_sag_checks
from setup_rules.messages.message import Message
from webapp.checks.actions.save_correction import Correction, save_correction
from webapp.setups.revision import Revision


def check_sag(
    code_text: str, check: SagCheck, *, base_revision: int | None = None, idempotency_key: str | None = None
) -> Revision:
    """Save what a sag check makes of the setup behind a code (raises as `save_correction`)."""
    correction = Correction(
        kind=f"sag_check_{check.end}",
        reason=Message.of(f"revision.sag_check.{check.end}"),
        asked=_asked(check),
        apply=lambda setup: apply_sag_check(setup, check),
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)


def check_sags(
    code_text: str,
    checks: tuple[SagCheck, ...],
    *,
    base_revision: int | None = None,
    idempotency_key: str | None = None,
) -> Revision:
    """Save what the sag checks of one visit make of a setup, as one revision: all of them or none.

    Raises as `save_correction`; the field of each problem has its end before it, as `front.readings_mm`.
    """
    both = len({check.end for check in checks}) > 1
    end = checks[0].end
    correction = Correction(
        kind="sag_check_both" if both else f"sag_check_{end}",
        reason=Message.of(f"revision.sag_check.{'both' if both else end}"),
        asked=[_asked(check) for check in checks],
        apply=lambda setup: apply_sag_checks(setup, checks),
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)


def _asked(check: SagCheck) -> dict[str, Any]:
    """Return what tells one check from another; without a place, as those that were asked before there was one."""
    return {name: value for name, value in asdict(check).items() if (name, value) != ("place", "bench")}
