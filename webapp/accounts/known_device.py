"""The mark of a browser in which an account was logged in before: what others guess does not keep it out.

A signed cookie, good for one login. It lets nobody in: it only has its attempts counted apart from everybody else's.
"""

from __future__ import annotations

import secrets
from typing import Final

from flask import Response, current_app, request
from itsdangerous import BadData, URLSafeTimedSerializer

from webapp.ground.config import host_cookie_name, is_hosted

_NAME: Final = "setup_card_device"
#: How long a browser is remembered after a log-in [s]: half a year.
_KEPT_S: Final = 180 * 86_400


def remember_device(answer: Response, login: str) -> Response:
    """Mark the browser that gets `answer` as one of this login's, and return the answer."""
    answer.set_cookie(
        host_cookie_name(_NAME, current_app.config),
        _signer().dumps([login, secrets.token_urlsafe(16)]),
        max_age=_KEPT_S,
        secure=is_hosted(current_app.config),
        httponly=True,
        samesite="Lax",
    )
    return answer


def known_device(login: str) -> str | None:
    """Return the name of the browser that asks, None where this login was never let in with it."""
    text = request.cookies.get(host_cookie_name(_NAME, current_app.config), "")[:500]
    try:
        held = _signer().loads(text, max_age=_KEPT_S)
    except BadData:
        return None
    return str(held[1]) if isinstance(held, list) and len(held) == 2 and held[0] == login else None


def _signer() -> URLSafeTimedSerializer:
    return URLSafeTimedSerializer(current_app.config["SECRET_KEY"], salt="known device")
