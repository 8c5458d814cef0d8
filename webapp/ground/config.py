"""The settings: from the environment (prefix SETUP_CARD_), checked, refused in one clear sentence each."""

from __future__ import annotations

import difflib
import os
import re
from collections.abc import Mapping
from typing import Any, Final
from urllib.parse import urlsplit

from flask import Flask
from werkzeug.sansio.utils import host_is_trusted

from webapp.ground.data_folder import data_folder, database_path, file_url, own_file, secret_key
from webapp.ground.errors import PREFIX, ConfigError
from webapp.ground.local_hosts import is_local_host
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _

DEFAULTS: Final[dict[str, Any]] = {
    "DATA": None,  # folder of the embedded database and the secret key; None: the platform's user data folder
    "DATABASE_URL": None,  # None: SQLite in the data folder
    "DATABASE_WAIT_S": 5.0,  # how long a save waits for another writer
    "PUBLIC_BASE_URL": None,  # None: http://localhost:<port>
    "TAKE_HOME_URL": None,  # where this server's setups will live later, for printed cards; None: PUBLIC_BASE_URL
    "FIELD_NETWORK": False,  # riders go home from here: no card carries a code of this network (`serve --lan` sets it)
    "SECRET_KEY": None,  # None: made once and kept in the data folder
    "TRUSTED_HOSTS": None,  # host names that are answered; None: PUBLIC_BASE_URL's and this machine's if hosted
    "PROXY_HOPS": 0,  # how many proxies in front are ours
    "RETENTION_DAYS": 730,  # days after its last revision until a setup is purged
    "RATELIMIT_ENABLED": True,
    "REDIS_URL": None,  # what several processes share beside the database: the counts of requests; None: nothing
    "RATELIMIT_STORAGE_URI": None,  # another place for those counts; None: REDIS_URL, else this process's memory
    "RATE_CREATE": "120 per minute; 3000 per hour",  # a demo day's queue behind one address fits in
    "RATE_LINKS": "600 per minute",
    "RATE_CARDS": "240 per minute",
    "RATE_OWNER": "60 per minute",
    "LOG_REQUESTS": False,  # a line of JSON on stderr for every request
    "METRICS_TOKEN": None,  # opens /metrics to who sends it as Authorization: Bearer; None: nothing is counted
    "SESSION_HOURS": 14,  # h from a log-in until it has to be done again: a long working day
    "MAX_CONTENT_LENGTH": 65_536,  # bytes; the longest honest request is about a tenth of it
    "WTF_CSRF_TIME_LIMIT": 86_400,  # s; a form may stay open over a working day
    "SESSION_COOKIE_NAME": "setup_card_session",
    "SESSION_COOKIE_HTTPONLY": True,
    "SESSION_COOKIE_SAMESITE": "Lax",
}
#: Read by the extensions or the tests, fine in the environment too.
_ALSO_KNOWN: Final = frozenset({"WTF_CSRF_ENABLED"})
#: Settings that are texts, whatever else their value could be read as.
_TEXTS: Final = (
    "DATA",
    "DATABASE_URL",
    "PUBLIC_BASE_URL",
    "TAKE_HOME_URL",
    "SECRET_KEY",
    "REDIS_URL",
    "RATELIMIT_STORAGE_URI",
    "METRICS_TOKEN",
)
#: Scheme, host (a name or a bracketed number), port and path; nothing that a page or a card would have to quote.
_PLAIN_ADDRESS: Final = re.compile(r"https?://(\[[0-9a-f:.]+\]|[a-z0-9._-]+)(:\d+)?(/[a-z0-9._~%/-]*)?", re.IGNORECASE)
_REDIS: Final = ("redis://", "rediss://", "redis+unix://")
#: How long a request waits for Redis before it is counted in this process [s].
_REDIS_WAIT_S: Final = 0.5
_DATABASES: Final = (
    "sqlite:",
    "sqlite+pysqlite:",
    "postgresql:",
    "postgresql+psycopg:",
    "postgresql+psycopg2:",
)


