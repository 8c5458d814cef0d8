"""Follow a demo day on loopback: `python -m tests.benchmarks.demo_day [--bikes 30] [--riders 150] [--crew 3]`.

A crew takes riders from one queue: look the bike up, weight and style, what to change, set and out, and back in when
the bike is needed again. A worker prints a stack of cards all the while. In the middle the server is killed with -9 and
started again; what was broken off is sent again under its page's key. At the end every event has to be there once and
every bike has to stand as it was last confirmed. Times are a client's, of answers that came at the first try; those of
the first seconds of a server that was just started stand apart. Goal: the 95th percentile of pages and saves ≤ 200 ms.
"""

from __future__ import annotations

import argparse
import http.client
import os
import queue
import random
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlencode, urlsplit

from tests.databases import storage
from tests.servers import free_port
from webapp import create_app
from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import open_shop
from webapp.demo_day.actions.create_bike import create_bike
from webapp.demo_day.actions.end_day import day_events
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.pages.bike_words import psi_words
from webapp.ground.database.engine import database
from webapp.stacks.actions.find_stacks import find_stack
from webapp.stacks.actions.order_stack import order_stack
from webapp.stacks.stack import NewCard

from .measuring import share

PASSWORD: Final = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
GOAL_S: Final = 0.2
#: How long a server that was just started counts as starting [s].
_STARTING_S: Final = 5.0
_JUST_STARTED: Final = ", server just started"
_PATIENCE_S: Final = 60.0
_BROKEN: Final = (OSError, http.client.HTTPException)
_PLAIN: Final = "plain page, for comparison"
_STYLES: Final = ("cross_country", "trail", "enduro", "downhill", "park")
BIKE: Final[dict[str, Any]] = {
    "riding_style": "trail",
    "front": {"travel_mm": 150, "rebound_clicks": 16, "compression_clicks": 12, "max_pressure_psi": 140},
    "rear": {"stroke_mm": 60, "leverage_start": 2.8, "leverage_end": 2.4, "rebound_clicks": 14},
}


@dataclass
class Day:
    """What is running and what came of it."""

    port: int
    times: defaultdict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    told: Counter[str] = field(default_factory=Counter)
    #: By bike, what its last confirmed page asked for at the fork [psi as shown].
    stands: dict[int, str] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)
    started: float = 0.0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def time(self, what: str, begun: float, *, first_try: bool) -> None:
        """Note how long an answer took, unless it was asked for twice."""
        starting = begun - self.started < _STARTING_S
        kind = what + _JUST_STARTED if starting else what
        with self.lock:
            self.told["asked again"] += not first_try
            if first_try:
                self.times[kind].append(time.monotonic() - begun)


class Phone:
    """One of the crew with a browser: cookies, forms, and the patience to send again what was broken off."""

    def __init__(self, day: Day, login: str) -> None:
        self.day, self.cookies = day, dict[str, str]()
        page = self.get("/shop/log-in", "")
        self.send(page, "/shop/log-in", "", login=login, password=PASSWORD)

    def get(self, path: str, what: str = "page") -> str:
        """Return a page; where it leads on, the page there."""
        status, body, led = self._ask("GET", path, None, what)
        if status == 303:
            return self.get(led, what)
        if status != 200:
            self._complain(f"GET {path}: {status}")
        return body

    def send(self, page: str, path: str, what: str = "save", **fields: str) -> str:
        """Send a form of a page and return where it leads."""
        form = next(one for one in re.findall(r"<form.*?</form>", page, re.DOTALL) if f'action="{path}"' in one)
        hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
        status, body, led = self._ask("POST", path, urlencode({**hidden, **fields}), what)
        if status != 303:
            self._complain(f"POST {path}: {status} {re.findall(r'role=.alert.*?</', body, re.DOTALL)[:1]}")
        return led

    def _complain(self, what: str) -> None:
        with self.day.lock:
            self.day.wrong.append(what)

    def _ask(self, method: str, path: str, body: str | None, what: str) -> tuple[int, str, str]:
        begun, first_try, end = time.monotonic(), True, time.monotonic() + _PATIENCE_S
        while True:
            try:
                answer = self._ask_once(method, path, body)
            except _BROKEN:
                if time.monotonic() > end:
                    raise
                first_try = False
                time.sleep(0.1)
                continue
            if what:
                self.day.time(what, begun, first_try=first_try)
            return answer

    def _ask_once(self, method: str, path: str, body: str | None) -> tuple[int, str, str]:
        connection = http.client.HTTPConnection("127.0.0.1", self.day.port, timeout=_PATIENCE_S)
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            for cookie in answer.headers.get_all("Set-Cookie") or ():
                name, _, value = cookie.partition(";")[0].partition("=")
                self.cookies[name] = value
            led = urlsplit(answer.headers.get("Location") or "")
            return answer.status, answer.read().decode(), led.path + (f"?{led.query}" if led.query else "")
        finally:
            connection.close()


