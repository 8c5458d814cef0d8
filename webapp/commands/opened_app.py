"""The app for one task: its settings from the environment, its database let go of at the end."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from flask import Flask

from webapp import create_app
from webapp.ground.database.engine import database
from webapp.ground.errors import StorageUnavailableError


@contextlib.contextmanager
def opened_app() -> Iterator[Flask]:
    """Give the app in its context (raises as `create_app`)."""
    with create_app().app_context() as context:
        try:
            yield context.app
        finally:
            with contextlib.suppress(StorageUnavailableError):
                database.close()
