"""The command line: `setup-card serve` and the tasks beside it."""

from __future__ import annotations

import argparse
import contextlib
import errno
import gc
import io
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from webapp.ground.errors import PREFIX, BackupError, ConfigError, DatabaseDamagedError, StorageUnavailableError
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l

#: The settings that people set, and what each is.
_SETTINGS: Final = (
    ("DATA", _l("folder of the embedded database and the secret key")),
    ("PUBLIC_BASE_URL", _l("address that the printed cards lead to, such as https://cards.example.org")),
    ("TAKE_HOME_URL", _l("address where these setups will live later, for the codes on printed cards")),
    ("DATABASE_URL", _l("another database, such as postgresql+psycopg://user@host/name")),
    ("SECRET_KEY", _l("signs cookies; made and kept in the data folder when not set")),
    ("TRUSTED_HOSTS", _l("host names that are answered, separated by commas")),
    ("PROXY_HOPS", _l("how many proxies in front are yours (default 0)")),
    ("RETENTION_DAYS", _l("days after its last save until a setup is deleted (default 730)")),
    ("RATELIMIT_ENABLED", _l("false lifts the limits on requests (RATE_CREATE, RATE_LINKS, RATE_CARDS, RATE_OWNER)")),
    ("REDIS_URL", _l("where several processes count requests together, such as redis://localhost:6379")),
    ("RATELIMIT_STORAGE_URI", _l("another place for these counts (default: REDIS_URL, else memory)")),
    ("LOG_REQUESTS", _l("true writes a line of JSON for each request, without codes, weights or whole addresses")),
    ("METRICS_TOKEN", _l("opens /metrics (Prometheus) to who sends it as Authorization: Bearer; off when not set")),
)


