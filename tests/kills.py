"""Kills the server with -9 again and again while clients save and check; counts what was lost, doubled or half done.

    python -m tests.kills [--number 200] [--postgresql] [--seed 1]

The clients never stop: what is broken off they ask again under the same key, of the next server, until it is answered.
Servers are forked from a process that has everything loaded, so that a start takes no time; each runs `serve` itself.
One in twenty is started as people start it, by `setup-card serve` in a process of its own.
"""

from __future__ import annotations

import argparse
import contextlib
import functools
import multiprocessing
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.databases import fresh_database
from tests.faults.ledger import REQUEST, Client, Judgement, Ledger, ask, judge
from tests.servers import free_port, postgresql
from webapp import create_app
from webapp.ground.database.engine import database

CLIENTS = 4
_PATIENCE_S = 60.0
#: The latest moment of a kill after the first answer of a server [s]; the earliest is right at its start.
_LATEST_S = 0.25
#: The most saves that a server acknowledges before that.
_MOST_SAVES = 6
#: So long into a save a kill falls at the latest [s]: a save takes longer than that.
_INTO_S = 0.005
#: One kill in so many comes while the server starts.
_EARLY = 5
#: One server in so many is started by its command, and the place of the first of them.
_BY_COMMAND, _FIRST_BY_COMMAND = 20, 7
#: After so many kills the clients share another setup: a check costs the more, the more checks there are before it.
_SHARED_FOR = 25
_ORPHANS = "SELECT count(*) FROM setup WHERE id NOT IN (SELECT setup_id FROM revision)"


@dataclass(frozen=True)
class Kill:
    """One kill: when [s], whether while the server started, and how many saves had been acknowledged by then."""

    moment: float
    early: bool
    acknowledged: int


@dataclass
class Run:
    """What a run of kills came to."""

    kills: list[Kill]
    ledger: Ledger
    judgement: Judgement
    seconds: float
    by_command: int = 0

    @property
    def in_saves(self) -> int:
        """How many kills broke off a save that the server had in hand."""
        return sum(self.ledger.fell_in_a_save(one.moment) for one in self.kills)

    @property
    def missed(self) -> list[str]:
        """What the run has to have tried to say anything: most kills that were to fall into a save did."""
        aimed = [one for one in self.kills if not one.early]
        hit = sum(self.ledger.fell_in_a_save(one.moment) for one in aimed)
        few = [f"{hit} of {len(aimed)} kills fell into a save"] if 2 * hit < len(aimed) or not aimed else []
        return few + [f"kill {n}: nothing was saved yet" for n, one in enumerate(self.kills) if not one.acknowledged]

    @property
    def faults(self) -> list[str]:
        """Everything that went wrong."""
        return [*self.ledger.wrong, *self.judgement.faults, *self.missed]


def serve_forked(environment: dict[str, str], port: int) -> None:
    """Run `setup-card serve` in this forked process."""
    os.environ.update(environment)
    with open(os.devnull, "w") as nowhere:
        sys.stdout = sys.stderr = nowhere
        from webapp.commands.serve import serve

        serve("127.0.0.1", port)


class Server:
    """One server that will be killed: forked with everything loaded, or started by its command."""

    def __init__(self, environment: dict[str, str], port: int, *, by_command: bool) -> None:
        self._forked, self._command = None, None
        if by_command:
            self._command = subprocess.Popen(
                [sys.executable, "-m", "webapp", "serve", "--port", str(port)],
                env={**os.environ, **environment},
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
        else:
            self._forked = _context().Process(target=serve_forked, args=(environment, port), daemon=True)
            self._forked.start()

    @property
    def _process(self) -> Any:
        return self._command or self._forked

    def end(self, how: signal.Signals) -> None:
        """Send it a signal and wait until it is gone."""
        os.kill(self._process.pid, how)
        if self._command is not None:
            self._command.wait(_PATIENCE_S)
        else:
            self._process.join(_PATIENCE_S)


@functools.cache
def _context() -> Any:
    context: Any = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.faults.loaded"])
    return context


def kill_often(number: int, settings: dict[str, str], *, seed: int = 1) -> Run:
    """Kill servers that share the database of `settings`, `number` times, and judge what is stored afterwards."""
    environment = {f"SETUP_CARD_{name}": value for name, value in settings.items()}
    environment |= {"SETUP_CARD_RATELIMIT_ENABLED": "false", "SETUP_CARD_DATABASE_WAIT_S": "30"}
    choice, ledger, begun = random.Random(seed), Ledger(), time.monotonic()
    port = free_port()
    server = Server(environment, port, by_command=False)
    shared_code = _save_when_up(port)
    clients = [Client(ledger, lambda: port, shared_code, seed * 100 + n) for n in range(CLIENTS)]
    for client in clients:
        client.start()
    kills = []
    for place in range(number):
        early = place % _EARLY == _EARLY - 1
        _let_work(ledger, choice, early=early)
        kills.append(Kill(time.monotonic(), early, ledger.acknowledged))
        server.end(signal.SIGKILL)
        _look_at_once(ledger, settings)
        server = Server(environment, port, by_command=_is_by_command(place + 1))
        if (place + 1) % _SHARED_FOR == 0:
            _share_another(clients, ledger, f"shared-{place}")
    _let_work(ledger, choice, early=False)
    for client in clients:
        client.stopping.set()
    for client in clients:
        client.join()
    server.end(signal.SIGTERM)
    by_command = sum(_is_by_command(place) for place in range(number + 1))
    return Run(kills, ledger, _judge(ledger, settings, shared_code), time.monotonic() - begun, by_command)


def _share_another(clients: list[Client], ledger: Ledger, key: str) -> None:
    """Make a setup that all clients check from now on; it is judged as any other that was asked for."""
    ledger.asked_creations.add(key)
    code = Client(ledger, clients[0].next_port, "", 0).create(key)
    for client in clients:
        client.shared_code = str(code)


def _is_by_command(place: int) -> bool:
    return place % _BY_COMMAND == _FIRST_BY_COMMAND


def _save_when_up(port: int) -> str:
    end = time.monotonic() + _PATIENCE_S
    while True:
        try:
            return str(ask(port, "POST", "/api/v1/setups", REQUEST, None)[1]["code"])
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.05)


