"""Saves a new setup: computes it, gives it a link and an owner's key, and stores its first revision."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import astuple, replace
from datetime import UTC, datetime, timedelta

from flask import current_app

from setup_rules import SetupRequest, recommend, request_data, with_memories, with_unit_memories
from setup_rules.inference.class_shift import without_shops
from setup_rules.messages.message import Message
from webapp.ground.action_errors import IdempotencyError, KeyEndedError
from webapp.ground.database.connection import Connection, RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.hashes import RepeatKey, repeat_key, secret_hash
from webapp.ground.link_codes import new_code
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.round_weights import rounded_request
from webapp.setups.queries import setups as queries
from webapp.setups.revision import NO_TEXTS, CardTexts, CreatedSetup, Revision


def create_setup(
    request: SetupRequest,
    texts: CardTexts = NO_TEXTS,
    *,
    idempotency_key: str | None = None,
    key_lasts: timedelta | None = None,
    also: Callable[[Connection, str], None] | None = None,
) -> CreatedSetup:
    """Compute and save a setup; under an idempotency key the same request is saved once, however often it comes.

    A repeat answers with the setup's link, so `idempotency_key` must be known to its client alone. `key_lasts` is how
    long after the first save a repeat is answered; None: as long as the setup and its first link last. `also` is done
    with the link's code in the same transaction: what it raises leaves no setup behind.

    Raises
    ------
    IdempotencyError
        When the key was used for another request, or longer ago than it lasts.
    KeyEndedError
        When the setup that was made under the key was deleted, has expired, or has a renewed link.
    setup_rules.SetupRulesError
        When the rules find no answer to the request.
    """
    request = rounded_request(request)
    # What a bike or a fork remembers, or a shop's checks say, may have changed between a request and its repeat.
    asked = request_data(without_shops(with_unit_memories(with_memories(request, {}), {})))
    key = repeat_key(idempotency_key, [asked, *astuple(texts)])
    if key and (repeated := _find_repeated(key, key_lasts)):
        return repeated
    saved = _compute(request, texts)
    owner_key = new_code()
    try:
        with database.write() as connection:
            _store(connection, saved, owner_key, key)
            if also is not None:
                also(connection, saved.code)
    except RowTakenError:
        # The same key was saved by a twin of this request after the look above.
        if key and (repeated := _find_repeated(key, key_lasts)):
            return repeated
        raise
    return CreatedSetup(saved=saved, owner_key=owner_key)


def expiry(now: datetime) -> datetime:
    """Return the day on which a setup that was last saved at `now` is purged."""
    return now + timedelta(days=float(current_app.config["RETENTION_DAYS"]))


def _compute(request: SetupRequest, texts: CardTexts) -> Revision:
    now = datetime.now(UTC)
    return Revision(
        code=new_code(),
        reason=Message.of("revision.created"),
        texts=texts,
        setup=recommend(request),
        created_at=now,
        expires_at=expiry(now),
    )


def _store(connection: Connection, first: Revision, owner_key: str, key: RepeatKey | None) -> None:
    setup_id = queries.insert_setup(connection, first, secret_hash(owner_key), key)
    queries.insert_revision(connection, setup_id, first)


def _find_repeated(key: RepeatKey, lasts: timedelta | None) -> CreatedSetup | None:
    with database.read() as connection:
        earlier = queries.creation_by_key(connection, key.key_hash)
    if earlier is None:
        return None
    if earlier.fingerprint is None:
        # Neither made again, as its owner ended it, nor answered with a new link that others may not have.
        message = _("This setup was saved before, then deleted or given a new link. Reload the page or use a new key.")
        raise KeyEndedError(message)
    if earlier.fingerprint != key.fingerprint:
        raise IdempotencyError(_("This idempotency key was already used for another request. Use a new key."))
    if lasts is not None and earlier.created_at + lasts < datetime.now(UTC):
        raise IdempotencyError(_("This idempotency key has expired. Use a new key."))
    # The same answer as the first time, with the setup's first revision, whatever was saved since.
    return CreatedSetup(saved=replace(find_setup(earlier.code, 1), latest_number=1), owner_key=None)
