"""Which tests reach a line: measured once a test file with coverage, kept until the package or the file changes."""

from __future__ import annotations

import ast
import itertools
import json
import re
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from tests.mutation.mutants import Module
from tests.mutation.project import Copy, Project

#: A test that takes longer judges no mutant.
MOST_SECONDS = 15.0


@dataclass
class Reach:
    """What was measured: the seconds of each test, and the tests that reach each line of each module."""

    seconds: dict[str, float] = field(default_factory=dict)
    lines: dict[tuple[str, int], set[str]] = field(default_factory=dict)
    slow: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)
    libraries: set[str] = field(default_factory=set)
    #: Lines that run while a test file is collected, with these files: their results may stand in a test of the file
    #: before it begins.
    on_import: dict[tuple[str, int], set[str]] = field(default_factory=dict)

    def add(self, file: str, answer: dict[str, Any]) -> None:
        """Take in what one test file reached, but for tests that fail anyway or are too slow."""
        self.failed += answer["failed"]
        self.libraries.update(answer["modules"])
        for path, lines in answer["reached"].get("", {}).items():
            for line in lines:
                self.on_import.setdefault((path, line), set()).add(file)
        slow = {test for test, seconds in answer["seconds"].items() if seconds > MOST_SECONDS}
        self.slow += sorted(slow)
        left_out = slow | set(answer["failed"])
        for test, seconds in answer["seconds"].items():
            if test not in left_out:
                self.seconds[test] = seconds
                for path, lines in answer["reached"].get(test, {}).items():
                    for line in lines:
                        self.lines.setdefault((path, line), set()).add(test)

    def of(self, path: str, lines: range) -> set[str]:
        """Return the tests that reach one of the lines of a module."""
        return set().union(*(self.lines.get((path, line), set()) for line in lines))

    def within(self, tests: dict[str, int], most_seconds: float) -> dict[str, int]:
        """Return the first tests that together take no longer; always the first one."""
        spent = list(itertools.accumulate(self.seconds.get(test, 0.0) for test in tests))
        return {test: tests[test] for place, test in enumerate(tests) if place == 0 or spent[place] <= most_seconds}

    def in_order(self, tests: set[str]) -> dict[str, int]:
        """Return tests, the quickest first, each with the whole seconds after which it has lost its way."""
        return {test: int(30 + 10 * self.seconds[test]) for test in sorted(tests, key=lambda one: self.seconds[one])}


def measure_reach(project: Project, copies: list[Copy], cache: Path, say: Callable[[str], None]) -> Reach:
    """Return the reach of all of a project's tests, measuring the files whose reach is not in the cache folder."""
    cache.mkdir(parents=True, exist_ok=True)
    reach = Reach()
    kept = {file: cache / f"{project.key_of(file)}.json" for file in project.test_files()}
    missing = iter([file for file, path in kept.items() if not path.exists()])

    def work_off(copy: Copy) -> None:
        for file in missing:  # an iterator hands each file to one thread only
            say(f"measuring {file}")
            kept[file].write_text(json.dumps(measured(file, copy)), "utf-8")

    with ThreadPoolExecutor(len(copies)) as pool:
        list(pool.map(work_off, copies))
    for file, path in kept.items():
        reach.add(file, json.loads(path.read_text("utf-8")))
    return reach


def measured(file: str, copy: Copy) -> dict[str, Any]:
    """Return what one test file reaches on the package as it is.

    Raises
    ------
    RuntimeError
        If the tests cannot be run to their end.
    """
    project = copy.project
    question = {"package": project.package, "file": file, "arguments": list(project.arguments)}
    answer = copy.ask({"do": "measure", **question})
    if "reached" not in answer:
        raise RuntimeError(f"Measuring {file} ended with {answer['code']}.")
    return answer


class Near:
    """Chooses whole test files by name, without any measuring: those that import a module, then what notices most."""

    def __init__(self, project: Project) -> None:
        self.early = dict.fromkeys(name.partition("::")[0] for name in project.early)
        self.texts = {file: (project.root / file).read_text("utf-8") for file in project.test_files()}

    def tests_for(self, path: str, line: int) -> dict[str, int]:
        """Return the files that can notice a change of a module, whatever its line, with the seconds for each test."""
        del line
        module = path.removesuffix(".py").replace("/", ".")
        near = [file for file, text in self.texts.items() if f"from {module} import" in text]
        return dict.fromkeys([*near, *self.early], 120)

    def within(self, tests: dict[str, int], most_seconds: float) -> dict[str, int]:
        """Return all of them: nobody knows how long they take."""
        del most_seconds
        return tests

    def apart_from_import(self, tests: dict[str, int], path: str, line: int) -> dict[str, int]:
        """Return none: what is not known to be exchangeable is imported anew."""
        del tests, path, line
        return {}

    def is_inside_function(self, path: str, line: int) -> bool:
        """Return True: what reads the package's text comes last."""
        del path, line
        return True

    def name_of_place(self, path: str, line: int) -> str:
        """Return the module: functions are not looked at."""
        del line
        return path


