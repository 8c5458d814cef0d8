"""Runs the outside checks on spoilt rules: collected once, one fork a spoiling, in one process."""

from __future__ import annotations

import contextlib
import functools
import json
import os
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
import pytest

from tests.relations.rules import Rule
from tests.relations.spoiling import WAYS, Spoiling, Spoilt, forget_answers, kind_of, parts_of, put_in_place

ARGUMENTS: Final = [
    *("--import-mode=importlib", "--strict-markers", "-o", "addopts=", "-s"),
    *("-p", "no:randomly", "-p", "no:xdist", "-p", "no:cacheprovider", "-p", "no:terminal"),
]
#: A test that takes longer [s] is only asked where no quicker one noticed.
QUICK_SECONDS: Final = 0.1
#: After so many files have noticed a spoiling no further one is asked: the table shows what is enough, in little time.
ENOUGH_FILES: Final = 3
#: So many results of a rule are looked at in each test for their usual size.
MOST_LOOKED_AT: Final = 3


@dataclass
class Reach:
    """What the checks ask of one rule: which test functions do, with what kinds of results, and of what usual size."""

    tests: list[str] = field(default_factory=list)
    kinds: dict[str, str] = field(default_factory=dict)
    usual: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Trial:
    """How one spoiling of one rule ended: the tests that noticed, and whether it made any difference at all."""

    rule: str
    spoiling: Spoiling
    noticed: list[str]
    changed: bool


