"""The shape of the project, read from its own source: arrows, cycles, sizes, names, docstrings, the map.

Everything here is read with `ast`, so that a rule holds for imports inside functions too.
"""

from __future__ import annotations

import ast
import dataclasses
import doctest
import functools
import graphlib
import importlib
import inspect
import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType

import pytest

from tests import module_map
from webapp import BLUEPRINTS

ROOT = module_map.ROOT
#: Names that say nothing of what a module is for.
FORBIDDEN_NAMES = {"utils", "util", "helpers", "helper", "common", "manager", "misc"}
LONGEST_MODULE = 400
LONGEST_VIEW = 15
STANDARD = set(sys.stdlib_module_names)


def module_name(path: Path) -> str:
    """Return the dotted name of a source file."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


SOURCES = {module_name(path): path for path in module_map.sources()}
RULES = [name for name in SOURCES if name.startswith("setup_rules")]
LAYERS = ("views", "forms", "actions", "pages", "queries")
MIGRATIONS = "webapp.ground.database.migrations"

#: Every arrow between rooms that is allowed, with its reason. Everything may use what it stands on: the rules' own
#: messages, types and face, and the ground. Whatever is not here is not allowed, and no two rooms may reach each other.
ARROWS: dict[str, dict[str, str]] = {
    "setup_rules.messages": {},
    "setup_rules.types": {"setup_rules.messages": "problems, notes and limits carry messages"},
    "setup_rules.physics": {},
    "setup_rules.parsing": {
        "setup_rules.physics": "a linkage's curve is checked where it is read",
        "setup_rules.inference": "and how many volume spacers a chamber can hold, and which classes there are",
    },
    "setup_rules.inference": {"setup_rules.physics": "springs and loads are drawn and computed"},
    "setup_rules.workshop": {"setup_rules.physics": "a leak is judged by the gas law"},
    "setup_rules.advice": {
        "setup_rules.physics": "rates, damping and geometry of the answer",
        "setup_rules.inference": "what is believed of the spring",
        "setup_rules.parsing": "a what-if reads the changed request as a new one is read",
    },
    "webapp.ground": {},
    "webapp.accounts": {},
    "webapp.library": {"webapp.accounts": "a library belongs to a shop's staff"},
    "webapp.setups": {
        "webapp.accounts": "a setup may be a shop's own",
        "webapp.library": "the form can be filled from the library",
    },
    "webapp.checks": {
        "webapp.setups": "every check makes the next revision of a setup",
        "webapp.accounts": "a guess at the rider's weight is counted as one at a password is",
    },
    "webapp.travel": {"webapp.setups": "a planned travel makes the next revision of a setup"},
    "webapp.workshop": {
        "webapp.accounts": "records are a shop's own",
        "webapp.library": "a record offers the library",
        "webapp.setups": "closing a record saves a setup or a revision",
        "webapp.travel": "the travel step enters spacers as the planner does",
    },
    "webapp.demo_day": {
        "webapp.accounts": "a bike belongs to a shop, and its setups are saved in somebody's name",
        "webapp.library": "a bike is described by the shop's forks and shocks",
        "webapp.setups": "a rider on a bike gets a saved setup",
        "webapp.cards": "a bike's tag is printed as a card is",
    },
    "webapp.calibration": {
        "webapp.accounts": "the page is a shop's staff's, the switch its owner's",
        "webapp.library": "what the checks move is kept with the library, whose estimates it stands for",
        "webapp.setups": "first checks are read from saved setups",
    },
    "webapp.moving": {
        "webapp.accounts": "a shop's file names its accounts",
        "webapp.library": "holds its forks and shocks",
        "webapp.setups": "its setups",
        "webapp.workshop": "and its records",
        "webapp.demo_day": "and its bikes",
    },
    "webapp.cards": {
        "webapp.accounts": "a shop prints several of its bikes at once",
        "webapp.setups": "the front is a saved setup",
        "webapp.workshop": "the back is a closed record",
    },
    "webapp.stacks": {
        "webapp.accounts": "a stack belongs to a shop's staff",
        "webapp.library": "a table may name the shop's forks and shocks",
        "webapp.setups": "each row of a table becomes a saved setup, read as its form reads it",
        "webapp.cards": "and a card, laid on sheets with others",
    },
    "webapp.api": {
        "webapp.setups": "the interface saves and finds setups",
        "webapp.checks": "and corrects them",
        "webapp.accounts": "a shop's own tools bring a token",
        "webapp.demo_day": "and set up its bikes",
    },
    "webapp.commands": {
        "webapp.calibration": "how right we are, from the command line",
        "webapp.accounts": "shops and staff from the command line",
        "webapp.cards": "the doctor prints a card",
        "webapp.stacks": "a worker makes stacks, and a task prints one",
        "webapp.library": "the demo fills a library",
        "webapp.demo_day": "and a fleet; the end of a day from the command line",
        "webapp.moving": "a shop moves by two tasks",
        "webapp.checks": "the demo's setups have a history",
        "webapp.setups": "the demo saves setups",
        "webapp.workshop": "the demo and the purge know records",
    },
}


@functools.cache
def imports(module: str) -> frozenset[str]:
    """Return every module that a module imports, at its top or inside a function, but not for type checking only."""
    found: set[str] = set()
    for node in _running(ast.parse(SOURCES[module].read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module} imports by dots; name the module whole"
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                found.add(whole if whole in SOURCES else str(node.module))
    return frozenset(found)


def _running(node: ast.AST) -> Iterator[ast.AST]:
    yield node
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.If) and "TYPE_CHECKING" in ast.dump(child.test):
            continue
        yield from _running(child)


def room(module: str) -> str:
    """Return the room that a module lies in, "" for the two packages' own faces."""
    if module == "webapp.__main__":
        return "webapp.commands"
    parts = module.split(".")
    return ".".join(parts[:2]) if len(parts) > 1 and parts[0] in ("webapp", "setup_rules") else ""


