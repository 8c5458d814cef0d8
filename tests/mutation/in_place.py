"""Tries mutants without importing anything anew: all tests are collected once, each trial is a fork with one function
exchanged.

Started as a script in a copy of the project, asked over standard input like `serve`. A change outside functions (a
constant, a default, a decorator) or in a function that already ran during import cannot be made that way: `serve` does
those. This file imports nothing of the project but `serve` beside it.
"""

from __future__ import annotations

import functools
import gc
import json
import os
import signal
import sys
import types
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))
import serve  # type: ignore[import-not-found]  # beside this script, wherever that lies

IS_FUNCTION = 0x3  # CO_OPTIMIZED | CO_NEWLOCALS: a class body or a module has not both


def inner_codes(code: types.CodeType) -> list[types.CodeType]:
    """Return the code objects among a code's constants."""
    return [one for one in code.co_consts if isinstance(one, types.CodeType)]


def is_function(code: types.CodeType) -> bool:
    """Return whether a code is a function's, not a class body's."""
    return code.co_flags & IS_FUNCTION == IS_FUNCTION


def own_part(code: types.CodeType) -> tuple[Any, ...]:
    """Return what a module or class body does itself, with its functions left out."""
    rest = tuple(repr(one) for one in code.co_consts if not isinstance(one, types.CodeType))
    bodies = tuple(own_part(one) for one in inner_codes(code) if not is_function(one))
    return (code.co_name, code.co_code, code.co_names, rest, bodies)


def functions_of(code: types.CodeType) -> Iterator[types.CodeType]:
    """Yield the code of every function of a module, also of those inside classes and functions."""
    for one in inner_codes(code):
        if is_function(one):
            yield one
        yield from functions_of(one)


def changed_functions(before: str, after: str, path: str) -> dict[tuple[str, int], types.CodeType] | None:
    """Return the changed functions' code by name and first line; None where more than functions is changed."""
    old, new = compile(before, path, "exec", dont_inherit=True), compile(after, path, "exec", dont_inherit=True)
    if own_part(old) != own_part(new):
        return None
    was = {(one.co_qualname, one.co_firstlineno): one for one in functions_of(old)}
    now = {(one.co_qualname, one.co_firstlineno): one for one in functions_of(new)}
    if was.keys() != now.keys() or any(was[key].co_freevars != now[key].co_freevars for key in was):
        return None
    return {key: now[key] for key in now if now[key] != was[key]}


class InMemory:
    """What is in memory of a package after all tests were collected: looked for once, exchanged in every fork."""

    def __init__(self, package: str) -> None:
        self.root = Path(package).resolve()
        self.functions: dict[str, dict[tuple[str, int], list[types.FunctionType]]] = {}
        self.caches: list[Any] = []
        for one in gc.get_objects():
            if type(one) is types.FunctionType and one.__code__.co_filename.startswith(f"{self.root}{os.sep}"):
                of_module = self.functions.setdefault(one.__code__.co_filename, {})
                of_module.setdefault((one.__code__.co_qualname, one.__code__.co_firstlineno), []).append(one)
            elif isinstance(one, functools._lru_cache_wrapper) and str(one.__module__).startswith(package):
                self.caches.append(one)

    def exchange(self, path: str, source: str) -> bool:
        """Let a module's changed functions take the place of those in memory; False where that cannot be done."""
        full = str(Path(path).resolve())
        changed = changed_functions(Path(path).read_text("utf-8"), source, full)
        live = self.functions.get(full, {})
        if not changed or not any(key in live for key in changed):
            return False
        for key, code in changed.items():
            for function in live.get(key, ()):
                function.__code__ = code
        for cache in self.caches:
            cache.cache_clear()
        return True


class Trials:
    """Answers questions in place of pytest's own loop over the tests."""

    def __init__(self, package: str) -> None:
        self.package = package
        self.failed = ""

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        for item in items:
            serve.draw_less(item)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed = self.failed or report.nodeid

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        gc.collect()
        self.memory = InMemory(self.package)
        gc.freeze()  # a fork that collects would copy all that it looks at
        print(json.dumps({"tests": len(items)}), file=ANSWERS, flush=True)
        for line in sys.stdin:
            question = json.loads(line)
            most_seconds = question.pop("most_seconds")
            answer = serve.in_fork(functools.partial(self.attempt, items, **question), most_seconds)
            print(json.dumps(answer), file=ANSWERS, flush=True)
        return True

    def attempt(self, items: dict[str, pytest.Item], path: str, source: str, tests: dict[str, int]) -> dict[str, Any]:
        """Return how chosen tests end with one module's text changed; code 6 where `serve` has to do it."""
        if source and not self.memory.exchange(path, source):
            return {"code": 6, "failed": "", "ran": 0}
        chosen = [items[name] for name in tests if name in items]
        for number, (item, after) in enumerate(zip(chosen, [*chosen[1:], None], strict=True)):
            signal.alarm(tests[item.nodeid])
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if self.failed:
                return {"code": 1, "failed": self.failed, "ran": number + 1}
        signal.alarm(0)
        return {"code": 0 if chosen else 5, "failed": "", "ran": len(chosen)}


if __name__ == "__main__":
    sys.path[0:2] = [os.getcwd()]
    # Answers go out over a stream of their own: pytest prints what it collects.
    ANSWERS = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    package, *arguments = sys.argv[1:]
    pytest.main([*(one for one in serve.ARGUMENTS if one != "-x"), "-s", *arguments], plugins=[Trials(package)])