def environment() -> dict[str, Any]:
    """Return the settings that the environment gives, read by Flask's own rules (values are tried as JSON).

    Texts are taken as they stand: a token of digits with an "e" among them would be read as a number.
    """
    reader = Flask(__name__)
    before = set(reader.config)
    untouched = dict(reader.config)
    reader.config.from_prefixed_env(PREFIX)
    given = {k: v for k, v in reader.config.items() if k not in before or v != untouched[k]}
    texts = {name: os.environ[f"{PREFIX}_{name}"] for name in _TEXTS if f"{PREFIX}_{name}" in os.environ}
    return {**given, **texts}


def unknown_settings(given: Mapping[str, Any]) -> list[str]:
    """Return one sentence for each name that no part of the tool reads: most likely a slip of the pen."""
    known = {*DEFAULTS, *_ALSO_KNOWN, *Flask.default_config}
    sentences = []
    for name in sorted(set(given) - known):
        near = difflib.get_close_matches(name, known, 1)
        hint = " " + _("Did you mean SETUP_CARD_%(near)s?", near=near[0]) if near else ""
        sentences.append(
            _("SETUP_CARD_%(name)s is not a setting of this tool. It is ignored.%(hint)s", name=name, hint=hint)
        )
    return sentences


def load(app: Flask, given: Mapping[str, Any] | None) -> None:
    """Fill `app.config` from the defaults and `given` (None: the environment), and check every value.

    Raises
    ------
    ConfigError
        For the first setting that is wrong.
    """
    app.config.from_mapping(DEFAULTS)
    app.config.from_mapping(environment() if given is None else given)
    config = app.config
    config["PUBLIC_BASE_URL"] = _base_url(config["PUBLIC_BASE_URL"] or "http://localhost:8000", "PUBLIC_BASE_URL")
    config["TAKE_HOME_URL"] = _take_home_url(config["TAKE_HOME_URL"])
    config["SESSION_COOKIE_SECURE"] = is_hosted(config)
    config["SESSION_COOKIE_NAME"] = host_cookie_name(config["SESSION_COOKIE_NAME"], config)
    for name in ("FIELD_NETWORK", "RATELIMIT_ENABLED", "LOG_REQUESTS", "TESTING", "WTF_CSRF_ENABLED"):
        _check_switch(config, name)
    config["PROXY_HOPS"] = int(_number(config, "PROXY_HOPS", 0, 10, whole=True))
    config["RETENTION_DAYS"] = _number(config, "RETENTION_DAYS", 1, 36_500)
    config["SESSION_HOURS"] = _number(config, "SESSION_HOURS", 0.25, 720)
    config["DATABASE_WAIT_S"] = _number(config, "DATABASE_WAIT_S", 0, 300)
    config["MAX_CONTENT_LENGTH"] = int(_number(config, "MAX_CONTENT_LENGTH", 1_024, 1e9, whole=True))
    config["METRICS_TOKEN"] = _metrics_token(config)
    config["TRUSTED_HOSTS"] = _trusted_hosts(config)
    for name in ("RATE_CREATE", "RATE_LINKS", "RATE_CARDS", "RATE_OWNER"):
        _check_rate(config, name)
    _settle_rate_storage(config)
    _settle_storage(config)


def is_hosted(config: Mapping[str, Any]) -> bool:
    """Return whether the tool is reached over https (hosted) rather than on a local plain http address."""
    return str(config["PUBLIC_BASE_URL"]).startswith("https://")


def host_cookie_name(name: str, config: Mapping[str, Any]) -> str:
    """Return a cookie's name; on https with the prefix by which browsers take it from this very host alone.

    The prefix (RFC 6265bis) goes with neither a domain nor a path of its own.
    """
    own = config.get("SESSION_COOKIE_DOMAIN") or config.get("SESSION_COOKIE_PATH")
    return f"__Host-{name}" if is_hosted(config) and not own and not name.startswith("__") else name


