"""Two gunicorn instances on one PostgreSQL and one Redis: each request to the other one in turn, one killed under load.

    python -m tests.two_instances [--number 3] [--seed 1]

`--number` says how often an instance is killed with -9 and started again. Counts what was lost, doubled or half done,
shows that the instance that is left goes on, and that both count requests together.
"""

from __future__ import annotations

import argparse
import contextlib
import http.client
import itertools
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.databases import fresh_database
from tests.faults.ledger import REQUEST, Client, Judgement, Ledger, ask, judge
from tests.servers import free_port, postgresql, redis_server
from webapp import create_app
from webapp.ground.database.engine import database

CLIENTS = 6
#: How long both work before a kill, and how long one works alone [s].
TOGETHER_S, ALONE_S = 2.0, 2.0
#: What is limited, so low that it is reached: looks at owner's links.
OWNER_LOOKS = 10
_PATIENCE_S = 60.0
_ROOT = Path(__file__).resolve().parent.parent


class Instance:
    """One gunicorn with its workers, in a process group of its own, so that a kill takes all of it."""

    def __init__(self, environment: dict[str, str], folder: Path, name: str) -> None:
        self.environment, self.port, self.log = environment, free_port(), folder / f"{name}.log"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it; it answers a little later."""
        command = [sys.executable, "-m", "gunicorn", "-c", "python:webapp.commands.gunicorn_settings"]
        command += ["--bind", f"127.0.0.1:{self.port}", "webapp:create_app()"]
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                command, env=self.environment, stdout=log, stderr=log, start_new_session=True, cwd=_ROOT
            )

    def await_answer(self) -> None:
        """Return once it answers."""
        end = time.monotonic() + _PATIENCE_S
        while True:
            with contextlib.suppress(OSError, ValueError):
                if ask(self.port, "GET", "/api/v1/openapi.json", None, None)[0] == 200:
                    return
            if time.monotonic() > end:
                raise RuntimeError(f"an instance does not start: {self.log.read_text()[-2_000:]}")
            time.sleep(0.05)

    def kill(self) -> None:
        """Kill it and its workers at once."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()

    def stop(self) -> int:
        """Stop it politely and return its exit code."""
        if self.process is None:
            return 0
        self.process.terminate()
        try:
            return self.process.wait(_PATIENCE_S)
        except subprocess.TimeoutExpired:
            self.kill()
            return -1


@dataclass
class Outcome:
    """What a run came to: the longest that the instance left alone took [s], and how many looks each limit let by."""

    kills: int
    ledger: Ledger
    judgement: Judgement
    saved_alone: int
    slowest_alone_s: float
    looks_let_by: int
    exit_codes: tuple[int, ...]

    @property
    def faults(self) -> list[str]:
        """Everything that went wrong."""
        faults = [*self.ledger.wrong, *self.judgement.faults]
        if self.kills and not self.saved_alone:
            faults.append("the instance that was left saved nothing")
        if self.looks_let_by != OWNER_LOOKS:
            faults.append(f"{self.looks_let_by} looks were let by instead of {OWNER_LOOKS}")
        if any(self.exit_codes):
            faults.append(f"a polite stop ended with {self.exit_codes}")
        return faults


def run_two(number: int, *, seed: int = 1, together_s: float = TOGETHER_S, alone_s: float = ALONE_S) -> Outcome:
    """Run both instances under load, kill one `number` times, and judge what is stored afterwards."""
    with instances() as (settings, pair):
        turns = itertools.cycle(instance.port for instance in pair)
        lock, ledger = threading.Lock(), Ledger()

        def next_port() -> int:
            with lock:
                return next(turns)

        shared_code = str(ask(next_port(), "POST", "/api/v1/setups", REQUEST, None)[1]["code"])
        clients = [Client(ledger, next_port, shared_code, seed * 100 + n) for n in range(CLIENTS)]
        for client in clients:
            client.start()
        alone = [_kill_one(pair[n % 2], ledger, together_s, alone_s) for n in range(number)]
        time.sleep(together_s)
        for client in clients:
            client.stopping.set()
        for client in clients:
            client.join()
        let_by = _count_looks(next_port)
        codes = tuple(instance.stop() for instance in pair)
        app = create_app({**settings, "RATELIMIT_ENABLED": False})
        judgement = judge(ledger, app, shared_code)
        with app.app_context():
            database.close()
    saved, slowest = sum(s for s, _ in alone), max((t for _, t in alone), default=0.0)
    return Outcome(number, ledger, judgement, saved, slowest, let_by, codes)