class Chooser:
    """Finds the tests for a line: those that reach its statement, or those that use what it defines on import."""

    def __init__(self, project: Project, modules: list[Module], reach: Reach) -> None:
        self.project = project
        self.reach = reach
        self.trees = {module.path: ast.parse(module.source) for module in modules}

    def within(self, tests: dict[str, int], most_seconds: float) -> dict[str, int]:
        """Return the first tests that together take no longer; always the first one."""
        return self.reach.within(tests, most_seconds)

    def apart_from_import(self, tests: dict[str, int], path: str, line: int) -> dict[str, int]:
        """Return the tests of files that do not run the statement of a line while they are collected."""
        function, statement = find_place(self.trees[path], line)
        if function is None or statement is None or isinstance(statement, ast.FunctionDef):
            return {}
        early = set[str]().union(*(self.reach.on_import.get((path, one), ()) for one in statement_lines(statement)))
        return {name: most for name, most in tests.items() if name.partition("::")[0] not in early}

    def is_inside_function(self, path: str, line: int) -> bool:
        """Return whether a line is part of a function, not of what a module says when it is imported."""
        return find_place(self.trees[path], line)[0] is not None

    def name_of_place(self, path: str, line: int) -> str:
        """Return a name for the function around a line, or for the module."""
        function, _ = find_place(self.trees[path], line)
        return path if function is None else f"{path}:{function.lineno}"

    def tests_for(self, path: str, line: int) -> dict[str, int]:
        """Return the tests that can notice a change of a line, first those that notice most for their time."""
        tests = self.reach.in_order(self._tests_for(path, line, set()))
        module = path.removesuffix(".py").replace("/", ".")
        return dict(sorted(tests.items(), key=lambda test: self._price(test[0], module)))

    def _price(self, test: str, module: str) -> float:
        """Return a test's seconds, fewer where it is about the module or notices most changes anyway."""
        seconds = self.reach.seconds[test]
        if f"from {module} import" in self._text(test.partition("::")[0]):
            return seconds / 8
        return seconds / 4 if test.startswith(self.project.early) else seconds

    def _text(self, test_file: str) -> str:
        if test_file not in self._known_texts:
            self._known_texts[test_file] = (self.project.root / test_file).read_text("utf-8")
        return self._known_texts[test_file]

    @cached_property
    def _known_texts(self) -> dict[str, str]:
        return {}

    def _tests_for(self, path: str, line: int, seen: set[str]) -> set[str]:
        function, statement = find_place(self.trees[path], line)
        if function is not None:
            body = range(function.body[0].lineno, (function.end_lineno or line) + 1)
            header = isinstance(statement, ast.FunctionDef)
            return (not header and self.reach.of(path, statement_lines(statement))) or self.reach.of(path, body)
        found: set[str] = set()
        for name in names_defined(statement) - seen:
            seen.add(name)
            found |= self._tests_using(name, seen)
        return found or {test for (file, _), tests in self.reach.lines.items() if file == path for test in tests}

    def _tests_using(self, name: str, seen: set[str]) -> set[str]:
        """Return the tests that reach a use of a name, or write it themselves."""
        found = {test for test in self.reach.seconds if name in self._words(test.partition("::")[0])}
        for path, line in self._uses.get(name, ()):
            found |= self._tests_for(path, line, seen)
        return found

    def _words(self, test_file: str) -> set[str]:
        """Return the words of a test file and of the tables and sheets beside it, which it reads."""
        if test_file not in self._known_words:
            own = self.project.root / test_file
            beside = [path for path in own.parent.glob("*.py") if not path.name.startswith("test_")]
            texts = [path.read_text("utf-8") for path in (own, *beside)]
            self._known_words[test_file] = set(re.findall(r"\w+", " ".join(texts)))
        return self._known_words[test_file]

    @cached_property
    def _known_words(self) -> dict[str, set[str]]:
        return {}

    @cached_property
    def _uses(self) -> dict[str, list[tuple[str, int]]]:
        found: dict[str, list[tuple[str, int]]] = {}
        for path, tree in self.trees.items():
            for node in ast.walk(tree):
                for name in names_used(node):
                    found.setdefault(name, []).append((path, node.lineno))  # type: ignore[attr-defined]
        return found


def names_used(node: ast.AST) -> Iterator[str]:
    """Yield the name that a node reads, if it does."""
    if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
        yield node.id
    elif isinstance(node, ast.Attribute):
        yield node.attr


def names_defined(statement: ast.stmt | None) -> set[str]:
    """Return the names that a statement outside functions gives a meaning to."""
    if isinstance(statement, ast.ClassDef):
        return {statement.name}
    if isinstance(statement, ast.AnnAssign | ast.AugAssign):
        return {node.id for node in ast.walk(statement.target) if isinstance(node, ast.Name)}
    targets = statement.targets if isinstance(statement, ast.Assign) else []
    return {node.id for target in targets for node in ast.walk(target) if isinstance(node, ast.Name)}


def statement_lines(statement: ast.stmt) -> range:
    """Return the lines of a statement, of a block only its head."""
    body = getattr(statement, "body", None)
    end = body[0].lineno - 1 if body else statement.end_lineno
    return range(statement.lineno, max(statement.lineno, end or 0) + 1)


def find_place(tree: ast.Module, line: int) -> tuple[ast.FunctionDef | None, ast.stmt | None]:
    """Return the outermost function around a line, and the innermost statement."""
    function, statement = None, None
    for node in ast.walk(tree):
        if not isinstance(node, ast.stmt):
            continue
        first = min([node.lineno, *(one.lineno for one in getattr(node, "decorator_list", ()))])
        if first <= line <= (node.end_lineno or first):
            statement = node
            function = function or (node if isinstance(node, ast.FunctionDef) else None)
    return function, statement
