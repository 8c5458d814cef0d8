"""The shop's records and setups as files for its own tables: the owner's alone."""

from __future__ import annotations

from itertools import islice

from flask import Blueprint, Response, abort
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_owner, signed_in
from webapp.ground.error_pages import error_answer
from webapp.ground.text.i18n import gettext as _
from webapp.workshop.actions.export_lists import RECORD_COLUMNS, SETUP_COLUMNS, export_records, export_setups
from webapp.workshop.pages.list_files import write_csv, write_json

blueprint = Blueprint("shop_export", __name__, url_prefix="/shop/export")
#: The most rows that a page gives: 30 MB. Counted, so that one download cannot take the memory of all others.
MOST_ROWS = 50_000
_LISTS = {"records": (RECORD_COLUMNS, export_records), "setups": (SETUP_COLUMNS, export_setups)}
_FILES = {"csv": (write_csv, "text/csv"), "json": (write_json, "application/json")}


@blueprint.get("/<what>.<kind>")
@needs_owner
def export(what: str, kind: str) -> ResponseReturnValue:
    """Give a list as a file; one that is too long for a page is written by the command."""
    if what not in _LISTS or kind not in _FILES:
        abort(404)
    (columns, rows), (write, mimetype) = _LISTS[what], _FILES[kind]
    found = list(islice(rows(signed_in().shop_id), MOST_ROWS + 1))
    if len(found) > MOST_ROWS:
        return error_answer(409, _("This list is too long for a page. Write it with “setup-card export-list”."))
    answer = Response("".join(write(columns, found)), mimetype=mimetype)
    answer.headers["Content-Disposition"] = f'attachment; filename="{what}.{kind}"'
    return answer