def serve_riders(day: Day, phone: Phone, riders: queue.Queue[int], bikes: list[int], seed: int, pause_s: float) -> None:
    """Set up one rider after another until the queue is empty."""
    drawn, out = random.Random(seed), set[int]()
    for turn in range(10**6):
        try:
            riders.get_nowait()
        except queue.Empty:
            return
        bike = bikes[turn % len(bikes)]
        page = phone.get(f"/shop/bikes?q={bike}")
        if bike in out:
            time.sleep(pause_s)
            phone.send(page, f"/shop/bikes/{bike}/do", "save: back in", do="back")
            page = phone.get(f"/shop/bikes/{bike}/set-up")
            _count(day, "back")
        time.sleep(pause_s)
        kg, style = f"{drawn.uniform(45, 110):.1f}", drawn.choice(_STYLES)
        led = phone.send(page, f"/shop/bikes/{bike}/set-up", "save: set up", rider_mass_kg=kg, riding_style=style)
        _count(day, "set_up")
        time.sleep(pause_s)
        page = phone.get(led)
        phone.get("/about", _PLAIN)
        asked = re.findall(r"Pressure,.*?<strong>([\d.]+)</strong>", page, re.DOTALL)
        phone.get(phone.send(page, f"/shop/bikes/{bike}/do", "save: set and out", do="set"))
        _count(day, "set")
        day.stands[bike] = asked[0]
        out.add(bike)


def _count(day: Day, what: str) -> None:
    with day.lock:
        day.told[what] += 1


@contextmanager
def running(folder: Path, day: Day) -> Iterator[list[subprocess.Popen[bytes]]]:
    """Run `setup-card serve` and give a list whose last is the process that serves."""
    running = [_start(folder, day)]
    try:
        yield running
    finally:
        running[-1].terminate()
        running[-1].wait(_PATIENCE_S)


def _start(folder: Path, day: Day) -> subprocess.Popen[bytes]:
    environment = {k: v for k, v in os.environ.items() if not k.startswith("SETUP_CARD_")}
    environment |= {"SETUP_CARD_DATA": str(folder), "SETUP_CARD_RATELIMIT_ENABLED": "false"}
    environment |= {f"SETUP_CARD_{name}": value for name, value in storage(folder).items()}
    command = [sys.executable, "-m", "webapp", "serve", "--port", str(day.port)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment)
    end = time.monotonic() + _PATIENCE_S
    while time.monotonic() < end:
        connection = http.client.HTTPConnection("127.0.0.1", day.port, timeout=_PATIENCE_S)
        try:
            connection.request("GET", "/healthz")
            connection.getresponse().read()
            break
        except _BROKEN:
            time.sleep(0.05)
        finally:
            connection.close()
    day.started = time.monotonic()
    return process


def follow_day(folder: Path, *, bikes: int, riders: int, crew: int, cards: int, pause_s: float, seed: int = 1) -> Day:
    """Run a day and judge it; what went wrong is in its `wrong`."""
    day = Day(port=free_port())
    shop_id, stack = _fill(folder, bikes, crew, cards)
    waiting: queue.Queue[int] = queue.Queue()
    for rider in range(riders):
        waiting.put(rider)
    with running(folder, day) as servers:
        phones = [Phone(day, f"crew{one}") for one in range(crew)]
        threads = [
            threading.Thread(
                target=serve_riders, args=(day, phone, waiting, list(range(1 + n, bikes + 1, crew)), seed + n, pause_s)
            )
            for n, phone in enumerate(phones)
        ]
        for thread in threads:
            thread.start()
        while waiting.qsize() > riders // 2:
            time.sleep(0.02)
        servers[-1].kill()
        servers[-1].wait()
        servers.append(_start(folder, day))
        for thread in threads:
            thread.join()
    _judge(folder, day, shop_id, stack)
    return day


