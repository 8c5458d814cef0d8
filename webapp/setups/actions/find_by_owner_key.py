"""Finds the setup that an owner's key opens."""

from __future__ import annotations

from datetime import UTC, datetime

from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.hashes import secret_hash
from webapp.ground.link_codes import CodeError, normalise
from webapp.ground.text.i18n import gettext as _
from webapp.setups.queries import setups as queries
from webapp.setups.revision import Revision


def find_by_owner_key(owner_key: str) -> Revision:
    """Return the setup that an owner's key opens, at its latest revision.

    Raises
    ------
    LinkUnknownError
        When no setup has this key.
    LinkGoneError
        When the setup was deleted or has expired.
    """
    with database.read() as connection:
        record = setup_of_owner_key(connection, owner_key)
        latest = queries.revision(connection, record, record.latest_revision)
    if latest is None:
        raise RuntimeError("a setup without its latest revision")
    return latest


def setup_of_owner_key(connection: Connection, owner_key: str, *, hold: bool = False) -> queries.SetupRecord:
    """Return the row that an owner's key opens (raises as `find_by_owner_key`); `hold` keeps other savers off it."""
    unknown = _("No setup has this owner's link. Check that you copied all of it.")
    try:
        key_hash = secret_hash(normalise(owner_key))
    except CodeError as error:
        raise LinkUnknownError(unknown) from error
    if hold:
        queries.hold_owned_setup(connection, key_hash)
    record = queries.setup_by_owner(connection, key_hash)
    if record is None:
        raise LinkUnknownError(unknown)
    if record.deleted_at is not None or record.expires_at <= datetime.now(UTC):
        raise LinkGoneError(_("This setup was deleted or has expired. Make a new setup. It takes a minute."))
    return record
