"""The strings of the shop's token list."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.accounts.staff import TokenRecord
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.numbers import day


@dataclass(frozen=True, slots=True)
class TokenLine:
    """One token as the list shows it."""

    token_id: int
    name: str
    made: str
    used: str
    can_be_revoked: bool


def present_token(token: TokenRecord, *, may_revoke: bool) -> TokenLine:
    """Return the strings of one token, for somebody who may or may not revoke it."""
    made = _("Made on %(day)s by %(login)s.", day=day(token.created_at), login=token.login)
    if token.revoked_at is not None:
        used = _("Revoked on %(day)s.", day=day(token.revoked_at))
    elif token.last_used_at is None:
        used = _("Not used yet.")
    else:
        used = _("Last used on %(day)s.", day=day(token.last_used_at))
    return TokenLine(token.token_id, token.name, made, used, may_revoke and token.revoked_at is None)