def _let_work(ledger: Ledger, choice: random.Random, *, early: bool) -> None:
    """Wait for a moment to kill: while the server starts, or a little after it acknowledged something, in a save."""
    if early:
        time.sleep(choice.uniform(0, _LATEST_S))
        return
    enough, end = ledger.acknowledged + choice.randint(1, _MOST_SAVES), time.monotonic() + _PATIENCE_S
    while ledger.acknowledged < enough:
        if time.monotonic() > end:
            raise RuntimeError("no server answers any more")
        time.sleep(0.002)
    time.sleep(choice.uniform(0, _LATEST_S))
    while not ledger.saving and time.monotonic() < end:
        time.sleep(0.0002)
    time.sleep(choice.uniform(0, _INTO_S))  # from its first moment to about its commit


def _look_at_once(ledger: Ledger, settings: dict[str, str]) -> None:
    """Look at SQLite's file as the killed server left it."""
    if "DATABASE_URL" in settings:
        return
    with contextlib.closing(sqlite3.connect(Path(settings["DATA"]) / "setups.db")) as connection:
        if (said := connection.execute("PRAGMA quick_check").fetchone()[0]) != "ok":
            ledger.complain(f"after a kill the file is not whole: {said}")
        tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        if tables and connection.execute(_ORPHANS).fetchone()[0]:
            ledger.complain("after a kill a setup has no revision")


def _judge(ledger: Ledger, settings: dict[str, str], shared_code: str) -> Judgement:
    app = create_app({**settings, "RATELIMIT_ENABLED": False})
    judgement = judge(ledger, app, shared_code)
    with app.app_context():
        database.close()
    return judgement


@contextlib.contextmanager
def _storage(*, on_postgresql: bool) -> Iterator[dict[str, str]]:
    with tempfile.TemporaryDirectory() as folder, contextlib.ExitStack() as stack:
        settings = {"DATA": folder}
        if on_postgresql:
            server = stack.enter_context(postgresql())
            settings["DATABASE_URL"] = fresh_database(server, empty=True)
        yield settings


def report(run: Run) -> str:
    """Return what a run came to, as text."""
    judged, ledger = run.judgement, run.ledger
    answers = ", ".join(f"{count} × {what}" for what, count in sorted(ledger.counts.items()))
    return (
        f"{len(run.kills)} kills in {run.seconds:.0f} s, {run.in_saves} of them in a save; "
        f"{run.by_command} servers started by their command. Answers: {answers}.\n"
        f"{len(ledger.created)} setups and {len(ledger.checked)} checks acknowledged, "
        f"{judged.setups} setups with {judged.revisions} revisions stored.\n"
        f"lost {len(judged.lost)} · doubled {len(judged.doubled)} · half written {len(judged.half)} · "
        f"wrong answers {len(ledger.wrong)}" + "".join(f"\n  {fault}" for fault in run.faults[:20])
    )


def main() -> int:
    """Run as the command line says; the exit code is 1 where anything went wrong."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--number", type=int, default=200, help="how many kills (default 200)")
    parser.add_argument("--postgresql", action="store_true", help="on a PostgreSQL of its own instead of SQLite")
    parser.add_argument("--seed", type=int, default=1, help="moments of the kills (default 1)")
    chosen = parser.parse_args()
    with _storage(on_postgresql=chosen.postgresql) as settings:
        run = kill_often(chosen.number, settings, seed=chosen.seed)
    print(report(run))
    return int(bool(run.faults))


if __name__ == "__main__":
    sys.exit(main())
