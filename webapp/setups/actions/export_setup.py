"""Everything that is stored about a setup, as plain data for its owner."""

from __future__ import annotations

from typing import Any

from setup_rules.types.request import BROUGHT_BY_BIKE
from webapp.ground.database.engine import database
from webapp.ground.text.sentences import say
from webapp.setups.actions.find_by_owner_key import setup_of_owner_key
from webapp.setups.queries import setups as queries


def export_setup(owner_key: str) -> dict[str, Any]:
    """Return all that is stored under an owner's key, every revision whole (raises as `find_by_owner_key`)."""
    with database.read() as connection:
        record = setup_of_owner_key(connection, owner_key)
        revisions = queries.exported_revisions(connection, record)
    return {
        "code": record.code,
        "created_at": record.created_at.isoformat(),
        "expires_at": record.expires_at.isoformat(),
        "revisions": [_plain(revision) for revision in revisions],
    }


def _plain(revision: dict[str, Any]) -> dict[str, Any]:
    told = {"created_at": revision["created_at"].isoformat(), "reason": say(revision["reason"])}
    checks = [{**taken, "request": _own_part(taken["request"])} for taken in revision["checks"]]
    return {**revision, **told, "request": _own_part(revision["request"]), "checks": checks}


def _own_part(request: dict[str, Any]) -> dict[str, Any]:
    """Return a request without what a shop's bike had learned of other riders: that is the shop's."""
    ends = {name: request[name] for name in ("front", "rear") if isinstance(request.get(name), dict)}
    return {**request, **{name: _without(end) for name, end in ends.items()}}


def _without(end: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in end.items() if key not in BROUGHT_BY_BIKE}