def _base_url(raw: Any, name: str) -> str:
    text = str(raw).strip().rstrip("/")
    example = _("Give the address that phones reach, such as https://cards.example.org.")
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError as error:
        raise ConfigError(
            _(
                "SETUP_CARD_%(name)s is not an address (%(error)s). %(example)s",
                name=name,
                error=error,
                example=example,
            )
        ) from error
    if parts.scheme not in ("http", "https") or not parts.hostname or port == 0 or not text.isascii():
        raise ConfigError(
            _(
                "SETUP_CARD_%(name)s must start with http:// or https:// and a host name. %(example)s",
                name=name,
                example=example,
            )
        )
    if not _PLAIN_ADDRESS.fullmatch(text) or parts.username is not None:
        raise ConfigError(_("SETUP_CARD_%(name)s holds more than an address. %(example)s", name=name, example=example))
    return f"{parts.scheme}://{parts.netloc.lower()}{parts.path}"


def _take_home_url(given: Any) -> str | None:
    """Return the address that cards lead to later. One that is dead at home would defeat what it is for."""
    if given is None or given == "":
        return None
    address = _base_url(given, "TAKE_HOME_URL")
    if is_local_host(urlsplit(address).hostname or ""):
        raise ConfigError(
            _(
                "SETUP_CARD_TAKE_HOME_URL must be an address that works anywhere, such as https://cards.example.org. "
                "Leave it out if there is none: cards are then printed without a QR code."
            )
        )
    return address


def _check_switch(config: Mapping[str, Any], name: str) -> None:
    if name in config and not isinstance(config[name], bool):
        raise ConfigError(
            _("SETUP_CARD_%(name)s must be true or false, not %(value)s.", name=name, value=repr(config[name]))
        )


def _number(config: Mapping[str, Any], name: str, low: float, high: float, *, whole: bool = False) -> float:
    value = config[name]
    good = isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high
    if not good or (whole and value != int(value)):
        kind = _("a whole number") if whole else _("a number")
        raise ConfigError(
            _(
                "SETUP_CARD_%(name)s must be %(kind)s from %(low)s to %(high)s, not %(value)s.",
                name=name,
                kind=kind,
                low=numbers.general(low),
                high=numbers.general(high),
                value=repr(value),
            )
        )
    return float(value)


def _trusted_hosts(config: Mapping[str, Any]) -> list[str] | None:
    given = config["TRUSTED_HOSTS"]
    public = urlsplit(config["PUBLIC_BASE_URL"]).hostname or ""
    if given is None:
        if not is_hosted(config):
            return None  # a laptop on a shop's own network is reached by more names than we can know
        if not _can_be_asked_for(public):
            raise ConfigError(
                _("SETUP_CARD_PUBLIC_BASE_URL must have a host name of letters, digits, points and hyphens.")
            )
        return [public, "localhost", "127.0.0.1"]
    names = given.split(",") if isinstance(given, str) else given
    if not isinstance(names, list | tuple) or not all(isinstance(n, str) and n.strip() for n in names) or not names:
        raise ConfigError(
            _("SETUP_CARD_TRUSTED_HOSTS must list host names, separated by commas, such as cards.example.org.")
        )
    names = [name.strip().rstrip(".").lower() for name in names]
    if not all(_can_be_asked_for(name) for name in names):
        raise ConfigError(
            _("SETUP_CARD_TRUSTED_HOSTS must list host names, separated by commas, such as cards.example.org.")
        )
    # Without the public address, naming a load balancer's would answer 400 to everyone else.
    return names if _can_be_asked_for(public, names) else [*names, public]


def _can_be_asked_for(host: str, names: list[str] | None = None) -> bool:
    """Return whether a request for `host` is answered where `names` (None: itself) are trusted."""
    try:
        return host_is_trusted(host.removeprefix("."), names or [host])
    except UnicodeError:
        return False


