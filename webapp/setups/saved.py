"""What actions return to views: a saved setup at one revision, immutable and without rows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from setup_rules import Setup
from webapp.setups.queries.setups import RevisionRecord, SetupRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedSetup:
    """One revision of a saved setup. `created_at` is the revision's own moment (aware, UTC)."""

    code: str
    revision: int
    latest_revision: int
    created_at: datetime
    bike_label: str
    service_note: str
    setup: Setup
    reason: str
    rules_version: str
    kind: str = "created"
    base_revision: int | None = None
    expires_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CreatedSetup:
    """A setup just saved. `owner_key` exists here only; None when an earlier, repeated save is answered."""

    saved: SavedSetup
    owner_key: str | None


def saved_setup(setup: SetupRecord, revision: RevisionRecord) -> SavedSetup:
    """Return the view of a stored revision."""
    return SavedSetup(
        code=setup.code,
        revision=revision.number,
        latest_revision=max(setup.latest_revision, revision.number),
        created_at=revision.created_at,
        bike_label=revision.bike_label,
        service_note=revision.service_note,
        setup=revision.setup,
        reason=revision.reason,
        rules_version=revision.rules_version,
        kind=revision.kind,
        base_revision=revision.base_number,
        expires_at=setup.expires_at,
    )