@contextlib.contextmanager
def instances() -> Iterator[tuple[dict[str, str], tuple[Instance, Instance]]]:
    """Start two instances on one new database and one Redis; give their settings and themselves."""
    with postgresql() as server, redis_server() as redis, tempfile.TemporaryDirectory() as folder:
        settings = {
            "DATABASE_URL": fresh_database(server, empty=True),
            "REDIS_URL": redis,
            "SECRET_KEY": "only-for-tests-0123456789",
            "PUBLIC_BASE_URL": "http://localhost",
            "RATE_OWNER": f"{OWNER_LOOKS} per day",
        }
        many = {f"RATE_{name}": "1000000 per hour" for name in ("CREATE", "LINKS", "CARDS")}
        environment = {k: v for k, v in os.environ.items() if not k.startswith("SETUP_CARD_")}
        environment |= {f"SETUP_CARD_{name}": value for name, value in (settings | many).items()}
        pair = (Instance(environment, Path(folder), "one"), Instance(environment, Path(folder), "other"))
        try:
            for instance in pair:  # both at once on an empty database: one makes the tables
                instance.start()
            for instance in pair:
                instance.await_answer()
            yield settings, pair
        finally:
            for instance in pair:
                if instance.process is not None and instance.process.poll() is None:
                    instance.kill()


def _kill_one(instance: Instance, ledger: Ledger, together_s: float, alone_s: float) -> tuple[int, float]:
    """Kill an instance under load and start it again; return what was saved meanwhile and the longest answer [s]."""
    time.sleep(together_s)
    instance.kill()
    before, begun = ledger.acknowledged, time.monotonic()
    time.sleep(alone_s)
    saved, ended = ledger.acknowledged - before, time.monotonic()
    slowest = max((took for start, took in list(ledger.times_s) if begun <= start <= ended), default=0.0)
    instance.start()
    instance.await_answer()
    return saved, slowest


def _count_looks(next_port: Callable[[], int]) -> int:
    """Return how many looks at an owner's link both instances together let by."""
    statuses = [_status(next_port(), f"/owner/{'0' * 26}") for _ in range(3 * OWNER_LOOKS)]
    return sum(status != 429 for status in statuses)


def _status(port: int, path: str) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=_PATIENCE_S)
    try:
        connection.request("GET", path)
        return connection.getresponse().status
    finally:
        connection.close()


def report(outcome: Outcome) -> str:
    """Return what a run came to, as text."""
    judged, ledger = outcome.judgement, outcome.ledger
    answers = ", ".join(f"{count} × {what}" for what, count in sorted(ledger.counts.items()))
    times = sorted(took for _, took in ledger.times_s) or [0.0]
    return (
        f"{outcome.kills} kills of one of two instances. Answers: {answers}.\n"
        f"median {1_000 * times[len(times) // 2]:.0f} ms, p99 {1_000 * times[int(0.99 * (len(times) - 1))]:.0f} ms; "
        f"while one was away the other saved {outcome.saved_alone}, slowest {1_000 * outcome.slowest_alone_s:.0f} ms.\n"
        f"{len(ledger.created)} setups and {len(ledger.checked)} checks acknowledged, "
        f"{judged.setups} setups with {judged.revisions} revisions stored; "
        f"{outcome.looks_let_by} of {3 * OWNER_LOOKS} looks let by, limit {OWNER_LOOKS}.\n"
        f"lost {len(judged.lost)} · doubled {len(judged.doubled)} · half written {len(judged.half)} · "
        f"wrong answers {len(ledger.wrong)}" + "".join(f"\n  {fault}" for fault in outcome.faults[:20])
    )


def main() -> int:
    """Run as the command line says; the exit code is 1 where anything went wrong."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--number", type=int, default=3, help="how often an instance is killed (default 3)")
    parser.add_argument("--seed", type=int, default=1, help="what the clients do (default 1)")
    chosen = parser.parse_args()
    outcome = run_two(chosen.number, seed=chosen.seed)
    print(report(outcome))
    return int(bool(outcome.faults))


if __name__ == "__main__":
    sys.exit(main())