def _metrics_token(config: Mapping[str, Any]) -> str | None:
    given = config["METRICS_TOKEN"]
    if given is None or given == "":
        return None
    token = str(given)
    if len(token) < 16 or not re.fullmatch(r"[\x21-\x7e]+", token):
        raise ConfigError(
            _("SETUP_CARD_METRICS_TOKEN must be at least 16 random characters without spaces, or left out.")
        )
    return token


def _check_rate(config: Mapping[str, Any], name: str) -> None:
    from limits import parse_many

    try:
        parse_many(str(config[name]))
    except ValueError as error:
        raise ConfigError(
            _(
                "SETUP_CARD_%(name)s must be a rate such as '60 per minute; 600 per hour', not %(value)s.",
                name=name,
                value=repr(config[name]),
            )
        ) from error


def _settle_rate_storage(config: dict[str, Any]) -> None:
    """Settle where requests are counted, and check the address of the Redis that the queue of cards takes as well."""
    own, redis = str(config["RATELIMIT_STORAGE_URI"] or ""), str(config["REDIS_URL"] or "")
    if redis:
        _try_storage("REDIS_URL", redis if redis.startswith(_REDIS) else "")  # "" is refused
    uri = own or redis or "memory://"
    if uri == "memory://":
        config["RATELIMIT_STORAGE_URI"] = "bounded-memory://"
        return
    config["RATELIMIT_STORAGE_URI"] = uri
    if own:
        _try_storage("RATELIMIT_STORAGE_URI", own)
    if uri.startswith(_REDIS):
        config["RATELIMIT_STORAGE_OPTIONS"] = {"socket_connect_timeout": _REDIS_WAIT_S, "socket_timeout": _REDIS_WAIT_S}


def _try_storage(name: str, uri: str) -> None:
    from limits.errors import ConfigurationError
    from limits.storage import Storage, storage_from_string

    try:
        if not isinstance(storage_from_string(uri), Storage):
            raise ConfigurationError("it answers asynchronously")
    except Exception as error:  # each kind of store fails in its own way
        raise ConfigError(
            _(
                "SETUP_CARD_%(name)s cannot be used (%(why)s). Give an address such as "
                "redis://localhost:6379 and install its driver (in the folder of the tool: pip install '.[chain]'), "
                "or leave it out.",
                name=name,
                why=str(error).split(chr(10))[0],
            )
        ) from error


def _settle_storage(config: dict[str, Any]) -> None:
    """Settle the folder, the database's address and the secret key, which depend on each other."""
    for name in ("DATA", "DATABASE_URL"):
        config[name] = config[name] or None  # set but empty, as container files like to leave it, means not set
    if config["DATABASE_URL"] is not None and not str(config["DATABASE_URL"]).startswith(_DATABASES):
        raise ConfigError(
            _(
                "SETUP_CARD_DATABASE_URL must start with sqlite:/// or postgresql+psycopg://. Leave it "
                "out for the embedded database."
            )
        )
    if str(config["DATABASE_URL"]).startswith("sqlite"):
        own_file(str(config["DATABASE_URL"]))
    if config["DATABASE_URL"] is None or not config["SECRET_KEY"]:
        folder = data_folder(config["DATA"])
        config["DATA"] = str(folder)
        config["DATABASE_URL"] = config["DATABASE_URL"] or file_url(database_path(folder))
        config["SECRET_KEY"] = config["SECRET_KEY"] or secret_key(folder)
    else:
        config["DATA"] = None  # nothing is kept there, so nothing looks at it
    config["SECRET_KEY"] = str(config["SECRET_KEY"])
    if len(config["SECRET_KEY"]) < 16:
        raise ConfigError(_("SETUP_CARD_SECRET_KEY is too short. Use at least 16 random characters, or leave it out."))
