"""The extensions, unbound: `create_app` binds them, views decorate with them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from flask import Flask, current_app
from flask_limiter import Limiter
from flask_limiter.util import get_remote_address
from flask_wtf.csrf import CSRFProtect
from limits.strategies import FixedWindowRateLimiter

from webapp.ground.bounded_counts import BoundedCounts
from webapp.ground.client_network import client_network
from webapp.ground.database.engine import database
from webapp.ground.store_warning import StoreWarning

__all__ = [
    "checks_its_own_token",
    "csrf",
    "database",
    "limit_cards",
    "limit_creation",
    "limit_links",
    "limit_owner",
    "limiter",
    "needs_no_token",
]

View = TypeVar("View", bound=Callable[..., Any])

csrf = CSRFProtect()


class ForgivingLimiter(Limiter):
    """Counts in this process, and there bounded, while the shared store is away: pages answer on."""

    def init_app(self, app: Flask) -> None:
        """Bind to `app`, and be heard in its log."""
        self.logger.handlers = [one for one in self.logger.handlers if not isinstance(one, StoreWarning)]
        self.logger.addHandler(StoreWarning())
        super().init_app(app)
        self._fallback_limiter = FixedWindowRateLimiter(BoundedCounts())


limiter = ForgivingLimiter(
    lambda: client_network(get_remote_address()),
    headers_enabled=True,
    in_memory_fallback_enabled=True,
    key_prefix="setup-card",
)


def checks_its_own_token(view: View) -> View:
    """Mark a view whose form checks the token itself.

    The extension would refuse a page that was open for too long, with all that was typed on it. The form shows the
    page again instead, filled in as it was sent.
    """
    csrf.exempt(view)
    return view


def needs_no_token(view: View) -> View:
    """Mark a view that takes a form and changes nothing, so that no other site gains by sending it."""
    csrf.exempt(view)
    return view


def _setting(name: str) -> Callable[[], str]:
    return lambda: str(current_app.config[name])


#: Decorators for views, one budget each for a client's network; the budgets are settings.
limit_creation = limiter.shared_limit(_setting("RATE_CREATE"), scope="create", methods=["POST"])
limit_links = limiter.shared_limit(_setting("RATE_LINKS"), scope="links")
limit_cards = limiter.shared_limit(_setting("RATE_CARDS"), scope="cards")
limit_owner = limiter.shared_limit(_setting("RATE_OWNER"), scope="owner")
