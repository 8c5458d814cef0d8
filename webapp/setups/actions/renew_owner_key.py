"""Gives a setup a new owner's key when the old one may have been seen."""

from __future__ import annotations

import hashlib
import hmac

from flask import current_app

from webapp.ground.action_errors import LinkUnknownError
from webapp.ground.database.engine import database
from webapp.ground.hashes import secret_hash
from webapp.ground.link_codes import code_of_bytes, normalise
from webapp.setups.actions.find_by_owner_key import find_by_owner_key, setup_of_owner_key
from webapp.setups.ended_links import note_owner_key
from webapp.setups.queries import setups as queries


def renew_owner_key(owner_key: str, page_key: str) -> str:
    """Return the setup's new owner's key; the old one is unknown from now on (raises as `find_by_owner_key`).

    The new key follows from the old one, the random `page_key` of the page that asked, and the server's secret: a page
    sent twice leads to the same key, and whoever knows the old key but not that page learns nothing.
    """
    new = _derive(owner_key, page_key)
    try:
        with database.write() as connection:
            record = setup_of_owner_key(connection, owner_key, hold=True)
            queries.replace_owner_key(connection, record, secret_hash(new))
        note_owner_key(secret_hash(normalise(owner_key)), secret_hash(new))
    except LinkUnknownError:
        find_by_owner_key(new)  # this page was sent before, or nobody has either key
    return new


def _derive(owner_key: str, page_key: str) -> str:
    secret = str(current_app.config["SECRET_KEY"]).encode()
    try:
        text = f"owner {normalise(owner_key)} {page_key}"
    except ValueError:
        text = ""  # no key at all: refused as unknown
    return code_of_bytes(hmac.new(secret, text.encode("utf-8", "surrogatepass"), hashlib.sha256).digest())
