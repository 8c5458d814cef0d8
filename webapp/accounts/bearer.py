"""Who calls the JSON interface with a token of a shop: `Authorization: Bearer …`. No cookie is looked at."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any, TypeVar, cast

from flask import g, request
from flask.typing import ResponseReturnValue

from webapp.accounts.actions.tokens import find_token_holder
from webapp.accounts.staff import StaffMember
from webapp.ground.error_pages import error_answer
from webapp.ground.text.i18n import gettext as _

View = TypeVar("View", bound=Callable[..., ResponseReturnValue])


def needs_token(view: View) -> View:
    """Let only a shop's own tools use a view: 401 without a token, 403 where the account of its maker is closed."""

    @functools.wraps(view)
    def guard(*args: Any, **kwargs: Any) -> ResponseReturnValue:
        asked = request.authorization
        member = find_token_holder(asked.token) if asked and asked.type == "bearer" and asked.token else None
        if member is None:
            refused = error_answer(
                401, _("Send an access key of your shop: Authorization: Bearer KEY."), "Authorization"
            )
            refused.headers["WWW-Authenticate"] = "Bearer"
            return refused
        if member.disabled:
            return error_answer(403, _("The account that made this access key is closed."), "Authorization")
        g.token_holder = member
        return view(*args, **kwargs)

    guard.access = "token"  # type: ignore[attr-defined]  # read by the test that walks over every route
    return cast("View", guard)


def token_holder() -> StaffMember:
    """Return in whose name the token of this request speaks, inside a view that `needs_token` guards."""
    member: StaffMember = g.token_holder
    return member
