"""A write that names another shop's row changes nothing, also where the action before it forgot to look."""

from __future__ import annotations

from datetime import UTC, datetime

from flask import Flask

from webapp.accounts import queries
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.actions.tokens import create_token
from webapp.ground.database.engine import database

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop


def test_statements_on_accounts_and_access_keys_reach_no_other_shop(app: Flask) -> None:
    now = datetime.now(UTC)
    with app.app_context():
        mine, theirs = (open_shop(name, login, PASSWORD) for name, login in (("Lantern", "mira"), ("Harbour", "ines")))
        create_token(theirs, "till")
        with database.read() as connection:
            before = queries.staff_by_id(connection, theirs.staff_id)
            token = queries.tokens_of_shop(connection, theirs.shop_id)[0]
        with database.write() as connection:
            queries.set_password(connection, mine.shop_id, theirs.staff_id, "x")
            queries.set_role(connection, mine.shop_id, theirs.staff_id, "staff")
            queries.set_disabled(connection, mine.shop_id, theirs.staff_id, now)
            queries.note_token_use(connection, mine.shop_id, token.token_id, now)
        with database.read() as connection:
            assert queries.staff_by_id(connection, theirs.staff_id) == before
            assert queries.tokens_of_shop(connection, theirs.shop_id) == (token,)
        with database.write() as connection:
            queries.set_role(connection, theirs.shop_id, theirs.staff_id, "staff")
        with database.read() as connection:
            assert queries.staff_by_id(connection, theirs.staff_id) != before
