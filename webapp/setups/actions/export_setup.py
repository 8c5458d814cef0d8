"""Everything that is stored about a setup, as plain data for its owner."""

from __future__ import annotations

from typing import Any

from webapp.ground.database.engine import database
from webapp.setups.actions.find_owned import owned_setup
from webapp.setups.queries import setups as queries


def export_setup(owner_key: str) -> dict[str, Any]:
    """Return all that is stored under an owner's key, every revision whole (raises as `find_owned`)."""
    with database.read() as connection:
        record = owned_setup(connection, owner_key)
        rows = tuple(queries.revisions(connection, record.setup_id))
    return {
        "code": record.code,
        "created_at": record.created_at.isoformat(),
        "expires_at": record.expires_at.isoformat(),
        "revisions": [_revision(row) for row in rows],
    }


def _revision(row: queries.RevisionRecord) -> dict[str, Any]:
    return {
        "revision": row.number,
        "base_revision": row.base_number,
        "created_at": row.created_at.isoformat(),
        "kind": row.kind,
        "reason": row.reason,
        "bike_label": row.bike_label,
        "service_note": row.service_note,
        "rules_version": row.rules_version,
        "request": row.document.request,
        "checks": row.document.checks,
        "result": row.document.result,
    }
