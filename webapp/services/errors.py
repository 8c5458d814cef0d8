"""What a service can refuse, in words for people; the views turn each kind into its status."""

from __future__ import annotations

from webapp.storage.database import StorageUnavailableError

__all__ = [
    "ConflictError",
    "IdempotencyError",
    "LinkGoneError",
    "LinkUnknownError",
    "ServiceError",
    "StorageUnavailableError",
]


class ServiceError(Exception):
    """Base of every refusal by a service."""


class LinkUnknownError(ServiceError, LookupError):
    """No setup has this link, or this revision: 404."""


class LinkGoneError(ServiceError, LookupError):
    """The setup was deleted, has expired, or its link was renewed: 410."""


class ConflictError(ServiceError, RuntimeError):
    """Somebody saved in the meantime: 409. `latest_revision` is what to look at before saving again."""

    def __init__(self, message: str, latest_revision: int) -> None:
        super().__init__(message)
        self.latest_revision = latest_revision


class IdempotencyError(ServiceError, ValueError):
    """An idempotency key came back with another body: 409."""
