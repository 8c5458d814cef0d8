"""The command line: `setup-card serve` and the tasks beside it."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from webapp.ground.errors import PREFIX, ConfigError

_SETTINGS = f"""Settings come from the environment:
  {PREFIX}_DATA               folder of the embedded database and the secret key
  {PREFIX}_PUBLIC_BASE_URL    address that the printed cards lead to, such as https://cards.example.org
  {PREFIX}_DATABASE_URL       another database, such as postgresql+psycopg://user@host/name
  {PREFIX}_SECRET_KEY         signs cookies; made and kept in the data folder when not set
  {PREFIX}_TRUSTED_HOSTS      host names that are answered, separated by commas
  {PREFIX}_PROXY_HOPS         how many proxies in front are yours (default 0)
  {PREFIX}_RETENTION_DAYS     days after its last save until a setup is erased (default 730)
  {PREFIX}_RATELIMIT_ENABLED  false lifts the limits on requests (RATE_CREATE, RATE_LINKS, RATE_CARDS, RATE_OWNER)
  {PREFIX}_RATELIMIT_STORAGE_URI  where the limits are counted (default memory://)
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 1 something is missing, 2 wrong settings or usage."""
    chosen = _parser().parse_args(arguments)
    try:
        return _run(chosen)
    except ConfigError as error:
        sys.stderr.write(f"setup-card: {error}\n")
        return 2
    except KeyboardInterrupt:
        return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="setup-card",
        description=(
            "Calculates start pressure, target sag and rebound for bicycle suspension and prints them on a card."
        ),
        epilog=_SETTINGS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    tasks = parser.add_subparsers(dest="task", metavar="TASK", required=True)
    serve = tasks.add_parser("serve", help="start the web server for pages, cards and the JSON interface")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on (default: this machine only)")
    serve.add_argument("--port", type=_port, default=8000, help="port to listen on, 0 for any free one (default 8000)")
    tasks.add_parser("doctor", help="check the installation and show how to fix problems")
    tasks.add_parser("demo", help="save the setups of an invented shop and print their links")
    tasks.add_parser("purge", help="delete expired setups")
    shop = tasks.add_parser("shop", help="create a shop and its owner's account; asks for the password")
    shop.add_argument("name", help="name of the shop")
    shop.add_argument("login", help="login of its owner")
    staff = tasks.add_parser("staff", help="add an account to a shop; asks for the password")
    staff.add_argument("shop", help="name of the shop")
    staff.add_argument("login", help="login of the new account")
    staff.add_argument(
        "--role", choices=("staff", "owner"), default="staff", help="role of the account (default: staff)"
    )
    return parser


def _port(text: str) -> int:
    try:
        port = int(text)
    except ValueError:
        port = -1
    if not 0 <= port <= 65_535:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port. Give a whole number from 0 to 65535")
    return port


def _run(chosen: argparse.Namespace) -> int:
    """Run the chosen task; each is imported only when it is the one, so that a start loads no more than it needs."""
    if chosen.task == "serve":
        from webapp.commands.serve import serve

        return serve(chosen.host, chosen.port)
    if chosen.task == "doctor":
        from webapp.commands.doctor import examine

        return examine()
    if chosen.task == "demo":
        from webapp.commands.demo import fill

        return fill()
    if chosen.task in ("shop", "staff"):
        from webapp.commands.accounts import add_staff, open_new_shop

        if chosen.task == "shop":
            return open_new_shop(chosen.name, chosen.login)
        return add_staff(chosen.shop, chosen.login, chosen.role)
    from webapp.commands.purge import purge

    return purge()
