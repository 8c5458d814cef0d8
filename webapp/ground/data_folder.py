"""The folder of the embedded database and the secret key, private to the user who runs the tool."""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path
from typing import Any

from webapp.ground.errors import ConfigError
from webapp.ground.text.i18n import gettext as _


def data_folder(given: Any) -> Path:
    """Return the data folder, made if it is not there yet; `given` None means the platform's own place for it.

    Raises
    ------
    ConfigError
        When it cannot be made or written to.
    """
    hint = _("Set SETUP_CARD_DATA to a folder that you can write to.")
    folder = Path(str(given)).absolute() if given is not None else _platform_folder()
    try:
        if given is not None:
            folder = Path(str(given)).expanduser().absolute()
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (OSError, RuntimeError) as error:  # RuntimeError: the "~name" of a user that is not there
        raise ConfigError(
            _(
                "The data folder %(folder)s cannot be created (%(why)s). %(hint)s",
                folder=folder,
                why=getattr(error, "strerror", error),
                hint=hint,
            )
        ) from error
    if not os.access(folder, os.W_OK | os.X_OK):
        raise ConfigError(_("The data folder %(folder)s cannot be written to. %(hint)s", folder=folder, hint=hint))
    return folder


def _platform_folder() -> Path:
    from platformdirs import user_data_path

    return user_data_path("setup-card", appauthor=False)


def database_path(folder: Path) -> Path:
    """Return the embedded database's file, made empty and private at the first start.

    SQLite gives its side files the same rights.

    Raises
    ------
    ConfigError
        When it cannot be made.
    """
    path = folder / "setups.db"
    try:
        os.close(os.open(path, os.O_RDONLY | os.O_CREAT, 0o600))
    except OSError as error:
        raise ConfigError(
            _(
                "The database %(path)s cannot be opened (%(why)s). Check that the disk is not full, and fix the file's "
                "permissions.",
                path=path,
                why=error.strerror,
            )
        ) from error
    return path


def own_file(url: str) -> None:
    """Make the SQLite file of an address readable by its user only, before SQLite makes it for all.

    Raises
    ------
    ConfigError
        When the address names no file: what lies in memory is gone with the process.
    """
    from sqlalchemy import make_url

    path = make_url(url).database or ""
    if path in ("", ":memory:"):
        raise ConfigError(_("SETUP_CARD_DATABASE_URL must name a file, such as sqlite:////srv/setup-card/setups.db."))
    if not path.startswith("file:"):
        with contextlib.suppress(OSError):  # said with more words when it is opened
            os.close(os.open(path, os.O_RDONLY | os.O_CREAT, 0o600))


def file_url(path: Path) -> str:
    """Return the address of an SQLite file: a "?" or "%" in its path would lead to another file."""
    from sqlalchemy import URL

    return URL.create("sqlite", database=str(path)).render_as_string()


def secret_key(folder: Path) -> str:
    """Return the key that signs cookies, made at the first start and readable by its user only.

    Raises
    ------
    ConfigError
        When the key's file cannot be read or written.
    """
    path = folder / "secret_key"
    try:
        _write_once(path, secrets.token_urlsafe(48))
        key = path.read_text("ascii").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise ConfigError(
            _(
                "The secret key %(path)s cannot be read or written (%(error)s). Check that the disk is not full, fix "
                "the file's permissions, or remove it.",
                path=path,
                error=error,
            )
        ) from error
    if len(key) < 16:
        raise ConfigError(
            _("The secret key %(path)s is damaged. Remove the file; a new one is made at the next start.", path=path)
        )
    return key


def _write_once(path: Path, text: str) -> None:
    """Write a private file in one step, unless it exists: of two processes starting together one wins."""
    if path.exists():
        return
    draft = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        os.write(handle, text.encode("ascii"))
        os.fsync(handle)
    except OSError:
        draft.unlink(missing_ok=True)
        raise
    finally:
        os.close(handle)
    try:
        os.link(draft, path)
    except FileExistsError:
        pass
    except OSError:
        os.replace(draft, path)  # a file system without hard links
        return
    draft.unlink()