def layer(module: str) -> str:
    """Return the layer of a module inside its room, "" for what lies beside the layers."""
    parts = module.split(".")
    return parts[2] if len(parts) > 2 and parts[0] == "webapp" and parts[2] in LAYERS else ""


def within(module: str, *roots: str) -> bool:
    """Return whether a module is one of the roots or lies inside one."""
    return any(module == one or module.startswith(f"{one}.") for one in roots)


def breaches(modules: list[str], allowed: Callable[[str], bool]) -> list[str]:
    """Return "module -> imported" for every import that is not allowed."""
    return [f"{m} -> {found}" for m in modules for found in sorted(imports(m)) if not allowed(found)]


def in_layer(name: str) -> list[str]:
    """Return the modules of one layer, of all rooms."""
    return [m for m in SOURCES if layer(m) == name]


def test_the_source_was_found() -> None:
    assert len(RULES) > 15
    assert {room(m) for m in SOURCES} - {""} == set(ARROWS)
    assert all(in_layer(name) for name in LAYERS)


def test_the_rules_import_only_the_standard_library_and_numbers() -> None:
    files = {"os", "io", "pathlib", "logging", "random", "time", "datetime", "secrets", "socket", "sqlite3", "sys"}
    allowed = (STANDARD - files) | {"setup_rules", "pint", "numpy", "scipy"}
    assert not breaches(RULES, lambda found: found.split(".")[0] in allowed)


@pytest.mark.parametrize("source", ARROWS)
def test_a_room_imports_only_the_rooms_that_its_arrows_point_to(source: str) -> None:
    below = {"", source, "setup_rules.messages", *ARROWS[source]}
    below |= {"setup_rules.types"} if source != "setup_rules.messages" else set()
    if source.startswith("webapp"):
        below |= {"webapp.ground", *(name for name in ARROWS if name.startswith("setup_rules."))}
    inside = [m for m in SOURCES if room(m) == source]
    assert not breaches(inside, lambda found: room(found) in below)


def test_every_arrow_of_the_table_is_there() -> None:
    drawn = {(room(m), room(found)) for m in SOURCES for found in imports(m)}
    assert not [(one, other) for one, targets in ARROWS.items() for other in targets if (one, other) not in drawn]


