"""Serves the app with waitress: finds a free port or says so, prints the address, purges once a day."""

from __future__ import annotations

import contextlib
import gc
import logging
import signal
import socket
import sys
import threading
import time
from typing import Any, Final

from flask import Flask

from setup_rules.types.units import registry
from webapp import create_app
from webapp.accounts.actions.open_shop import issue_opening_link
from webapp.cards.rendering import renderer
from webapp.commands.child_worker import ChildWorker
from webapp.commands.lan import find_network, lan_cautions, lan_settings, lan_words, own_address
from webapp.commands.purge_expired import DoubtfulClockError, purge_expired
from webapp.ground import urls
from webapp.ground.action_errors import StorageUnavailableError
from webapp.ground.config import DEFAULTS, environment, unknown_settings
from webapp.ground.database.engine import database
from webapp.ground.errors import ConfigError
from webapp.ground.text.i18n import gettext as _

_DAY_S: Final = 86_400.0
_EVERYWHERE: Final = ("", "0.0.0.0", "::")  # noqa: S104 - compared with, not bound to
EVERYWHERE: Final = "0.0.0.0"  # noqa: S104 - bound to where --lan asks for it
#: How long one thread may hold the interpreter while others wait [s]. Python's own 5 ms is what a page would wait at
#: every step of its answer while a card is laid out; a fifth of it costs the card nothing that shows.
SWITCH_S: Final = 0.001
_logger = logging.getLogger(__name__)


def serve(host: str, port: int, *, lan: bool = False) -> int:
    """Serve until interrupted (port 0: any free one) and return the exit code; `lan`: to this network's phones.

    Raises
    ------
    ConfigError
        When a setting is wrong or the port is taken.
    """
    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    logging.getLogger("weasyprint").setLevel(logging.ERROR)  # it warns of every style rule that is for screens only
    from webapp.commands.http_server import make_server  # other commands serve nothing

    host = EVERYWHERE if lan else host
    with _listen(host, port) as listener:
        port = listener.getsockname()[1]
        given = environment()
        found = find_network(port) if lan else None
        app = create_app(
            lan_settings(given, found)
            if found
            else {**given, "PUBLIC_BASE_URL": given.get("PUBLIC_BASE_URL") or default_address(host, port)}
        )
        cautions = lan_cautions(given, app, found) if found else _address_cautions(app, host, port)
        for sentence in (*unknown_settings(given), *cautions):
            _say(_("Caution: %(sentence)s", sentence=sentence), error=True)
        here = found.address if found else default_address(host, port)
        _say_how_to_open_a_shop(app, here)
        if found:
            _say(lan_words(found))
        _start_purging(app)
        renderer.start_warm_up(app)
        threading.Thread(target=registry, name="units", daemon=True).start()
        # What is loaded now stays for good: without it the collector would look through it again and again.
        gc.collect()
        gc.freeze()
        sys.setswitchinterval(SWITCH_S)
        worker = ChildWorker(app)
        try:
            worker.start()
            _run(make_server(app, listener), here)
        finally:
            worker.stop()
            with app.app_context(), contextlib.suppress(StorageUnavailableError):
                database.close()
    return 0


def _say_how_to_open_a_shop(app: Flask, here: str) -> None:
    """Print the one-time link that opens the first shop, as long as there is none."""
    with app.app_context():
        token = issue_opening_link()
    if token is not None:
        base = app.config["PUBLIC_BASE_URL"] or here
        _say(
            _(
                "To create your shop's account, open this link once within a day: %(base)s/shop/open/%(token)s",
                base=base.rstrip("/"),
                token=token,
            )
        )


def _run(server: Any, address: str) -> None:
    signal.signal(signal.SIGTERM, server.stop)
    _say(_("Serving on %(address)s/ - stop with Ctrl+C.", address=address))
    try:
        server.run()  # to be stopped, it lets the requests under way finish
    finally:
        server.close()


def default_address(host: str, port: int) -> str:
    """Return the public address to assume when none is set."""
    name = "localhost" if host in (*_EVERYWHERE, "127.0.0.1", "::1") else f"[{host}]" if ":" in host else host
    return f"http://{name}:{port}"


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    if sys.platform != "win32":
        # Start again at once after a stop; on Windows the same option would share a port that is in use.
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(128)
    except (OSError, OverflowError) as error:
        listener.close()
        raise ConfigError(
            _(
                "Cannot listen on %(host)s port %(port)s (%(why)s). Is the tool running already? Choose "
                "another port with --port, or --port 0 for any free one.",
                host=host,
                port=port,
                why=getattr(error, "strerror", None) or error,
            )
        ) from error
    return listener


def _address_cautions(app: Flask, host: str, port: int) -> list[str]:
    cautions = []
    with app.app_context():
        base, local = urls.base_url(), urls.is_local_card()
    if local:
        cautions.append(
            _(
                "Printed cards lead to %(base)s, which works on this machine or network only. Set "
                "SETUP_CARD_PUBLIC_BASE_URL to the address that riders' phones reach.",
                base=base,
            )
        )
    if host in _EVERYWHERE and "localhost" in base and (address := own_address()):
        cautions.append(
            _(
                "On this network that may be SETUP_CARD_PUBLIC_BASE_URL=http://%(address)s:%(port)s",
                address=address,
                port=port,
            )
        )
    if app.config["RATELIMIT_ENABLED"] is False and DEFAULTS["RATELIMIT_ENABLED"]:
        cautions.append(_("SETUP_CARD_RATELIMIT_ENABLED is false: requests are not limited."))
    return cautions


def _start_purging(app: Flask) -> None:
    """Erase expired setups now and once a day, beside the serving."""

    def purge() -> None:
        while True:
            try:
                with app.app_context():
                    purge_expired()
            except StorageUnavailableError as error:
                _logger.warning("Expired setups could not be deleted (%s). Next try in a day.", error)
            except DoubtfulClockError as error:
                _logger.warning("%s", error)
            time.sleep(_DAY_S)

    threading.Thread(target=purge, name="purge", daemon=True).start()


def _say(text: str, *, error: bool = False) -> None:
    stream = sys.stderr if error else sys.stdout
    stream.write(text + "\n")
    stream.flush()
