"""Takes what a rider felt and saves the one change that follows from it."""

from __future__ import annotations

from dataclasses import asdict

from setup_rules import RideReport, apply_ride
from setup_rules.messages.message import Message
from webapp.checks.actions.save_correction import Correction, save_correction
from webapp.setups.revision import Revision


def report_ride(
    code_text: str, report: RideReport, *, base_revision: int | None = None, idempotency_key: str | None = None
) -> Revision:
    """Save what a ride makes of the setup behind a code (raises as `save_correction`)."""
    correction = Correction(
        kind=f"ride_{report.end}",
        reason=Message.of(f"revision.ride.{report.end}"),
        asked=asdict(report),
        apply=lambda setup: apply_ride(setup, report),
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)