def test_the_arrows_between_rooms_make_no_cycle() -> None:
    list(graphlib.TopologicalSorter({one: set(targets) for one, targets in ARROWS.items()}).static_order())


@pytest.mark.parametrize(
    ("source", "targets"),
    [
        ("forms", {"forms"}),
        ("pages", {"pages", "actions"}),
        ("actions", {"actions", "queries"}),
        ("queries", {"queries"}),
        ("views", {"views", "forms", "actions", "pages"}),
    ],
)
def test_a_layer_imports_only_the_layers_below_it(source: str, targets: set[str]) -> None:
    found = breaches(in_layer(source), lambda one: layer(one) in {"", *targets})
    assert not found


def test_pages_take_only_types_from_actions() -> None:
    taken = [
        f"{m} takes {alias.name}"
        for m in in_layer("pages")
        for node in ast.walk(ast.parse(SOURCES[m].read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and layer(str(node.module)) == "actions"
        for alias in node.names
        if not alias.name[0].isupper()
    ]
    assert not taken


def test_only_queries_and_the_ground_import_the_database_library() -> None:
    outside = [m for m in SOURCES if layer(m) != "queries" and not within(m, "webapp.ground")]
    assert not breaches(outside, lambda found: not within(found, "sqlalchemy", "alembic", "sqlite3"))


@pytest.mark.parametrize(
    ("library", "homes"),
    [
        ("weasyprint", {"webapp.cards.rendering.pdf", "webapp.commands.doctor"}),
        ("qrcode", {"webapp.cards.rendering.qr", "webapp.cards.rendering.qr_masks"}),
        ("flask_babel", {"webapp.ground.text.i18n"}),
        ("wtforms", {m for m in SOURCES if layer(m) == "forms"} | {"webapp.ground.fields"}),
        ("pikepdf", {"webapp.cards.rendering.fragments", "webapp.cards.rendering.type_case"}),
        ("fontTools", {"webapp.cards.rendering.type_case"}),
        ("huey", {"webapp.stacks.work_queue"}),
        ("waitress", {"webapp.commands.http_server", "webapp.commands.cli"}),
    ],
)
def test_a_library_has_one_home(library: str, homes: set[str]) -> None:
    outside = [m for m in SOURCES if not within(m, *homes)]
    assert not breaches(outside, lambda found: not within(found, library))


def test_only_the_factory_imports_views_and_it_does() -> None:
    outside = [m for m in SOURCES if m != "webapp" and layer(m) != "views"]
    assert not breaches(outside, lambda found: layer(found) != "views")
    named = {f"webapp.{name}" for name in BLUEPRINTS}
    assert named == {m for m in SOURCES if "= Blueprint(" in SOURCES[m].read_text(encoding="utf-8")}


def test_imports_make_no_cycle() -> None:
    # A package's __init__ that only gathers names is no cycle with the modules it gathers, so each edge is to a module.
    graph = {m: {found for found in imports(m) if found in SOURCES and found != m} for m in SOURCES}
    try:
        list(graphlib.TopologicalSorter(graph).static_order())
    except graphlib.CycleError as cycle:
        pytest.fail(" -> ".join(cycle.args[1]))


@pytest.mark.parametrize("module", SOURCES)
def test_a_module_is_short_and_says_what_it_is(module: str) -> None:
    text = SOURCES[module].read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST_MODULE
    assert not text.strip() or ast.get_docstring(ast.parse(text)), "a module says in its first line what it is for"


def test_no_module_has_a_name_that_says_nothing() -> None:
    assert not [m for m in SOURCES if FORBIDDEN_NAMES & set(m.split("."))]


def functions(module: str) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Return every function and method of a module."""
    tree = ast.parse(SOURCES[module].read_text(encoding="utf-8"))
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]


def test_a_view_is_short() -> None:
    def body_lines(view: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
        start = view.body[1] if ast.get_docstring(view) and len(view.body) > 1 else view.body[0]
        return (view.end_lineno or 0) - start.lineno + 1

    long = [
        f"{m}.{f.name}: {body_lines(f)}"
        for m in in_layer("views")
        for f in functions(m)
        if body_lines(f) > LONGEST_VIEW
    ]
    assert not long


def test_a_function_of_more_than_forty_lines_is_a_table_or_says_why() -> None:
    def own_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
        doc = ast.get_docstring(function, clean=False) or ""
        return (function.end_lineno or 0) - function.lineno + 1 - len(doc.splitlines())

    reasoned = {
        # One long call that names every field of the answer.
        "setup_rules.advice.recommend._end_setup",
        # Nine keyword arguments and a draft that names nine columns, one a line.
        "webapp.setups.actions.append_revision.append_revision",
    }
    long = {f"{m}.{f.name}" for m in SOURCES if not within(m, MIGRATIONS) for f in functions(m) if own_lines(f) > 40}
    assert long <= reasoned


def public_things(module: ModuleType) -> Iterator[tuple[str, Callable[..., object]]]:
    """Yield (name, function or class) for everything public that a module defines itself, methods included."""
    for name, thing in vars(module).items():
        if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
            continue
        if inspect.isclass(thing):
            yield name, thing
            for inner, method in vars(thing).items():
                made = inspect.unwrap(getattr(method, "__func__", getattr(method, "fget", method)))
                own = inspect.isfunction(made) and made.__qualname__.startswith(thing.__qualname__)
                if own and not inner.startswith("_"):
                    yield f"{name}.{inner}", made
        elif callable(thing):
            yield name, inspect.unwrap(thing)


PUBLIC = [
    pytest.param(thing, id=f"{module}.{name}")
    for module in RULES
    for name, thing in public_things(importlib.import_module(module))
]


@pytest.mark.parametrize("thing", PUBLIC)
def test_everything_public_in_the_rules_has_a_docstring_of_its_own(thing: Callable[..., object]) -> None:
    text = inspect.getdoc(thing) or ""
    generated = dataclasses.is_dataclass(thing) and text.startswith(f"{thing.__name__}(")  # type: ignore[union-attr]
    assert text
    assert not generated
    assert text.split("\n\n")[0].rstrip().endswith((".", "…", "!", "?"))


@pytest.mark.parametrize("thing", PUBLIC)
def test_the_parameters_that_a_docstring_names_are_those_of_the_signature(thing: Callable[..., object]) -> None:
    named = documented_parameters(inspect.getdoc(thing) or "")
    if named is None:
        assert "Parameters\n" not in (inspect.getdoc(thing) or "")
        return
    taken = [name for name in inspect.signature(thing).parameters if name not in ("self", "cls")]
    # Parameters that share a line may stand in another order than they are taken in.
    assert sorted(named) == sorted(taken)


def documented_parameters(text: str) -> list[str] | None:
    """Return the names in a docstring's Parameters section, in order; None where there is no such section."""
    section = re.search(r"^Parameters\n-+\n(.*?)(?=^\w[^\n]*\n-+\n|\Z)", text, re.MULTILINE | re.DOTALL)
    if section is None:
        return None
    heads = re.findall(r"^(\w[\w, ]*?) : ", section.group(1), re.MULTILINE)
    return [name.strip() for head in heads for name in head.split(",")]


@pytest.mark.parametrize("module", SOURCES)
def test_the_examples_in_the_docstrings_run(module: str) -> None:
    if within(module, MIGRATIONS) or module == "webapp.__main__":
        assert ">>>" not in SOURCES[module].read_text(encoding="utf-8")
        return
    if ">>>" not in SOURCES[module].read_text(encoding="utf-8"):
        return
    outcome = doctest.testmod(importlib.import_module(module))
    assert outcome.attempted > 0
    assert outcome.failed == 0


def test_the_rooms_are_listed_as_they_describe_themselves() -> None:
    fix = "run `python -m tests.module_map`"
    assert module_map.written_map() == module_map.drawn_map(), fix
    for path in module_map.rooms():
        assert (path / "__init__.py").read_text(encoding="utf-8") == module_map.drawn_room(path), fix


def test_nothing_is_added_to_the_top_level() -> None:
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "webapp", "templates", "setup_rules", "tests", "LICENSE"}
    built = {"build", "dist", "__pycache__"}
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and path.suffix != ".egg-info"}
    assert found - built == agreed