#: What is written down of bikes stays for this long [hours].
_HOURS_MOST: Final = 744
#: How many objects are made before the collector looks for rubbish, while hundreds of modules load of which none is.
_LOADING: Final = 50_000
#: The exit code of a task that Ctrl+C stopped, as shells count it: a copy that was not made must not look made.
_STOPPED: Final = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    0 done, 1 something is missing, 2 wrong settings or usage, 130 stopped by Ctrl+C before it was done.
    """
    if not _can_write():
        return 1
    usual = gc.get_threshold()
    gc.set_threshold(_LOADING, *usual[1:])
    try:
        try:
            return _run(_parser().parse_args(arguments))
        finally:
            sys.stdout.flush()  # here, where a reader that is gone can be told from a fault
    except BrokenPipeError:
        _write_to_nobody()
        return 1
    except (BackupError, ConfigError) as error:
        sys.stderr.write(f"setup-card: {error}\n")
        return 1 if isinstance(error, BackupError | DatabaseDamagedError) else 2
    except StorageUnavailableError as error:
        told = _(
            "The database cannot be used now (%(why)s). Nothing was saved. Check that the disk is not full.", why=error
        )
        sys.stderr.write(f"setup-card: {told}\n")
        return 1
    except OSError as error:
        if error.errno not in (errno.ENOSPC, errno.EIO) or error.filename is not None:
            raise
        _write_to_nobody()
        told = _("the output cannot be written (%(why)s).", why=error.strerror)
        sys.stderr.write(f"setup-card: {told}\n")
        return 1
    except KeyboardInterrupt:
        return _STOPPED
    finally:
        gc.set_threshold(*usual)


def _can_write() -> bool:
    """Return whether there is an output; a sign that its terminal does not have is shown as "?"."""
    if sys.stdout is None:
        if sys.stderr is not None:
            told = _("Standard output is closed. Nothing was done. Send it to a file.")
            sys.stderr.write(f"setup-card: {told}\n")
        return False
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    return True


def _write_to_nobody() -> None:
    """Let what is still to be written to a reader that is gone, such as `head`, go nowhere without a complaint."""
    with contextlib.suppress(OSError), open(os.devnull, "wb") as nowhere:
        os.dup2(nowhere.fileno(), sys.stdout.fileno())


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="setup-card",
        description=_(
            "Calculates start pressure, target sag and rebound for bicycle suspension and prints them on a card."
        ),
        epilog=_list_settings(),
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    tasks = parser.add_subparsers(dest="task", metavar="TASK", required=True)
    serve = tasks.add_parser("serve", help=_("start the web server for pages, cards and the JSON interface"))
    serve.add_argument("--host", default="127.0.0.1", help=_("address to listen on (default: this machine only)"))
    serve.add_argument(
        "--port", type=_port, default=8000, help=_("port to listen on, 0 for any free one (default 8000)")
    )
    serve.add_argument(
        "--lan",
        action="store_true",
        help=_("serve this network's phones over plain http and show the address as a code"),
    )
    worker = tasks.add_parser("worker", help=_("make cards by the stack, beside servers that gunicorn runs"))
    worker.add_argument("--until-closed", action="store_true", help=argparse.SUPPRESS)
    _add_cards(tasks)
    tasks.add_parser("doctor", help=_("check the installation and show how to fix problems"))
    tasks.add_parser("demo", help=_("save the setups of an invented shop and print their links"))
    expired = tasks.add_parser("purge", help=_("delete expired setups"))
    expired.add_argument(
        "--anyway", action="store_true", help=_("also where so many have expired that the clock may be wrong")
    )
    _add_copies(tasks)
    _add_moves(tasks)
    _add_calibration(tasks)
    _add_accounts(tasks)
    return parser


def _add_accounts(tasks: Any) -> None:
    shop = tasks.add_parser("shop", help=_("create a shop and its owner's account; asks for the password"))
    shop.add_argument("name", help=_("name of the shop"))
    shop.add_argument("login", help=_("login of its owner"))
    staff = tasks.add_parser("staff", help=_("add an account to a shop; asks for the password"))
    staff.add_argument("shop", help=_("name of the shop"))
    staff.add_argument("login", help=_("login of the new account"))
    staff.add_argument(
        "--role", choices=("staff", "owner"), default="staff", help=_("role of the account (default: staff)")
    )
    token = tasks.add_parser("token", help=_("make an access key for one of a shop's tools and print it once"))
    token.add_argument("shop", help=_("name of the shop"))
    token.add_argument("name", help=_("name of the tool"))


def _add_cards(tasks: Any) -> None:
    cards = tasks.add_parser("cards", help=_("print cards by the stack from a table of riders and bikes"))
    cards.add_argument("shop", help=_("name of the shop"))
    cards.add_argument("file", type=Path, nargs="?", help=_("CSV file (default: list the shop's stacks)"))
    cards.add_argument("--size", default="a4-4", help=_("paper, as in ?size= of a card (default: a4-4)"))
    cards.add_argument("--output", type=Path, default=Path("cards.pdf"), help=_("new file (default: cards.pdf)"))
    cards.add_argument("--cancel", type=int, metavar="N", help=_("cancel the stack of this number"))


def _add_copies(tasks: Any) -> None:
    backup = tasks.add_parser("backup", help=_("copy the database to a file while it is in use, and check the copy"))
    backup.add_argument("file", type=Path, help=_("new file for the copy"))
    restore = tasks.add_parser("restore", help=_("replace the database by a backup"))
    restore.add_argument("file", type=Path, help=_("a backup"))
    restore.add_argument(
        "--replace",
        action="store_true",
        help=_("also where setups are stored; they are copied to the data folder first"),
    )


def _add_calibration(tasks: Any) -> None:
    checks = tasks.add_parser("calibration", help=_("show how often the stated ranges held, by the sag checks saved"))
    asked = checks.add_mutually_exclusive_group()
    asked.add_argument("--shop", help=_("name of the shop (default: every shop)"))
    asked.add_argument(
        "--pool", type=Path, nargs="+", metavar="FILE", help=_("make one table from the files of several shops")
    )


def _add_moves(tasks: Any) -> None:
    lists = tasks.add_parser("export-list", help=_("write a shop's records or setups to a CSV or JSON file"))
    lists.add_argument("shop", help=_("name of the shop"))
    lists.add_argument("list", choices=("records", "setups"), help=_("which list"))
    lists.add_argument("file", type=Path, help=_("new file; its name ends in .csv or .json"))
    for task, text in (
        ("export-shop", _("write everything of a shop to a file, for another server")),
        ("import-shop", _("add what such a file holds to a shop; nothing here is overwritten")),
    ):
        move = tasks.add_parser(task, help=text)
        move.add_argument("shop", help=_("name of the shop"))
        move.add_argument("file", type=Path, help=_("the file"))
    move.add_argument(  # of import-shop, the last
        "--leave-out-differing",
        action="store_true",
        help=_("keep what differs here, list it, and import everything else"),
    )
    _add_day_tasks(tasks)


def _add_day_tasks(tasks: Any) -> None:
    file = tasks.add_parser("day-file", help=_("write what was done to a shop's bikes to a CSV file, without riders"))
    file.add_argument("shop", help=_("name of the shop"))
    file.add_argument("file", type=Path, help=_("the new file"))
    file.add_argument("--hours", type=_hours, default=24, help=_("how far back it goes (default 24, at most 744)"))
    erase = tasks.add_parser("erase-riders", help=_("erase the riders of a shop's bikes; what was learned stays"))
    erase.add_argument("shop", help=_("name of the shop"))
    erase.add_argument("--yes", action="store_true", help=_("really do it"))
    erase.add_argument("--keep-cards", action="store_true", help=_("keep the setups whose card a rider took home"))


def _list_settings() -> str:
    """Return what the environment may set, one line each."""
    width = max(len(name) for name, _text in _SETTINGS[:-1])
    lines = (f"  {PREFIX}_{name:<{width}}  {text}" for name, text in _SETTINGS)
    return "\n".join((_("Settings come from the environment:"), *lines, ""))


def _hours(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,3}", text) or not 1 <= int(text) <= _HOURS_MOST:
        told = _(
            "%(text)s is no number of hours. Give a whole number from 1 to %(most)d", text=repr(text), most=_HOURS_MOST
        )
        raise argparse.ArgumentTypeError(told)
    return int(text)


def _port(text: str) -> int:
    try:
        port = int(text)
    except ValueError:
        port = -1
    if not 0 <= port <= 65_535:
        raise argparse.ArgumentTypeError(
            _("%(text)s is not a port. Give a whole number from 0 to 65535", text=repr(text))
        )
    return port


def _run(chosen: argparse.Namespace) -> int:
    """Run the chosen task; each is imported only when it is the one, so that a start loads no more than it needs."""
    if chosen.task in ("serve", "worker"):
        with contextlib.suppress(KeyboardInterrupt):  # both are meant to be stopped by Ctrl+C
            return _run_until_stopped(chosen)
        return 0
    if chosen.task == "cards":
        from webapp.commands.cards import cards

        return cards(chosen.shop, chosen.file, chosen.size, chosen.output, chosen.cancel)
    if chosen.task == "doctor":
        from webapp.commands.doctor import examine

        return examine()
    if chosen.task == "demo":
        from webapp.commands.demo import fill

        return fill()
    if chosen.task in ("backup", "restore"):
        from webapp.commands.backup import back_up, restore

        return back_up(chosen.file) if chosen.task == "backup" else restore(chosen.file, replace=chosen.replace)
    if chosen.task in ("export-list", "export-shop", "import-shop"):
        return _run_files(chosen)
    if chosen.task == "calibration":
        from webapp.commands.calibration import pool, report

        return pool(chosen.pool) if chosen.pool else report(chosen.shop)
    if chosen.task in ("day-file", "erase-riders"):
        return _run_day(chosen)
    if chosen.task in ("shop", "staff", "token"):
        return _run_accounts(chosen)
    from webapp.commands.purge import purge

    return purge(anyway=chosen.anyway)


def _run_until_stopped(chosen: argparse.Namespace) -> int:
    if chosen.task == "serve":
        from webapp.commands.serve import serve

        return serve(chosen.host, chosen.port, lan=chosen.lan)
    from webapp.commands.worker import work

    return work(until_closed=chosen.until_closed)


def _run_files(chosen: argparse.Namespace) -> int:
    """Run a task that writes a shop to a file, or reads it from one."""
    if chosen.task == "export-list":
        from webapp.commands.export_lists import export_list

        return export_list(chosen.shop, chosen.list, chosen.file)
    from webapp.commands.move_shop import export, take_in

    if chosen.task == "export-shop":
        return export(chosen.shop, chosen.file)
    return take_in(chosen.shop, chosen.file, leave_out_differing=chosen.leave_out_differing)


def _run_day(chosen: argparse.Namespace) -> int:
    from webapp.commands.day import erase, write_file

    if chosen.task == "day-file":
        return write_file(chosen.shop, chosen.file, chosen.hours)
    return erase(chosen.shop, keep_cards=chosen.keep_cards, sure=chosen.yes)


def _run_accounts(chosen: argparse.Namespace) -> int:
    from webapp.commands.accounts import add_staff, make_token, open_new_shop

    if chosen.task == "shop":
        return open_new_shop(chosen.name, chosen.login)
    if chosen.task == "token":
        return make_token(chosen.shop, chosen.name)
    return add_staff(chosen.shop, chosen.login, chosen.role)
