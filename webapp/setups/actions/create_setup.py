"""Saves a new setup: computes it, gives it a link and an owner's key, and stores its first revision."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from flask import current_app

from setup_rules import SetupRequest, recommend, request_data
from webapp.ground.database.connection import Connection, RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.hashes import body_fingerprint, secret_hash
from webapp.ground.link_codes import new_code
from webapp.ground.refusals import IdempotencyError
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.round_weights import rounded_request
from webapp.setups.queries import setups as queries
from webapp.setups.saved import CreatedSetup, SavedSetup


def create_setup(
    request: SetupRequest, *, bike_label: str = "", service_note: str = "", idempotency_key: str | None = None
) -> CreatedSetup:
    """Compute and save a setup; under an idempotency key the same request is saved once, however often it comes.

    Raises
    ------
    IdempotencyError
        When the key was used for another request.
    setup_rules.SetupRulesError
        When the rules find no answer to the request.
    """
    request = rounded_request(request)
    key = secret_hash(idempotency_key) if idempotency_key else None
    fingerprint = body_fingerprint([request_data(request), bike_label, service_note]) if key else None
    if key and (repeated := _repeated(key, fingerprint)):
        return repeated
    saved = _computed(request, bike_label, service_note)
    owner_key = new_code()
    try:
        with database.write() as connection:
            _store(connection, saved, owner_key, key, fingerprint)
    except RowTakenError:
        # The same key was saved by a twin of this request after the look above.
        if key and (repeated := _repeated(key, fingerprint)):
            return repeated
        raise
    return CreatedSetup(saved=saved, owner_key=owner_key)


def expiry(now: datetime) -> datetime:
    """Return the day on which a setup that was last saved at `now` is purged."""
    return now + timedelta(days=float(current_app.config["RETENTION_DAYS"]))


def _computed(request: SetupRequest, bike_label: str, service_note: str) -> SavedSetup:
    setup = recommend(request)
    now = datetime.now(UTC)
    return SavedSetup(
        code=new_code(),
        revision=1,
        latest_revision=1,
        created_at=now,
        bike_label=bike_label,
        service_note=service_note,
        setup=setup,
        reason=_("First setup"),
        rules_version=setup.rules_version,
        expires_at=expiry(now),
    )


def _store(connection: Connection, saved: SavedSetup, owner_key: str, key: str | None, fingerprint: str | None) -> None:
    setup_id = queries.insert_setup(
        connection,
        code=saved.code,
        owner_key_hash=secret_hash(owner_key),
        created_at=saved.created_at,
        expires_at=expiry(saved.created_at),
        creation_key=key,
        creation_fingerprint=fingerprint,
    )
    first = queries.NewRevision(
        number=1,
        base_number=None,
        kind=saved.kind,
        reason=saved.reason,
        bike_label=saved.bike_label,
        service_note=saved.service_note,
        setup=saved.setup,
        created_at=saved.created_at,
    )
    queries.insert_revision(connection, setup_id, first)


def _repeated(key: str, fingerprint: str | None) -> CreatedSetup | None:
    with database.read() as connection:
        earlier = queries.creation_by_key(connection, key)
    if earlier is None:
        return None
    code, stored_fingerprint = earlier
    if stored_fingerprint != fingerprint:
        raise IdempotencyError(_("This idempotency key was already used for another request. Use a new key."))
    # The same answer as the first time, with the setup's first revision, whatever was saved since.
    return CreatedSetup(saved=replace(find_setup(code, 1), latest_revision=1), owner_key=None)