def _fill(folder: Path, bikes: int, crew: int, cards: int) -> tuple[int, int]:
    """Open a shop with bikes and a stack that waits to be printed; return their rows (0: no stack)."""
    app = create_app({"DATA": str(folder), "RATELIMIT_ENABLED": False, **storage(folder)})
    with app.app_context():
        owner = open_shop("Lantern Lane Cycles", "owner", PASSWORD)
        for one in range(crew):
            create_staff(owner.shop_id, f"crew{one}", PASSWORD, "staff")
        for number in range(1, bikes + 1):
            create_bike(owner.shop_id, {**BIKE, "number": str(number)})
        asked = ({"request": {**BIKE, "rider_mass_kg": 50 + n % 60}} for n in range(cards))
        new = [NewCard(label=f"Rider {n}", document=document) for n, document in enumerate(asked, start=1)]
        stack = order_stack(owner, new, "a4-8", "the day's stack") if new else 0
        database.close()
    return owner.shop_id, stack


def _judge(folder: Path, day: Day, shop_id: int, stack: int) -> None:
    """Hold what is stored against what the crew was told."""
    app = create_app({"DATA": str(folder), "RATELIMIT_ENABLED": False, **storage(folder)})
    with app.app_context():
        stored = Counter(event.kind for event in day_events(shop_id, 24))
        for kind in ("set_up", "set", "back"):
            if stored[kind] != day.told[kind]:
                day.wrong.append(f"{kind}: told {day.told[kind]}, stored {stored[kind]}")
        for bike_id, psi in day.stands.items():
            stands = psi_words(find_bike(shop_id, bike_id).standing["front"].pressure_psi or 0.0)
            if stands != psi:
                day.wrong.append(f"bike {bike_id} stands at {stands} psi, last confirmed {psi}")
        if stack:
            day.told["cards printed"] = find_stack(shop_id, stack).done
            if not day.told["cards printed"]:
                day.wrong.append("no card was printed beside the crew")
        database.close()


def table(day: Day) -> str:
    """Return a line for each kind of answer, with the goal's verdict."""
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else 0.0
    lines = [f"load average {load:.1f} on {os.cpu_count()} cores"]
    lines.append(f"{'':<36}{'answers':>9}{'p50 ms':>9}{'p95 ms':>9}{'p99 ms':>9}{'p95 / plain':>12}")
    # A short day has no plain page but those of its start.
    floor = share(day.times.get(_PLAIN) or day.times[_PLAIN + _JUST_STARTED], 0.95)
    for what, times in sorted(day.times.items()):
        p50, p95, p99 = (1e3 * share(times, part) for part in (0.5, 0.95, 0.99))
        verdict = "" if "," in what else "  goal met" if p95 <= 1e3 * GOAL_S else "  GOAL MISSED"
        ratio = p95 / 1e3 / floor
        lines.append(f"{what:<36}{len(times):>9}{p50:>9.0f}{p95:>9.0f}{p99:>9.0f}{ratio:>12.1f}{verdict}")
    counts = ", ".join(f"{what} {count}" for what, count in day.told.items())
    return "\n".join([*lines, counts, *(f"WRONG: {one}" for one in day.wrong)])


def main() -> int:
    """Follow the day that was asked for, print it, and return 1 where something was lost or doubled."""
    asked = argparse.ArgumentParser(description=__doc__)
    for name, usual in (("bikes", 30), ("riders", 150), ("crew", 3), ("cards", 400)):
        asked.add_argument(f"--{name}", type=int, default=usual)
    asked.add_argument("--pause", type=float, default=0.4, help="between two taps of one person [s]")
    given, begun = asked.parse_args(), time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        counts = {name: getattr(given, name) for name in ("bikes", "riders", "crew", "cards")}
        day = follow_day(Path(folder), **counts, pause_s=given.pause)
    print(f"{counts}, killed in the middle, {time.monotonic() - begun:.0f} s\n{table(day)}", flush=True)
    return 1 if day.wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
