"""Clients that save, check and repeat until they are answered, and a ledger of what they were told.

Whatever was acknowledged must be stored, under the number that was told, once; nothing may be stored half.
"""

from __future__ import annotations

import contextlib
import http.client
import json
import random
import threading
import time
import uuid
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, Final

from flask import Flask

from setup_rules.types.limits import LIMITS
from webapp.ground.database.engine import database
from webapp.ground.hashes import secret_hash
from webapp.setups.actions.find_setup import find_setup

REQUEST: Final = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140, "rebound_clicks": 16}}
CHECK: Final = {"end": "front", "pressure_psi": 84.0, "readings_mm": [36, 35, 36]}
#: Checks that a revision keeps at most; older ones are dropped.
MOST_CHECKS: Final = 30
_TIMEOUT_S: Final = 30.0
BROKEN: Final = (OSError, http.client.HTTPException, ValueError)
assert LIMITS  # the rules are loaded here, before a server is forked


@dataclass
class Ledger:
    """What was asked and what was told: by key the code and revision, by setup the keys of its checks."""

    created: dict[str, str] = field(default_factory=dict)
    checked: dict[str, tuple[str, int]] = field(default_factory=dict)
    asked_creations: set[str] = field(default_factory=set)
    asked_checks: defaultdict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    wrong: list[str] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)
    times_s: list[tuple[float, float]] = field(default_factory=list)
    #: Saves that a server had in hand: those under way now, and when each that broke off was sent and broke [s].
    saving: int = 0
    broken_saves: list[tuple[float, float]] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def count(self, what: str) -> None:
        """Count one more of something."""
        with self.lock:
            self.counts[what] += 1

    @contextlib.contextmanager
    def a_save(self) -> Iterator[None]:
        """Note that a save was sent, and when it broke off where no answer came."""
        sent = time.monotonic()
        with self.lock:
            self.saving += 1
        try:
            yield
        except BROKEN:
            with self.lock:
                self.broken_saves.append((sent, time.monotonic()))
            raise
        finally:
            with self.lock:
                self.saving -= 1

    def fell_in_a_save(self, moment: float) -> bool:
        """Return whether a save that had been sent before this moment [s] broke off after it."""
        return any(sent <= moment <= broke for sent, broke in self.broken_saves)

    def complain(self, what: str) -> None:
        """Note what must not have happened."""
        with self.lock:
            self.wrong.append(what)

    @property
    def acknowledged(self) -> int:
        """How many saves were acknowledged."""
        return len(self.created) + len(self.checked)


class Client(threading.Thread):
    """One client: each request goes to the port that `next_port` gives, again and again until it is answered."""

    def __init__(self, ledger: Ledger, next_port: Callable[[], int], shared_code: str, seed: int) -> None:
        super().__init__(daemon=True)
        self.ledger, self.next_port, self.shared_code = ledger, next_port, shared_code
        self.stopping = threading.Event()
        self.random = random.Random(seed)

    def run(self) -> None:
        """Make journeys until told to stop."""
        while not self.stopping.is_set():
            try:
                self.journey()
            except StoppedError:
                return

    def journey(self) -> None:
        """Create a setup, repeat that, read it, check it and the shared one, repeat that, and read it again."""
        key = str(uuid.UUID(int=self.random.getrandbits(128), version=4))
        self.ledger.asked_creations.add(key)
        code = self.create(key)
        if code is None:
            return
        if self.create(key) != code:
            self.ledger.complain(f"the creation {key} gave another setup when repeated")
        self.read(code, 1)
        for number in range(self.random.randint(1, 3)):
            self.check(code, f"{key}-{number}", expected=number + 2)
        self.check(self.shared_code, f"{key}-shared", expected=None)
        self.read(code, number + 2)

    def create(self, key: str) -> str | None:
        """Create a setup under a key and return its code."""
        status, answer = self.insist("POST", "/api/v1/setups", REQUEST, key)
        if status != 201:
            return None
        self.ledger.created.setdefault(key, answer["code"])
        return str(answer["code"])

    def check(self, code: str, key: str, expected: int | None) -> None:
        """Save a sag check, and repeat it; on a setup that others check too, being told so is as good."""
        self.ledger.asked_checks[code].add(key)
        told = [self.insist("POST", f"/api/v1/setups/{code}/sag-checks", CHECK, key) for _ in range(2)]
        revisions = [answer["revision"] for status, answer in told if status == 201]
        if revisions:
            self.ledger.checked.setdefault(key, (code, revisions[0]))
        if expected is not None and revisions != [expected] * 2:
            self.ledger.complain(f"the check {key} was told {told}")
        elif len(set(revisions)) > 1:
            self.ledger.complain(f"the check {key} made {revisions}")

    def read(self, code: str, revision: int) -> None:
        """Read a setup that nobody else changes."""
        status, answer = self.insist("GET", f"/api/v1/setups/{code}", None, None)
        if (status, answer.get("revision")) != (200, revision):
            self.ledger.complain(f"{code} was read as {status} {answer.get('revision')} instead of {revision}")

    def insist(self, method: str, path: str, body: Any, key: str | None) -> tuple[int, dict[str, Any]]:
        """Ask until there is an answer, as a client with a weak network does."""
        while not self.stopping.is_set():
            begun = time.monotonic()
            try:
                status, answer = ask(self.next_port(), method, path, body, key, self.ledger)
            except BROKEN:
                self.ledger.count("broken off")
                time.sleep(0.04)
                continue
            self.ledger.times_s.append((begun, time.monotonic() - begun))
            self.ledger.count(str(status))
            if status == 503:
                time.sleep(0.05)
                continue
            if status not in (200, 201, 409):
                self.ledger.complain(f"{method} {path}: {status} {answer}")
            return status, answer
        raise StoppedError


