"""Which revision a link leads to, without reading it: for what was made of that revision before."""

from __future__ import annotations

from datetime import datetime

from webapp.ground.action_errors import LinkUnknownError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_setup import living_setup
from webapp.setups.queries import setups as queries


def find_revision(code_text: str, revision: int | None = None) -> tuple[str, int, datetime]:
    """Return the stored code, the number of the latest revision or of the one asked for, and when that was saved.

    The time tells a revision from another that had its number before an older copy of the database was restored.

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
        saved_at = queries.saved_at(connection, setup, number) if 1 <= number <= setup.latest_revision else None
    if saved_at is None:
        raise LinkUnknownError(_("This setup has no such version. Open its link without a number."))
    return setup.code, number, saved_at
