"""What an action can refuse, in words for people; the views turn each kind into its status."""

from __future__ import annotations

from typing import Any

from webapp.ground.errors import StorageUnavailableError

__all__ = [
    "ActionError",
    "ConflictError",
    "HistoryFullError",
    "IdempotencyError",
    "KeyEndedError",
    "LinkGoneError",
    "LinkUnknownError",
    "LogInRefusedError",
    "NotFoundError",
    "RefusedError",
    "StorageUnavailableError",
    "TooManyAttemptsError",
]


class ActionError(Exception):
    """Base of every refusal by an action."""


class LinkUnknownError(ActionError, LookupError):
    """No setup has this link, or this revision: 404."""


class LinkGoneError(ActionError, LookupError):
    """The setup was deleted, has expired, or its link was renewed: 410."""


class ConflictError(ActionError, RuntimeError):
    """Someone saved in the meantime: 409. `latest_revision` is what to look at before saving again.

    A correction gives that revision whole, as `latest`.
    """

    def __init__(self, message: str, latest_revision: int, latest: Any = None) -> None:
        super().__init__(message)
        self.latest_revision = latest_revision
        self.latest = latest


class HistoryFullError(ActionError, RuntimeError):
    """A setup has as many revisions as are kept: 409."""


class IdempotencyError(ActionError, ValueError):
    """An idempotency key came back with another body: 409."""


class KeyEndedError(LinkGoneError):
    """The setup that was made under an idempotency key is gone, or its link was renewed: 410."""


class NotFoundError(ActionError, LookupError):
    """The shop has no such thing, be it that there is none or that it is another shop's: 404."""


class RefusedError(ActionError, ValueError):
    """What was asked cannot be done; `field` names the input that the sentence belongs to, "" for the whole."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


class LogInRefusedError(ActionError, PermissionError):
    """Wrong login or password; which of the two is not said."""


class TooManyAttemptsError(ActionError, PermissionError):
    """Too many log-ins were tried for this login or from this address: 429. Wait `wait_s` seconds."""

    def __init__(self, message: str, wait_s: int) -> None:
        super().__init__(message)
        self.wait_s = wait_s
