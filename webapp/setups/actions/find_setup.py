"""Finds a saved setup by whatever a person typed, scanned or clicked."""

from __future__ import annotations

from datetime import UTC, datetime

from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.link_codes import CodeError, normalise
from webapp.ground.text.i18n import gettext as _
from webapp.setups.queries import setups as queries
from webapp.setups.revision import Revision


def find_setup(code_text: str, revision: int | None = None) -> Revision:
    """Return the setup behind a code or a card link, at its latest revision or the one asked for.

    Raises
    ------
    LinkUnknownError
        When the text is no code, no setup has it, or the setup has no such revision.
    LinkGoneError
        When the setup was deleted or has expired, or its link was renewed.
    """
    with database.read() as connection:
        setup = living_setup(connection, code_text)
        number = setup.latest_revision if revision is None else revision
        # SQLite takes 64-bit numbers only; a longer one is just another revision that does not exist.
        found = queries.revision(connection, setup, number) if number <= setup.latest_revision else None
    if found is None:
        raise LinkUnknownError(
            _(
                "This setup has no version %(number)s. Open its link without a number.",
                number=str(number)[:20],
            )
        )
    return found


def living_setup(connection: Connection, code_text: str, *, hold: bool = False) -> queries.SetupRecord:
    """Return the row behind a code that is neither unknown nor gone (raises as `find_setup`).

    `hold` keeps other savers off it until the transaction ends.
    """
    try:
        code = normalise(code_text)
    except CodeError as error:
        raise LinkUnknownError(
            _("This is not a card link. Check the code: 26 letters and digits, as printed on the card.")
        ) from error
    if hold:
        queries.hold_setup(connection, code)
    setup = queries.setup_by_code(connection, code)
    if setup is None:
        if queries.is_retired(connection, code):
            raise LinkGoneError(_("This link was replaced by a new one. Ask the setup's owner for the new link."))
        raise LinkUnknownError(_("No setup has this link. Check the code on the card, or make a new setup."))
    if setup.deleted_at is not None or setup.expires_at <= datetime.now(UTC):
        raise LinkGoneError(_("This setup was deleted or has expired. Make a new setup. It takes a minute."))
    return setup
