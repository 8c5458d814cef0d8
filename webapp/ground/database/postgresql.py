"""PostgreSQL: nobody waits for ever, readers see one moment, a fork shares no connection, and what its codes mean."""

from __future__ import annotations

import math
import os
import weakref
from typing import Any, Final

from sqlalchemy import Engine, create_engine, event, make_url
from sqlalchemy.exc import DBAPIError

from webapp.ground.errors import ConfigError, StorageDamagedError, StorageFullError, StorageUnavailableError
from webapp.ground.text.i18n import gettext as _

#: How a transaction that only reads is begun: all its statements see the moment of the first. It is not declared as
#: reading: after one that was, the driver declares the others as writing, and a standby refuses those by another code.
READING: Final = {"isolation_level": "REPEATABLE READ"}
#: Connections kept for a process's threads, and those that may be added for a moment. PostgreSQL's own limit is 100.
_KEPT, _MORE = 8, 8
#: The longest that one statement may take, and a transaction whose process says nothing more may stay open [ms].
_STATEMENT_MS, _SILENT_MS = 60_000, 60_000
#: When a machine counts as gone that does not acknowledge what it is sent [ms], or that is silent [s]: without these a
#: page waits a quarter of an hour for a database whose machine lost its power. A slow answer is no silence.
_GONE: Final = {"tcp_user_timeout": 15_000, "keepalives_idle": 15, "keepalives_interval": 5, "keepalives_count": 3}
#: What it says by an SQLSTATE that is no "not now" by its class: disk full, damaged, a standby that only
#: reads, a transaction that was silent for too long.
_KINDS: Final = {
    "53100": StorageFullError,
    "XX001": StorageDamagedError,
    "XX002": StorageDamagedError,
    "25006": StorageUnavailableError,
    "25P03": StorageUnavailableError,
}


def make_postgresql(url: str, wait_s: float, options: dict[str, Any]) -> Engine:
    """Return an engine for a PostgreSQL database that waits at most `wait_s` for a lock or a free connection."""
    try:
        address = make_url(url)
    except ValueError:  # its words would quote a part of the password
        raise ConfigError(
            _(
                "SETUP_CARD_DATABASE_URL is not an address. In a password, write each sign other than letters and "
                "digits as its code, such as %(code)s for @.",
                code="%40",
            )
        ) from None
    waits = {"connect_timeout": max(2, math.ceil(wait_s)), **_GONE}
    own = {name: str(value) for name, value in waits.items() if name not in address.query}
    pool = {"pool_pre_ping": True, "pool_size": _KEPT, "max_overflow": _MORE, "pool_timeout": max(wait_s, 0.05)}
    engine = create_engine(address.update_query_dict(own), **pool, **options)

    def bound_waits(connection: Any, _record: Any) -> None:
        before, connection.autocommit = connection.autocommit, True
        with connection.cursor() as cursor:
            for name, value_ms in (
                ("lock_timeout", max(1, round(1_000 * wait_s))),
                ("statement_timeout", _STATEMENT_MS),
                ("idle_in_transaction_session_timeout", _SILENT_MS),
            ):
                cursor.execute(f"SET {name} = {value_ms}")
        connection.autocommit = before

    event.listen(engine, "connect", bound_waits)
    event.listen(engine, "handle_error", _leave_values_out)
    _renew_in_children(engine)
    return engine


def _renew_in_children(engine: Engine) -> None:
    """Let a forked process open connections of its own: two that write on one would mix up their answers."""
    if hasattr(os, "register_at_fork"):
        find = weakref.ref(engine)

        def renew() -> None:
            if (inherited := find()) is not None:
                inherited.dispose(close=False)

        os.register_at_fork(after_in_child=renew)


def _leave_values_out(context: Any) -> None:
    """Take the row out of an error's text: PostgreSQL quotes it below the sentence, and it holds the rider's weight."""
    primary = getattr(getattr(context.original_exception, "diag", None), "message_primary", None)
    if primary:
        whole = str(context.original_exception)
        context.original_exception.args = (primary,)
        told = context.sqlalchemy_exception
        if told is not None:
            told.args = tuple(str(one).replace(whole, primary) for one in told.args)


def postgresql_kind(error: DBAPIError) -> type[StorageUnavailableError] | None:
    """Return which of our errors PostgreSQL's code means, None where it says nothing so plain."""
    return _KINDS.get(getattr(error.orig, "sqlstate", None) or "")
