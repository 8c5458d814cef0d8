"""Runs tests in a copy of the project for `tests.mutation`: started there as a script, asked over standard input.

Each question is answered by a fork, so that libraries are imported once and no mutant outlives its trial. This file
imports nothing of the project: in the copy everything is the copy's.
"""

from __future__ import annotations

import contextlib
import functools
import gc
import importlib
import json
import os
import signal
import sys
import time
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

#: Fewer drawn examples than the suite draws: a trial has to be short, and fewer kill less, never more.
MOST_EXAMPLES = 10
SECONDS_TO_COLLECT = 120
ARGUMENTS = [
    *("-q", "-x", "--import-mode=importlib", "--strict-markers", "-o", "addopts=", "--no-header", "--tb=no"),
    *("-p", "no:randomly", "-p", "no:xdist", "-p", "no:cacheprovider"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),
]


def draw_less(item: pytest.Item) -> None:
    """Let a property be tried on few examples, always the same."""
    test = getattr(item, "obj", None)
    given = getattr(test, "_hypothesis_internal_use_settings", None)
    if given is not None:
        from hypothesis import settings

        fewer = settings(given, max_examples=min(MOST_EXAMPLES, given.max_examples), derandomize=True, database=None)
        vars(getattr(test, "__func__", test))["_hypothesis_internal_use_settings"] = fewer


class Trial:
    """Runs chosen tests in their order and remembers the one that failed; a test over its time ends the process.

    A name without `::` stands for all tests of a file.
    """

    def __init__(self, tests: dict[str, int]) -> None:
        self.tests = tests
        self.failed = ""
        self.ran = 0

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        found: dict[str, list[pytest.Item]] = {}
        for item in items:
            found.setdefault(item.nodeid, []).append(item)
            found.setdefault(item.nodeid.partition("::")[0], []).append(item)
        items[:] = [item for name in self.tests for item in found.get(name, ())]
        for item in items:
            draw_less(item)

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        file = nodeid.partition("::")[0]
        signal.alarm(self.tests.get(nodeid) or self.tests[file])

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.ran += report.when == "call"
        if report.failed:
            self.failed = self.failed or report.nodeid


class Measure:
    """Runs a file's tests one by one and writes down how long each took and which lines of the package it reached."""

    def __init__(self, package: str, coverage: Any) -> None:
        self.package = package
        self.coverage = coverage
        self.seconds: dict[str, float] = {}
        self.failed: list[str] = []

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        for item in items:
            draw_less(item)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.forget_answers()
        self.coverage.switch_context(item.nodeid)
        started = time.process_time()  # of the processor, so that a busy machine makes no test look slow
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = time.process_time() - started
            self.coverage.switch_context("")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.passed:
            self.failed.append(report.nodeid)

    @functools.cached_property
    def caches(self) -> list[Any]:
        """The package's caches, as of the first test."""
        found = [one for one in gc.get_objects() if isinstance(one, functools._lru_cache_wrapper)]
        return [one for one in found if str(one.__module__).startswith(self.package)]

    def forget_answers(self) -> None:
        """Empty the package's caches, or only the first test that asks would reach what is cached."""
        for one in self.caches:
            one.cache_clear()

    def reached(self) -> dict[str, dict[str, list[int]]]:
        """Return, for each test (or "" for what runs on import), the lines reached in each module."""
        found: dict[str, dict[str, list[int]]] = {}
        data = self.coverage.get_data()
        for file in data.measured_files():
            name = Path(file).resolve().relative_to(Path.cwd().resolve()).as_posix()
            for line, tests in data.contexts_by_lineno(file).items():
                for test in tests:
                    found.setdefault(test, {}).setdefault(name, []).append(line)
        return found


def measure(package: str, file: str, arguments: list[str]) -> dict[str, Any]:
    """Return what a file's tests reach, and the names of all the modules that they needed."""
    from coverage import Coverage

    coverage = Coverage(data_file=None, include=[f"{Path.cwd()}/{package}/*"], config_file=False)
    plugin = Measure(package, coverage)
    coverage.start()
    code = pytest.main([one for one in ARGUMENTS if one != "-x"] + [*arguments, file], plugins=[plugin])
    coverage.stop()
    return {
        "code": int(code),
        "seconds": plugin.seconds,
        "failed": plugin.failed,
        "reached": plugin.reached(),
        "modules": sorted(sys.modules),
    }


def attempt(tests: dict[str, int], arguments: list[str]) -> dict[str, Any]:
    """Return how chosen tests, each with its longest time in seconds, end on what now lies in the copy."""
    signal.alarm(SECONDS_TO_COLLECT)
    plugin = Trial(tests)
    files = dict.fromkeys(name.partition("::")[0] for name in tests)
    code = pytest.main([*ARGUMENTS, *arguments, *files], plugins=[plugin])
    signal.alarm(0)
    return {"code": int(code), "failed": plugin.failed, "ran": plugin.ran}


def preload(modules: list[str]) -> None:
    """Import what every trial would import anyway."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name in modules:
            with contextlib.suppress(Exception):
                importlib.import_module(name)


def in_fork(work: Callable[[], dict[str, Any]], most_seconds: float) -> dict[str, Any]:
    """Return a fork's answer, or the signal that ended it (`code` negative)."""
    receive, send = os.pipe()
    child = os.fork()
    if child == 0:
        _work_and_leave(work, send)
    os.close(send)
    os.set_blocking(receive, False)
    ended, text = time.monotonic() + most_seconds, b""
    while not (done := os.waitpid(child, os.WNOHANG))[0]:
        text += _read_ready(receive)
        if time.monotonic() > ended:
            os.kill(child, signal.SIGKILL)
        time.sleep(0.01)
    text += _read_ready(receive)
    os.close(receive)
    return json.loads(text) if text else {"code": -abs(os.waitstatus_to_exitcode(done[1])), "failed": "", "ran": 0}


def _read_ready(pipe: int) -> bytes:
    text = b""
    with contextlib.suppress(BlockingIOError):
        while part := os.read(pipe, 1 << 16):
            text += part
    return text


def _work_and_leave(work: Callable[[], dict[str, Any]], send: int) -> None:
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    with os.fdopen(send, "w", encoding="utf-8") as answer:
        json.dump(work(), answer)
    os._exit(0)


def main() -> None:
    """Answer questions, one JSON object a line, until there are no more."""
    sys.path[0] = os.getcwd()
    # Compiled tests are kept from trial to trial; those of a changed module's folder `Copy.write` takes away.
    sys.dont_write_bytecode = False
    answers: dict[str, Callable[..., dict[str, Any]]] = {"measure": measure, "attempt": attempt}
    for line in sys.stdin:
        question = json.loads(line)
        kind, most_seconds = question.pop("do"), question.pop("most_seconds", 3600.0)
        if kind == "preload":
            answer = preload(**question) or {}
        else:
            answer = in_fork(functools.partial(answers[kind], **question), most_seconds)
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
