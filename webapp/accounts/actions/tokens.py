"""Tokens for a shop's tools: made and shown once, listed, revoked, and held against what a request brings."""

from __future__ import annotations

import contextlib
from datetime import UTC, datetime, timedelta
from typing import Final

from webapp.accounts import queries as shop_queries
from webapp.accounts.queries import TokenRecord
from webapp.accounts.staff import StaffMember, staff_member
from webapp.ground.action_errors import NotFoundError, RefusedError, StorageUnavailableError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.hashes import secret_hash
from webapp.ground.link_codes import CODE_LENGTH, new_code
from webapp.ground.text.free_text import text_problem
from webapp.ground.text.i18n import gettext as _

NAME_LONGEST: Final = 60
#: So many tokens of a shop are kept. A revoked one stays in the list, for when it was used last, until it is full.
MOST_TOKENS: Final = 200
#: When a token was used last is written down no more often than this.
_NOTED_EVERY: Final = timedelta(minutes=1)


def list_tokens(shop_id: int) -> tuple[TokenRecord, ...]:
    """Return every token of a shop without its secret, the newest first."""
    with database.read() as connection:
        return shop_queries.tokens_of_shop(connection, shop_id)


def create_token(member: StaffMember, name_text: str) -> str:
    """Make a token in a staff member's name and return it: only its hash is kept.

    Raises
    ------
    RefusedError
        When the name cannot be used, the shop has an open key of this name (the same press, sent twice, is one),
        or as many open keys as are kept.
    """
    name = name_text.strip()
    if not name or text_problem(name, NAME_LONGEST):
        raise RefusedError(text_problem(name, NAME_LONGEST) or _("Give the tool a name."), "name")
    token = new_code()
    with database.write() as connection:
        shop_queries.hold_shop(connection, member.shop_id)
        _make_room(connection, member.shop_id)
        if shop_queries.open_token_named(connection, member.shop_id, name):
            raise RefusedError(
                _(
                    "There is an access key called %(name)s already. If it was not copied when it was shown, revoke "
                    "it and make it again. Otherwise choose another name.",
                    name=name,
                ),
                "name",
            )
        shop_queries.insert_token(
            connection,
            shop_id=member.shop_id,
            staff_id=member.staff_id,
            name=name,
            token_hash=secret_hash(token),
            now=datetime.now(UTC),
        )
    return token


def _make_room(connection: Connection, shop_id: int) -> None:
    """Let the first revoked token go where the list is full; refuse where all of them are open."""
    if shop_queries.count_tokens(connection, shop_id) < MOST_TOKENS:
        return
    shop_queries.forget_revoked_token(connection, shop_id)
    if shop_queries.count_tokens(connection, shop_id) >= MOST_TOKENS:
        raise RefusedError(
            _("This shop has %(most)d open access keys. Revoke one that no tool uses.", most=MOST_TOKENS), "name"
        )


def create_token_of_owner(shop_id: int, name: str) -> str:
    """Make a token in the name of a shop's first owner (raises as `create_token`)."""
    return create_token(first_owner(shop_id), name)


def first_owner(shop_id: int) -> StaffMember:
    """Return a shop's first owner, for tasks of the command line (raises `RefusedError` where no account is open)."""
    with database.read() as connection:
        rows = shop_queries.staff_of_shop(connection, shop_id)
    owner = next((row for row in rows if row.role == "owner" and row.disabled_at is None), None)
    if owner is None:
        raise RefusedError(_("This shop has no open owner's account."), "name")
    return staff_member(owner)


def revoke_token(member: StaffMember, token_id: int) -> None:
    """End a token at once: an owner any of the shop's, others those that they made.

    Raises
    ------
    NotFoundError
        When the shop has no such token.
    RefusedError
        When somebody else made it.
    """
    with database.write() as connection:
        found = shop_queries.token_by_id(connection, member.shop_id, token_id) if token_id < 2**31 else None
        if found is None:
            raise NotFoundError(_("This shop does not have this access key."))
        if not may_revoke(member, found):
            message = _("Only %(login)s or an owner of the shop can revoke this access key.", login=found.login)
            raise RefusedError(message)
        shop_queries.revoke_token(connection, member.shop_id, token_id, datetime.now(UTC))


def may_revoke(member: StaffMember, token: TokenRecord) -> bool:
    """Return whether somebody of the shop may end a token."""
    return member.is_owner or token.staff_id == member.staff_id


def find_token_holder(token: str) -> StaffMember | None:
    """Return in whose name a token speaks, None for one that is unknown or revoked; its use is written down."""
    if len(token) != CODE_LENGTH:
        return None
    with database.read() as connection:
        found = shop_queries.token_by_hash(connection, secret_hash(token))
        row = None if found is None else _holder(connection, found)
    if found is None or row is None:
        return None
    now = datetime.now(UTC)
    if found.last_used_at is None or found.last_used_at + _NOTED_EVERY <= now:
        # A busy database is no reason to refuse who only reads.
        with contextlib.suppress(StorageUnavailableError), database.write() as connection:
            shop_queries.note_token_use(connection, found.shop_id, found.token_id, now)
    return row


def _holder(connection: Connection, found: TokenRecord) -> StaffMember | None:
    row = shop_queries.staff_by_id(connection, found.staff_id)
    return None if found.revoked_at is not None or row is None else staff_member(row)
