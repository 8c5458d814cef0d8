"""The shop's records and setups as files for its own tables: the owner's alone."""

from __future__ import annotations

from flask import Blueprint, Response, abort, stream_with_context
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_owner, signed_in
from webapp.workshop.actions.export_lists import RECORD_COLUMNS, SETUP_COLUMNS, export_records, export_setups
from webapp.workshop.pages.list_files import write_csv, write_json

blueprint = Blueprint("shop_export", __name__, url_prefix="/shop/export")
_LISTS = {"records": (RECORD_COLUMNS, export_records), "setups": (SETUP_COLUMNS, export_setups)}
_FILES = {"csv": (write_csv, "text/csv"), "json": (write_json, "application/json")}


@blueprint.get("/<what>.<kind>")
@needs_owner
def export(what: str, kind: str) -> ResponseReturnValue:
    """Give a list as a file, row by row as it is read."""
    if what not in _LISTS or kind not in _FILES:
        abort(404)
    (columns, rows), (write, mimetype) = _LISTS[what], _FILES[kind]
    answer = Response(stream_with_context(write(columns, rows(signed_in().shop_id))), mimetype=mimetype)
    answer.headers["Content-Disposition"] = f'attachment; filename="{what}.{kind}"'
    return answer
