"""One function for each thing a user can do."""

from webapp.services.create_setup import create_setup
from webapp.services.errors import (
    ConflictError,
    IdempotencyError,
    LinkGoneError,
    LinkUnknownError,
    ServiceError,
)
from webapp.services.find_setup import find_setup
from webapp.services.saved import CreatedSetup, SavedSetup

__all__ = [
    "ConflictError",
    "CreatedSetup",
    "IdempotencyError",
    "LinkGoneError",
    "LinkUnknownError",
    "SavedSetup",
    "ServiceError",
    "create_setup",
    "find_setup",
]