class StoppedError(Exception):
    """The client was told to stop before it had an answer."""


def ask(
    port: int, method: str, path: str, body: Any, key: str | None, ledger: Ledger | None = None
) -> tuple[int, dict[str, Any]]:
    """Send one request and return its status and JSON; what a killed server breaks off is the caller's to catch.

    A save counts as under way in the `ledger` from when it was sent whole.
    """
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=_TIMEOUT_S)
    headers = {"Content-Type": "application/json"} | ({} if key is None else {"Idempotency-Key": key})
    try:
        connection.request(method, path, None if body is None else json.dumps(body), headers)
        with ledger.a_save() if ledger and method == "POST" else contextlib.nullcontext():
            answer = connection.getresponse()
            return answer.status, json.loads(answer.read())
    finally:
        connection.close()


@dataclass
class Judgement:
    """What the database says of a ledger: each list holds what went wrong."""

    setups: int
    revisions: int
    lost: list[str]
    doubled: list[str]
    half: list[str]

    @property
    def faults(self) -> list[str]:
        """Everything that went wrong."""
        return [*self.lost, *self.doubled, *self.half]


def judge(ledger: Ledger, app: Flask, shared_code: str) -> Judgement:
    """Hold what was told against what is stored."""
    with app.app_context():
        with database.read() as connection:
            rows = connection.exec_driver_sql(
                "SELECT setup.code, revision.number, revision.idempotency_key FROM setup "
                "LEFT JOIN revision ON revision.setup_id = setup.id ORDER BY setup.code, revision.number"
            ).all()
        stored: dict[str, list[tuple[int | None, str | None]]] = defaultdict(list)
        for code, number, key in rows:
            stored[code].append((number, key))
        lost = [f"creation {key}" for key, code in ledger.created.items() if code not in stored]
        for key, (code, number) in ledger.checked.items():
            if (number, secret_hash(key)) not in stored.get(code, []):
                lost.append(f"check {key} as {number} of {code}")
        return Judgement(len(stored), len(rows), lost, _doubled(ledger, stored, shared_code), _half(stored))


def _doubled(ledger: Ledger, stored: dict[str, Any], shared_code: str) -> list[str]:
    doubled = []
    if len(stored) - 1 > len(ledger.asked_creations):
        doubled.append(f"{len(stored) - 1} setups were stored for {len(ledger.asked_creations)} keys")
    for code, revisions in stored.items():
        keys = [key for _, key in revisions if key is not None]
        asked = {secret_hash(key) for key in ledger.asked_checks[code]}
        if len(keys) != len(set(keys)) or not set(keys) <= asked or len(revisions) - 1 > len(asked):
            doubled.append(f"{len(revisions)} revisions of {code} for {len(asked)} keys")
    told = Counter(ledger.created.values())
    return doubled + [f"two creations were told {code}" for code, n in told.items() if n > 1 and code != shared_code]


def _half(stored: dict[str, Any]) -> list[str]:
    half = []
    for code, revisions in stored.items():
        numbers = [number for number, _ in revisions]
        if numbers != list(range(1, len(numbers) + 1)):
            half.append(f"{code} has the revisions {numbers}")
            continue
        newest = find_setup(code)  # a document that is not whole cannot be read
        if len(newest.setup.checks) != min(MOST_CHECKS, newest.number - 1):
            half.append(f"{code} keeps {len(newest.setup.checks)} checks at revision {newest.number}")
    return half
