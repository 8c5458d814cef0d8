"""Cards by the stack: 100 finished and 100 new ones over one warm card, the worker's memory, pages beside it.

`python -m tests.benchmarks.stacks` prints the ratios, `--memory 2000` a worker's peak, one killed half way, `--pages`
what a plain page takes while a stack is made. Everything in one run, since only ratios travel from one machine to
another.
"""

from __future__ import annotations

import argparse
import gc
import os
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from flask import Flask

from tests.conftest import settings_in
from webapp import create_app
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.staff import StaffMember
from webapp.cards.printing import front_of
from webapp.cards.rendering.moulds import moulds
from webapp.cards.rendering.renderer import print_card, warm_up
from webapp.cards.rendering.sizes import card_size_of, find_size
from webapp.ground.database.engine import database
from webapp.setups.actions.shop_setups import find_shop_setups
from webapp.stacks.actions.find_stacks import find_stack
from webapp.stacks.actions.order_stack import order_stack
from webapp.stacks.forms.table import read_table
from webapp.stacks.make_cards import make_stack
from webapp.stacks.queries import cards_between, stack_by_id
from webapp.stacks.stack import NewCard

#: The goals, as ratios to one warm card, and the worker's memory [MB].
FINISHED, NEW, AIM, MEMORY_MB = 2.0, 20.0, 4.0, 350.0
#: What a plain page may take while a stack is made, over what it takes else.
PAGE = 5.0


def table(number: int) -> str:
    """Return a table of so many riders on a fleet's bikes."""
    lines = (
        f"{50 + n % 61} kg;{('trail', 'enduro')[n % 2]};{120 + 10 * (n % 5)};120;16;{65 + n % 3};Heron {n + 1}, size M"
        for n in range(number)
    )
    heads = "Rider weight;Riding style;Fork travel;Fork: Maximum pressure;Fork: Total rebound clicks;Head angle;Bike"
    return "\n".join((heads, *lines))


def read_cards(app: Flask, number: int) -> list[NewCard]:
    """Return the cards of such a table."""
    with app.test_request_context():
        return read_table(table(number), lambda _kind, _name: None)


def saved_codes(shop_id: int, number: int) -> list[str]:
    """Return the codes of a shop's newest setups."""
    found: list[str] = []
    page = 1
    while len(found) < number:
        found += [one.code for one in find_shop_setups(shop_id, page=page).setups]
        page += 1
    return found[:number]


def timed(work: Callable[[], object]) -> float:
    """Return how long some work takes a processor [s]: the clock on the wall also tells of what else is running."""
    gc.collect()
    begin = time.process_time()
    work()
    return time.process_time() - begin


def ratios(number: int, size: str, rounds: int) -> None:
    """Print what stacks of saved setups take, over one warm card."""
    app = create_app(settings_in(Path(tempfile.mkdtemp())))
    with app.app_context():
        member = open_shop("Lantern Lane", "mira", "three grey herons asleep")
        warm_up(app)
        made = timed(lambda: _make(member, read_cards(app, number), size))
        print(f"setups and cards of {number} riders: {made:.1f} s")
        codes = saved_codes(member.shop_id, number)
        warm, finished, new, first = [], [], [], []
        for turn in range(rounds):
            warm += [_warm_card(code, size) for code in codes[turn * 10 : turn * 10 + 10]]
            finished.append(timed(lambda: _make(member, [NewCard(label="", code=code) for code in codes], size)))
            _forget_cards()
            new.append(timed(lambda: _make(member, [NewCard(label="", code=code) for code in codes], size)))
            _forget_cards()
            moulds.forget()
            first.append(timed(lambda: _make(member, [NewCard(label="", code=code) for code in codes], size)))
        database.engine.dispose()
    one = statistics.median(warm)
    print(f"one warm card ({card_size_of(find_size(size)).name}): {1000 * one:.1f} ms")
    _say(f"{number} finished cards on {size}", statistics.median(finished) / one, FINISHED)
    _say(f"{number} new cards on {size} (aim {AIM:g})", statistics.median(new) / one, NEW)
    _say("the same, of a worker that has seen no such card", statistics.median(first) / one, NEW)


def _warm_card(code: str, size: str) -> float:
    return timed(lambda: print_card(front_of(code), card_size_of(find_size(size))))


def _make(member: StaffMember, cards: Sequence[NewCard], size: str) -> None:
    stack = order_stack(member, cards, size, os.urandom(8).hex())
    make_stack(stack, "benchmark")


def _forget_cards() -> None:
    with database.write() as connection:
        connection.exec_driver_sql("DELETE FROM kept_card")


def _say(what: str, ratio: float, goal: float) -> None:
    print(f"{what}: {ratio:.2f} (goal {goal:g}, {'met' if ratio <= goal else 'MISSED'})")


