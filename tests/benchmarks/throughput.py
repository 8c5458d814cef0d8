"""Print what fifty clients at once get: `python -m tests.benchmarks.throughput [--clients 50] [--seconds 15]`.

Each client asks for one thing after another, drawn by a seed: plain pages, saved setups, saves, sag checks and cards.
Once on `setup-card serve` (waitress, SQLite), once on two gunicorn instances (PostgreSQL, Redis). Clients and servers
share the machine, so the plain page beside it says what of a time is the queue.
"""

from __future__ import annotations

import argparse
import http.client
import itertools
import json
import random
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.conftest import WHOLE_REQUEST
from tests.faults.test_killed_server import server
from tests.two_instances import instances

from .measuring import share

#: How often of a hundred each thing is asked for.
MIX = {"plain page": 25, "saved setup": 40, "save": 15, "sag check": 15, "card": 5}


@dataclass
class Answers:
    """The times of all answers [s] by what was asked for, and those that were none."""

    times: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    refused: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, what: str, seconds: float, status: int) -> None:
        """Take in one answer; 503 is a refusal under load, anything else that is no success is a fault."""
        with self.lock:
            if status < 400:
                self.times[what].append(seconds)
            else:
                self.refused[f"{what} {status}"] += 1


def ask(port: int, method: str, path: str, body: dict[str, Any] | None = None) -> tuple[int, bytes]:
    """Return status and body of one request on a connection of its own."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
    try:
        headers = {"Content-Type": "application/json"} if body is not None else {}
        connection.request(method, path, None if body is None else json.dumps(body), headers)
        answer = connection.getresponse()
        return answer.status, answer.read()
    finally:
        connection.close()


def run_client(next_port: Callable[[], int], codes: list[str], seed: int, ends: float, answers: Answers) -> None:
    """Ask for one thing after another until the time is over."""
    drawn, kinds = random.Random(seed), list(MIX)
    while time.monotonic() < ends:
        what, code = drawn.choices(kinds, list(MIX.values()))[0], drawn.choice(codes)
        check = {"end": "front", "pressure_psi": 70, "readings_mm": [round(drawn.uniform(24, 40)), 30], "confirm": True}
        request: tuple[str, str, dict[str, Any] | None] = {
            "plain page": ("GET", "/about", None),
            "saved setup": ("GET", f"/s/{code}", None),
            "save": ("POST", "/api/v1/setups", {**WHOLE_REQUEST, "rider_mass_kg": round(drawn.uniform(50, 110), 1)}),
            "sag check": ("POST", f"/api/v1/setups/{code}/sag-checks", check),
            "card": ("GET", f"/s/{code}/card.pdf", None),
        }[what]
        begun = time.perf_counter()
        status, _ = ask(next_port(), *request)
        answers.add(what, time.perf_counter() - begun, status)


def load(ports: list[int], clients: int, seconds: float) -> Answers:
    """Let clients ask a server, or several in turn, for a while."""
    turns, lock, answers = itertools.cycle(ports), threading.Lock(), Answers()

    def next_port() -> int:
        with lock:
            return next(turns)

    saved = [ask(next_port(), "POST", "/api/v1/setups", WHOLE_REQUEST)[1] for _ in range(4 * clients)]
    codes, ends = [json.loads(body)["code"] for body in saved], time.monotonic() + seconds
    threads = [threading.Thread(target=run_client, args=(next_port, codes, n, ends, answers)) for n in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def table(title: str, answers: Answers, seconds: float) -> str:
    """Return a line for each thing: how many a second, quantiles in ms, p95 as a ratio to the plain page's."""
    floor = share(answers.times["plain page"], 0.95)
    lines = [f"{title:<40}{'a second':>10}{'p50 ms':>10}{'p95 ms':>10}{'p99 ms':>10}{'p95 / plain page':>18}"]
    for what in MIX:
        times = answers.times[what]
        p50, p95, p99 = (1e3 * share(times, part) for part in (0.5, 0.95, 0.99))
        lines.append(
            f"{what:<40}{len(times) / seconds:>10.1f}{p50:>10.0f}{p95:>10.0f}{p99:>10.0f}{p95 / 1e3 / floor:>18.2f}"
        )
    lines += [f"not answered: {count} × {what}" for what, count in sorted(answers.refused.items())]
    return "\n".join(lines)


def main() -> None:
    """Measure both ways to serve, one after the other."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--clients", type=int, default=50)
    asked.add_argument("--seconds", type=float, default=15.0)
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder, server(Path(folder)) as (_, port):
        answers = load([port], given.clients, given.seconds)
        print(table(f"setup-card serve, {given.clients} clients", answers, given.seconds), flush=True)
    with instances() as (_, pair):
        answers = load([instance.port for instance in pair], given.clients, given.seconds)
        print(table(f"two gunicorn instances, {given.clients} clients", answers, given.seconds), flush=True)


if __name__ == "__main__":
    main()
