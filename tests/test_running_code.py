"""Outside checks check what users run: whatever a file under `tests/published/` uses is reached by the product.

Read with `ast` and by name, so it errs towards "reached": a function counts as running when something that runs
mentions its name. Running starts at the modules' own lines, at decorated functions (views, commands) and at the
public face of the rules, and follows names from there; what only a dead function mentions stays dead.
"""

from __future__ import annotations

import ast
import functools
import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import pytest

import setup_rules
from tests import structure

#: Functions that a server or a migration finds by their name.
CALLED_BY_NAME = {"post_worker_init", "downgrade"}
#: What tests ask, to see what stands in the database or in a message.
ASKED_BY_TESTS = {"printed_short_code", "find_service", "fields_of"}
PUBLISHED = sorted((structure.ROOT / "tests" / "published").glob("test_*.py"))


@functools.cache
def product() -> dict[str, ast.Module]:
    """Return every module of the product, parsed."""
    return {name: module.tree for name, module in structure.read_modules(structure.ROOT).items()}


def mentioned(nodes: Iterable[ast.AST]) -> set[str]:
    """Return every name and attribute that the nodes mention; a definition inside them is followed as well."""
    return set(mentions(nodes))


def mentions(nodes: Iterable[ast.AST]) -> Counter[str]:
    """Return how often the nodes mention each name or attribute."""
    inside = [node for top in nodes for node in ast.walk(top)]
    names = [node.id for node in inside if isinstance(node, ast.Name)]
    return Counter(names + [node.attr for node in inside if isinstance(node, ast.Attribute)])


def split_module(node: ast.AST) -> tuple[list[ast.AST], dict[str, list[ast.AST]]]:
    """Return the lines of a module or class that run when it is made, and the bodies of its functions by name."""
    at_once: list[ast.AST] = []
    later: dict[str, list[ast.AST]] = {}
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
            decorated = {
                name for name in mentioned(child.decorator_list) if name in ("route", "command", "errorhandler")
            }
            (at_once if decorated or child.name.startswith("__") else later.setdefault(child.name, [])).append(child)
        elif isinstance(child, ast.ClassDef):
            inner_at_once, inner_later = split_module(child)
            # What a class says of its fields runs when somebody makes or mentions the class.
            later.setdefault(child.name, []).extend(inner_at_once)
            for name, bodies in inner_later.items():
                later.setdefault(name, []).extend(bodies)
        else:
            at_once.append(child)
    return at_once, later


def running_names(trees: Iterable[ast.AST], roots: Iterable[str] = (), pages: str = "") -> set[str]:
    """Return every name that running code mentions, following function by function."""
    bodies: dict[str, list[ast.AST]] = {}
    first: list[ast.AST] = []
    for tree in trees:
        at_once, later = split_module(tree)
        first += at_once
        for name, found in later.items():
            bodies.setdefault(name, []).extend(found)
    in_pages = set(re.findall(r"\w+", pages))
    running: set[str] = set()
    todo = mentioned(first) | set(roots) | (in_pages & bodies.keys())
    while todo:
        running |= todo
        todo = mentioned(body for name in todo for body in bodies.get(name, ())) - running
    return running


def pages() -> str:
    """Return the text of all templates."""
    return " ".join(path.read_text(encoding="utf-8") for path in (structure.ROOT / "templates").rglob("*.*"))


@functools.cache
def running() -> set[str]:
    """Return every name that users run."""
    return running_names(product().values(), setup_rules.__all__, pages())


@functools.cache
def defined() -> set[str]:
    """Return the names of the product's functions and methods."""
    names = {function.name for tree in product().values() for _, function in structure.functions(tree)}
    return {name for name in names if not name.startswith("__")}


def checked_names(path: Path) -> set[str]:
    """Return the product's functions and classes that an outside check imports, and the methods that it calls."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    imports = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    own = [node for node in imports if (node.module or "").split(".")[0] in structure.PACKAGES]
    attributes = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    return {alias.name for node in own for alias in node.names} | (attributes & defined())


@pytest.mark.parametrize("path", PUBLISHED, ids=lambda path: path.stem)
def test_what_an_outside_check_uses_runs_in_the_product(path: Path) -> None:
    checked = checked_names(path)
    assert checked, "a check of nothing of ours is no check"
    dead = checked - running()
    assert not dead, (
        f"{path.name} checks {', '.join(sorted(dead))}, which no user runs: check what runs, delete the rest"
    )


def test_users_run_every_function() -> None:
    """What nobody runs is deleted: it is read, kept and tested for nothing. Decorators call theirs."""
    own = [one for tree in product().values() for one in tree.body if isinstance(one, ast.FunctionDef)]
    named = mentions(product().values())
    named.update(re.findall(r"\w+", pages()))
    named.update(setup_rules.__all__)
    dead = {one.name for one in own if not one.decorator_list and named[one.name] == mentions([one])[one.name]}
    assert dead == CALLED_BY_NAME | ASKED_BY_TESTS


def test_a_function_that_only_a_dead_one_calls_is_found_out() -> None:
    source = """
TABLE = used()
def used(): return inner()
def inner(): return Box().method()
def wrapper(): return wrapped()
def wrapped(): return wrapped()
class Box:
    def method(self): return 1
    def spare(self): return wrapped()
"""
    running = running_names([ast.parse(source)])
    assert {"used", "inner", "Box", "method"} <= running
    assert not running & {"wrapper", "wrapped", "spare"}


def test_a_made_up_relation_beside_the_real_ones_counts_as_dead() -> None:
    made_up = ast.parse("def boyle_but_nicer(ratio):\n    return compression_ratio(ratio)\n")
    found = running_names([*product().values(), made_up], setup_rules.__all__, pages())
    assert "compression_ratio" in found
    assert "boyle_but_nicer" not in found
