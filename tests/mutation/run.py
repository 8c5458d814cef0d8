"""Tries mutants one after another in copies of the project, and tells how they fared."""

from __future__ import annotations

import random
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.mutation.figures import (
    Equivalent,
    Verdict,
    figures_of,
    read_equivalents,
    shortfalls,
    stale_entries,
)
from tests.mutation.known import KnownKills
from tests.mutation.mutants import Module, Mutant, find_mutants, read_modules
from tests.mutation.project import Copy, Project
from tests.mutation.reach import Chooser, Near, measure_reach

Say = Callable[[str], None]
MOST_SECONDS_OF_A_TRIAL = 600.0
#: What stands for a test where none failed but the process did not live.
END = "end of the process"
#: A test that reads the package's text takes no longer.
SECONDS_OF_READING = 60


@dataclass(frozen=True)
class Choice:
    """Which mutants to try: a sample of so many, or all (`sample` None); of modules below some paths."""

    sample: int | None
    seed: int
    modules: tuple[str, ...] = ()
    processes: int = 1
    #: After so many seconds no further mutant is begun.
    most_seconds: float = float("inf")
    #: The tests that judge one mutant take no longer than this together, as measured on the rules as they are.
    seconds_of_tests: float = 60.0
    #: Judge by the test files that name a mutant's module and by the kept answers, without measuring what tests reach:
    #: quick to begin with, so that a few mutants can be tried each time, and harder on the tests.
    near: bool = False
    #: By every operator, also those whose mutants who notices the others nearly always notices.
    every_operator: bool = False


@dataclass
class Outcome:
    """What a run showed."""

    verdicts: list[Verdict] = field(default_factory=list)
    #: What makes the run a failure, a sentence each.
    faults: list[str] = field(default_factory=list)


class Trials:
    """A queue of mutants that one or more copies work off."""

    def __init__(
        self, mutants: Iterator[Mutant], chooser: Chooser | Near, choice: Choice, known: KnownKills, say: Say
    ) -> None:
        self.mutants = mutants
        self.chooser = chooser
        self.choice = choice
        self.known = known
        self.left = choice.sample
        self.ends = time.monotonic() + choice.most_seconds
        self.say = say
        self.lock = threading.Lock()
        self.verdicts: list[Verdict] = []
        self.faults: list[str] = []
        #: How often each test killed, by where; these come first at the next mutant there.
        self.killers: dict[str, Counter[str]] = {}

    def work_off(self, copy: Copy) -> None:
        """Try mutants until there are no more."""
        try:
            while mutant := self._next():
                verdict = self.known.verdict_of(mutant) or self._try(mutant, copy)
                with self.lock:
                    self.known.keep(verdict)
                    self.verdicts.append(verdict)
                    self.say(told(verdict))
        except Exception as error:  # noqa: BLE001 - a thread's error has to reach the report
            self.faults.append(f"A trial could not be made: {error!r}")

    def _try(self, mutant: Mutant, copy: Copy) -> Verdict:
        path, line = mutant.module.path, mutant.line
        tests = self.chooser.tests_for(path, line)
        # They read numbers alone.
        reading = reading_tests(copy.project) if mutant.operator == "NumberReplacer" else {}
        if not (tests or reading):
            return Verdict(mutant, "", 0, 0.0)
        tests = self.chooser.within(self._killers_first(tests, path, line), self.choice.seconds_of_tests)
        quick = self.chooser.apart_from_import(tests, path, line)
        if not self.chooser.is_inside_function(path, line):
            tests, reading = {**reading, **tests}, {}  # a number of its own is pinned by who reads it
        started = time.perf_counter()
        by = killer_of(mutant, quick, tests, reading, copy)
        if by and not by.startswith(END):
            for place in self._places(path, line):
                self.killers.setdefault(place, Counter())[by] += 1
        return Verdict(mutant, by, len(tests), time.perf_counter() - started)

    def _places(self, path: str, line: int) -> tuple[str, str]:
        return path, self.chooser.name_of_place(path, line)

    def _killers_first(self, tests: dict[str, int], path: str, line: int) -> dict[str, int]:
        """Return the same tests, those first that killed most in the same function, then in the same module."""
        module, function = (self.killers.get(place, Counter[str]()) for place in self._places(path, line))
        return dict(sorted(tests.items(), key=lambda one: (-function[one[0]], -module[one[0]])))

    def _next(self) -> Mutant | None:
        with self.lock:
            if self.left == 0 or time.monotonic() > self.ends:
                return None
            mutant = next(self.mutants, None)
            self.left = self.left and self.left - 1
            return mutant


def killer_of(mutant: Mutant, quick: dict[str, int], tests: dict[str, int], reading: dict[str, int], copy: Copy) -> str:
    """Return which test notices a mutant, empty if none does.

    `quick` are the tests that can be tried in place, `tests` all that can notice it; those that read the package's text
    come last.
    """
    answer = {"code": 6}
    if quick:
        answer = copy.ask_in_place(mutant.module.path, mutant.source or "", quick, MOST_SECONDS_OF_A_TRIAL)
    left = tests if answer["code"] == 6 else {name: most for name, most in tests.items() if name not in quick}
    for further in (left, reading):
        if answer["code"] in (0, 6) and further:
            answer = _ask_anew(mutant, further, copy)
    if answer["code"] in (5, 6):
        raise RuntimeError(f"No test ran for {mutant.change}.")
    return "" if answer["code"] == 0 else answer["failed"] or f"{END} ({answer['code']})"