def memory(number: int, size: str) -> int:
    """Print the peak of workers that make a stack of so many riders, the first killed half way; return the losses."""
    folder = Path(tempfile.mkdtemp())
    app = create_app(settings_in(folder))
    with app.app_context():
        member = open_shop("Lantern Lane", "mira", "three grey herons asleep")
        stack = order_stack(member, read_cards(app, number), size, "once")
        begin = time.perf_counter()
        first, peak = _worker(folder, stack), 0.0
        while find_stack(member.shop_id, stack).done < number // 2 and first.poll() is None:
            peak = max(peak, _peak_mb(first.pid))
            time.sleep(0.1)
        first.kill()
        first.wait()
        killed_at = find_stack(member.shop_id, stack).done
        second = _worker(folder, stack)
        while second.poll() is None:
            peak = max(peak, _peak_mb(second.pid))
            time.sleep(0.1)
        took = time.perf_counter() - begin
        lost = _lost(member.shop_id, stack, number)
        database.engine.dispose()
    print(f"{number} riders in {took:.0f} s, killed at {killed_at} cards; lost or doubled: {lost}")
    _say(f"workers' memory for {number} cards on {size}, MB", peak, MEMORY_MB)
    return lost


def _worker(folder: Path, stack: int) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "tests.benchmarks.stacks", "--work", str(folder), str(stack)]
    return subprocess.Popen(command)


def _peak_mb(process: int) -> float:
    """Return what a process took at most so far; what it says itself counts what its parent took before it began."""
    try:
        status = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    except OSError:
        return 0.0
    return sum(float(line.split()[1]) for line in status.splitlines() if line.startswith("VmHWM")) / 1024


def work(folder: Path, stack: int) -> None:
    """Make a stack, as a worker does: once nobody else holds it, until it is made."""
    app = create_app(settings_in(folder))
    with app.app_context():
        warm_up(app)
        while _is_unfinished(stack):
            make_stack(stack, f"benchmark {os.getpid()}")
            time.sleep(0.5)
        database.engine.dispose()


def _is_unfinished(stack: int) -> bool:
    with database.read() as connection:
        found = stack_by_id(connection, stack)
    return found is not None and found.state != "done"


def _lost(shop_id: int, stack: int, number: int) -> int:
    """Return how many setups and cards there are too few or too many."""
    made, found = find_shop_setups(shop_id).total, find_stack(shop_id, stack)
    on_sheets = sum(part.cards for part in found.parts)
    with database.read() as connection:
        setups = {one.setup_id for one in cards_between(connection, stack, 1, number)}
    return sum(abs(count - number) for count in (made, found.done, on_sheets, len(setups)))


def pages(number: int) -> None:
    """Print the 99th percentile of a plain page while a worker makes a stack, over what it is else."""
    folder = Path(tempfile.mkdtemp())
    app = create_app(settings_in(folder, PUBLIC_BASE_URL="http://localhost:8000"))
    with app.app_context():
        member = open_shop("Lantern Lane", "mira", "three grey herons asleep")
    with _server(folder) as address:
        _ask(address, 200)
        idle = _ask(address, 600)
        with app.app_context():
            order_stack(member, read_cards(app, number), "a4-8", "once")
        time.sleep(8)  # the worker has started and is laying out cards
        busy = _ask(address, 600)
    for name, times in (("idle", idle), ("beside a stack", busy)):
        print(f"/about {name}: p50 {1000 * _part(times, 0.5):.1f} ms, p99 {1000 * _part(times, 0.99):.1f} ms")
    _say("p99 beside a stack over idle", _part(busy, 0.99) / _part(idle, 0.99), PAGE)


class _server:  # noqa: N801 - read like a function
    def __init__(self, folder: Path) -> None:
        environment = {**os.environ, "SETUP_CARD_DATA": str(folder), "SETUP_CARD_RATELIMIT_ENABLED": "false"}
        command = [sys.executable, "-m", "webapp", "serve", "--port", "0"]
        self._process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)

    def __enter__(self) -> str:
        assert self._process.stdout is not None
        line = next(line for line in self._process.stdout if "Serving on" in line)
        return line.split()[2].rstrip("/")

    def __exit__(self, *_error: object) -> None:
        self._process.terminate()
        self._process.wait(60)


def _ask(address: str, number: int) -> list[float]:
    return [timed_get(f"{address}/about") for _turn in range(number)]


def timed_get(address: str) -> float:
    """Return how long a page takes to be answered whole [s]."""
    begin = time.perf_counter()
    with urllib.request.urlopen(address) as answer:  # noqa: S310 - this machine's own server
        answer.read()
    return time.perf_counter() - begin


def _part(times: Sequence[float], part: float) -> float:
    return sorted(times)[min(len(times) - 1, int(part * len(times)))]


def main(arguments: Iterator[str] | None = None) -> int:
    """Run what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cards", type=int, default=100)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--size", default="a4-8")
    parser.add_argument("--memory", type=int, metavar="CARDS")
    parser.add_argument("--work", nargs=2, help=argparse.SUPPRESS)
    parser.add_argument("--pages", action="store_true")
    chosen = parser.parse_args(None if arguments is None else list(arguments))
    if chosen.work:
        work(Path(chosen.work[0]), int(chosen.work[1]))
    elif chosen.memory:
        return 1 if memory(chosen.memory, chosen.size) else 0
    elif chosen.pages:
        pages(chosen.cards)
    else:
        ratios(chosen.cards, chosen.size, chosen.rounds)
    return 0


if __name__ == "__main__":
    sys.exit(main())
