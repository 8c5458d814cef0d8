"""The extensions, unbound: `create_app` binds them, views decorate with them."""

from __future__ import annotations

from collections.abc import Callable

from flask import current_app
from flask_limiter import Limiter
from flask_limiter.util import get_remote_address
from flask_wtf.csrf import CSRFProtect

from webapp.ground.database.engine import database

__all__ = ["csrf", "database", "limit_cards", "limit_creation", "limit_links", "limit_owner", "limiter"]

csrf = CSRFProtect()
limiter = Limiter(get_remote_address, headers_enabled=True)


def _setting(name: str) -> Callable[[], str]:
    return lambda: str(current_app.config[name])


#: Decorators for views, one budget each for a client's address; the budgets are settings.
limit_creation = limiter.shared_limit(_setting("RATE_CREATE"), scope="create", methods=["POST"])
limit_links = limiter.shared_limit(_setting("RATE_LINKS"), scope="links")
limit_cards = limiter.shared_limit(_setting("RATE_CARDS"), scope="cards")
limit_owner = limiter.shared_limit(_setting("RATE_OWNER"), scope="owner")
