"""`python -m tests.fuzz --requests 20000 --seed 1`: sends what nobody sends on purpose, and tells what broke."""

from __future__ import annotations

import argparse
import logging
import resource
import subprocess
import sys
import tempfile
import time
import warnings
from pathlib import Path
from typing import Final

from argon2 import PasswordHasher
from flask import Flask

from tests.fuzz.api import fuzz_api
from tests.fuzz.forms import fuzz_forms
from tests.fuzz.judge import Judge
from tests.fuzz.readback import read_everything_back
from webapp import create_app
from webapp.accounts.actions import passwords
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.actions.tokens import create_token

SETTINGS: Final = {
    "PUBLIC_BASE_URL": "http://localhost",
    "SECRET_KEY": "only-for-fuzzing-0123456789",
    "RATELIMIT_ENABLED": False,
}


def make_app(folder: Path, *, tokens: bool = True) -> Flask:
    """Return the app as it is served, on a folder of its own."""
    return create_app({**SETTINGS, "DATA": str(folder), "WTF_CSRF_ENABLED": tokens})


def run_api(folder: Path, requests: int, seed: int) -> Judge:
    """Fuzz the JSON interface and read back what it took."""
    app = make_app(folder)
    judge = Judge(app)
    with app.app_context():
        token = create_token(open_shop("Lantern Lane", "mira", "three grey herons asleep"), "fuzz")
    fuzz_api(judge, requests, seed, token)
    opened = read_everything_back(app, judge)
    _tell("JSON interface", judge, opened)
    return judge


def run_forms(folder: Path, requests: int, seed: int) -> Judge:
    """Fuzz every form and read back what they took."""
    app = make_app(folder)
    judge = Judge(app)
    _tell("forms", judge, fuzz_forms(app, make_app(folder, tokens=False), judge, requests, seed))
    return judge


def _tell(what: str, judge: Judge, opened: int) -> None:
    cpu_s, wall_s, where = judge.slowest_s
    counted = " · ".join(f"{status}: {count}" for status, count in sorted(judge.statuses.items()))
    print(f"{what}: {judge.fuzzed} fuzzed requests of {judge.requests} ({counted}), {opened} stored things read back")
    print(f"  slowest {cpu_s:.2f} s of the processor, {wall_s:.2f} s by the clock: {where}")
    print(f"  {len(judge.faults)} faults")
    for fault in judge.told():
        print(f"  - {fault}")


def main() -> int:
    """Run both halves and return 1 where anything is wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("--requests", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--part", choices=("all", "api", "forms"), default="all")
    asked = parser.parse_args()
    if asked.part == "all":
        return _run_both({"api": asked.requests - _forms(asked.requests), "forms": _forms(asked.requests)}, asked.seed)
    warnings.simplefilter("ignore")
    # What a guess at a password costs is no fuzzed request's business, and is tested where it is.
    passwords._HASHER = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    logging.basicConfig(level=logging.CRITICAL)
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        judge = {"api": run_api, "forms": run_forms}[asked.part](Path(name), asked.requests, asked.seed)
    used_s = sum(resource.getrusage(resource.RUSAGE_SELF)[:2])
    print(f"  {used_s:.0f} s of the processor, {time.monotonic() - began:.0f} s by the clock, seed {asked.seed}")
    return 1 if judge.faults else 0


def _forms(requests: int) -> int:
    """Return how many of the requests are forms: a page takes three times as long to answer as JSON does."""
    return round(requests * 0.35)


def _run_both(each: dict[str, int], seed: int) -> int:
    """Run the two parts beside each other, a core each."""
    command = [sys.executable, "-m", "tests.fuzz", "--seed", str(seed)]
    running = [subprocess.Popen([*command, "--requests", str(each[part]), "--part", part]) for part in each]
    return max(one.wait() for one in running)


if __name__ == "__main__":
    sys.exit(main())