class Watch:
    """Stands in a rule's place and writes down who asks and what the answers look like."""

    def __init__(self) -> None:
        self.now = ""
        self.tests: dict[str, int] = {}
        self.values: dict[str, list[Any]] = {}

    def __call__(self, original: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
        result = original(*args, **kwargs)
        calls = self.tests[self.now] = self.tests.get(self.now, 0) + 1
        if calls <= MOST_LOOKED_AT:
            for part, value in parts_of(result).items():
                self.values.setdefault(part, []).append(value)
        return result

    def reach(self) -> dict[str, Any]:
        """Return what was seen, as plain data."""
        kinds = {part: kind_of(values[0]) for part, values in self.values.items()}
        return {
            "tests": [test for test in self.tests if test],
            "kinds": kinds,
            "usual": {part: usual_of(kinds[part], values) for part, values in self.values.items()},
        }


def usual_of(kind: str, values: list[Any]) -> Any:
    """Return the usual size of numbers, or every word that was seen."""
    if kind == "word":
        return sorted({value for value in values if isinstance(value, str)})
    if kind != "number":
        return None
    sizes = np.abs(np.concatenate([np.ravel(np.asarray(one, dtype=float))[:50] for one in values]))
    sizes = sizes[np.isfinite(sizes) & (sizes > 0)]
    return float(np.median(sizes)) if len(sizes) else None


class Tries:
    """The pytest plugin: instead of running the collected tests it finds out which notice what."""

    def __init__(self, rules: list[Rule], say: Callable[[str], None]) -> None:
        self.rules = rules
        self.say = say
        self.reach: dict[str, Reach] = {}
        self.trials: list[Trial] = []
        self.seconds: dict[str, float] = {}
        self.broken: list[str] = []
        self._failed: list[str] = []

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run everything once as it is, then watched, then with each spoiling."""
        if session.testsfailed:
            self.broken = ["collection"]
            return True
        # Once in this process, so that what the checks prepare for themselves is there in every fork.
        self.run(session.items)
        self.broken = self._failed
        if not self.broken:
            watched = in_fork(lambda: self.watch(session.items))
            self.reach = {name: Reach(**found) for name, found in watched.items()}
            for rule in self.rules:
                self.try_out(rule, session.items)
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Remember what failed."""
        if report.failed:
            self._failed.append(report.nodeid)

    def run(self, items: list[pytest.Item], before: Callable[[str], None] = lambda _: None) -> None:
        """Run tests in their order."""
        for item in items:
            before(item.nodeid)
            started = time.perf_counter()
            item.ihook.pytest_runtest_protocol(item=item, nextitem=None)
            self.seconds.setdefault(item.nodeid, time.perf_counter() - started)

    def ask(self, items: list[pytest.Item], known: set[str]) -> None:
        """Run tests until enough files noticed; those that are known to notice this rule's other spoilings come first.

        No file is asked again that noticed, none that is slow or new once one of the known noticed.
        """
        noticed: set[str] = set()
        for item in sorted(items, key=lambda one: file_of(one) not in known):
            file = file_of(item)
            if len(noticed) == ENOUGH_FILES or (noticed and known and file not in known):
                break
            if file not in noticed and not (noticed and self.seconds[item.nodeid] > QUICK_SECONDS):
                self.run([item])
                if self._failed and self._failed[-1] == item.nodeid:
                    noticed.add(file)

    def watch(self, items: list[pytest.Item]) -> dict[str, Any]:
        """Return by rule which tests reach it."""
        watches = {rule.name: Watch() for rule in self.rules}
        for rule in self.rules:
            put_in_place(rule, watches[rule.name])

        now = ""

        def tell(test: str) -> None:
            nonlocal now
            function = test.partition("[")[0]
            if function != now:
                now = function
                forget_answers()
                for watch in watches.values():
                    watch.now = function

        self.run(items, tell)
        return {name: watch.reach() for name, watch in watches.items()}

    def try_out(self, rule: Rule, items: list[pytest.Item]) -> None:
        """Try every spoiling of one rule on the tests that reach it, the quickest first."""
        started, reach = time.monotonic(), self.reach[rule.name]
        asked = set(reach.tests)
        mine = [one for one in items if one.nodeid.partition("[")[0] in asked]
        mine.sort(key=lambda one: self.seconds[one.nodeid])
        known: set[str] = set()
        for spoiling in spoilings(rule, reach):
            found = in_fork(functools.partial(self.attempt, rule, spoiling, reach, mine, known))
            self.trials.append(Trial(rule.name, spoiling, found["noticed"], found["changed"]))
            known |= {test.partition("::")[0] for test in found["noticed"]}
            if not found["noticed"]:
                self.say(f"{rule.short}: {spoiling}: {'not noticed' if found['changed'] else 'changes nothing'}")
        self.say(f"{rule.short}: {len(mine)} tests, {time.monotonic() - started:.1f} s")

    def attempt(
        self, rule: Rule, spoiling: Spoiling, reach: Reach, items: list[pytest.Item], known: set[str]
    ) -> dict[str, Any]:
        """Return which tests notice one spoiling."""
        spoilt = Spoilt(spoiling, reach.usual.get(spoiling.part))
        put_in_place(rule, spoilt)
        self._failed = []
        forget_answers()
        self.ask(items, known)
        return {"noticed": list(dict.fromkeys(self._failed)), "changed": spoilt.changed}


def file_of(item: pytest.Item) -> str:
    """Return the file of a test."""
    return item.nodeid.partition("::")[0]


def spoilings(rule: Rule, reach: Reach) -> Iterator[Spoiling]:
    """Yield every way to spoil a rule that its kinds of results and its arguments allow."""
    for part, kind in reach.kinds.items():
        for way in WAYS[kind]:
            yield Spoiling(part, way)
    for pair in rule.pairs:
        yield Spoiling(swapped=pair)


def in_fork(work: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """Return a fork's answer; nothing that it exchanged or remembers comes back."""
    receive, send = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        with contextlib.suppress(BaseException), os.fdopen(send, "w", encoding="utf-8") as answer:
            nowhere = os.open(os.devnull, os.O_RDWR)
            for stream in (0, 1, 2):
                os.dup2(nowhere, stream)
            json.dump(work(), answer)
            code = 0
        os._exit(code)
    os.close(send)
    with os.fdopen(receive, encoding="utf-8") as answer:
        text = answer.read()
    os.waitpid(child, 0)
    if not text:
        raise RuntimeError("A trial ended without an answer.")
    found: dict[str, Any] = json.loads(text)
    return found


def try_rules(rules: list[Rule], files: list[str], say: Callable[[str], None]) -> Tries:
    """Return what the checks in some files or folders notice of spoilt rules."""
    tries = Tries(rules, say)
    pytest.main([*ARGUMENTS, *files], plugins=[tries])
    return tries
