"""Why the tool does not start, and what can go wrong with its storage while it runs."""

from __future__ import annotations

from typing import Final

#: What every setting's name begins with in the environment.
PREFIX: Final = "SETUP_CARD"


class ConfigError(ValueError):
    """A setting is wrong; the message names it, says why, and what to do."""


class DatabaseDamagedError(ConfigError):
    """The database's file cannot be read as one; the message says what to do."""


class BackupError(ValueError):
    """A backup cannot be made or used; the message says why. Nothing was changed."""


class StorageError(Exception):
    """Base of what can go wrong with the database while it is running."""


class StorageUnavailableError(StorageError, OSError):
    """The database is locked, full, read-only or away: nothing was saved, and trying again may help."""


class StorageFullError(StorageUnavailableError):
    """The disk is full or nearly so: nothing more can be saved until somebody makes room."""


class StorageDamagedError(StorageUnavailableError):
    """The database's file is damaged: only its backup helps."""