def reading_tests(project: Project) -> dict[str, int]:
    """Return the test files that read the package's text, with the seconds that each may take."""
    return dict.fromkeys(project.reading, SECONDS_OF_READING)


def _ask_anew(mutant: Mutant, tests: dict[str, int], copy: Copy) -> dict[str, Any]:
    """Return how tests end that import the changed module, and read its text, anew."""
    copy.write(mutant.module.path, mutant.source or "")
    answer = copy.ask(question(tests, copy.project))
    copy.write(mutant.module.path, mutant.module.source)
    return answer


def question(tests: dict[str, int], project: Project) -> dict[str, object]:
    """Return how to ask a copy's server to run tests."""
    return {
        "do": "attempt",
        "tests": tests,
        "arguments": list(project.arguments),
        "most_seconds": MOST_SECONDS_OF_A_TRIAL,
    }


def told(verdict: Verdict) -> str:
    """Return a line about a killed mutant, and the whole change of one that survived."""
    mutant = verdict.mutant
    where = f"{mutant.module.path}:{mutant.line} {mutant.operator}"
    if verdict.killed:
        return f"killed    {where} {verdict.seconds:.1f} s by {verdict.by}"
    return f"SURVIVED  {where} {verdict.seconds:.1f} s, {verdict.tests} tests\n{mutant.diff()}\n"


def drawn_mutants(modules: list[Module], listed: list[Equivalent], seed: int, every: bool = True) -> Iterator[Mutant]:
    """Yield the mutants that change what runs, but for the listed equivalents, in an order that the seed draws."""
    places = [mutant for module in modules for mutant in find_mutants(module, every)]
    random.Random(seed).shuffle(places)
    for mutant in places:
        if mutant.source is not None and not any(entry.is_of(mutant) for entry in listed):
            yield mutant


def check_untouched(chooser: Chooser, copy: Copy) -> None:
    """Raise if a test fails on the package as it is: then killing would mean nothing."""
    tests = chooser.reach.in_order(set(chooser.reach.seconds))
    quick = dict(list(tests.items())[: max(50, len(tests) // 8)])
    answer = copy.ask(question(quick, copy.project))
    in_place = copy.ask_in_place("", "", quick, MOST_SECONDS_OF_A_TRIAL)
    for said in (answer, in_place):
        if said["code"] != 0 or said["ran"] != len(quick):
            raise RuntimeError(f"Without any change: {said}, of {len(quick)} tests.")


@contextmanager
def copies(project: Project, number: int) -> Iterator[list[Copy]]:
    """Make copies of a project in a temporary folder, each with its server, and take them away again."""
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder, ExitStack() as stack:
        made = [Copy(project, Path(folder) / str(one)) for one in range(number)]
        for copy in made:
            stack.callback(copy.close)
        yield made


def run(project: Project, choice: Choice, listed_in: Path, cache: Path, say: Say = print) -> Outcome:
    """Try mutants of a project's package and return how they fared."""
    modules = read_modules(project.root, project.package, project.left_out)
    listed = read_equivalents(listed_in)
    outcome = Outcome()
    outcome.faults += [f"Stale in {listed_in.name}: {one}" for one in stale_entries(listed, modules)]
    with copies(project, choice.processes) as made:
        if choice.near:
            return judge(near_trials(modules, listed, choice, project, say), made, choice, outcome)
        reach = measure_reach(project, made, cache, say)
        say(f"{len(reach.seconds)} tests judge; failing anyway: {reach.failed or 'none'}; too slow: {len(reach.slow)}")
        chooser = Chooser(project, modules, reach)
        for copy in made:
            copy.preload(sorted(reach.libraries))
            copy.collect()
        check_untouched(chooser, made[0])
        wanted = [module for module in modules if module.path.startswith(choice.modules or ("",))]
        known = KnownKills(project.root, cache / "killed.json")
        trials = Trials(drawn_mutants(wanted, listed, choice.seed, choice.every_operator), chooser, choice, known, say)
        return judge(trials, made, choice, outcome)


def near_trials(modules: list[Module], listed: list[Equivalent], choice: Choice, project: Project, say: Say) -> Trials:
    """Return the trials of a quick run, which knows nothing from earlier runs and measures nothing."""
    wanted = [module for module in modules if module.path.startswith(choice.modules or ("",))]
    nothing_known = KnownKills(project.root, None)
    return Trials(
        drawn_mutants(wanted, listed, choice.seed, choice.every_operator), Near(project), choice, nothing_known, say
    )


def judge(trials: Trials, made: list[Copy], choice: Choice, outcome: Outcome) -> Outcome:
    """Let the copies work off all trials, and fill in what they showed."""
    threads = [threading.Thread(target=trials.work_off, args=(copy,)) for copy in made]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    outcome.verdicts = trials.verdicts
    outcome.faults += trials.faults
    if outcome.verdicts and not choice.near:  # a few mutants before a few tests show examples, not a figure
        outcome.faults += shortfalls(figures_of(outcome.verdicts), whole=choice.sample is None)
    elif not outcome.verdicts:
        outcome.faults.append("No mutant was tried.")
    return outcome
