"""Figures of the source's structure, printed by one command: `python -m tests.structure [ROOT]`.

Everything is read with `ast`, nothing is imported, so any checkout can be measured, also one laid out otherwise: a
room is a first-level folder of `webapp/` or `setup_rules/`; what lies beside the folders is a room of the package's
own name. Migrations are no candidates for the longest functions, and the factory's imports by string are no arrows.
"""

from __future__ import annotations

import ast
import graphlib
import re
import statistics
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parent.parent
PACKAGES: Final = ("setup_rules", "webapp")
LONGEST_SHOWN: Final = 10
#: The rooms that state relations: what is parsed, worded or decided elsewhere is none.
RELATION_ROOMS: Final = {f"setup_rules/{room}" for room in ("physics", "inference", "workshop")}
#: The names that a return annotation is made of where a function gives a number, an array (the rules write it as Any)
#: or several numbers at once in a class of their own. At least one of the first, none beside both.
NUMERIC: Final = {"float", "int", "complex", "Any", "ndarray", "NDArray"} | {
    "Banded",
    "ChartReading",
    "ClickStart",
    "GeometryChange",
    "LeakResult",
    "SpacerEffect",
    "TorqueResult",
}
PARTS: Final = ("equation", "[unit]", "Raises", "Examples", "References")
BESIDE: Final = {"tuple", "None", "np", "numpy", "float64"}

Function = ast.FunctionDef | ast.AsyncFunctionDef
Graph = dict[str, set[str]]


@dataclass(frozen=True)
class Module:
    """One module: its dotted name, where it lies below the root, and its source."""

    name: str
    path: Path
    text: str

    @cached_property
    def tree(self) -> ast.Module:
        """The module, parsed."""
        return ast.parse(self.text)

    @property
    def room(self) -> str:
        """The room that the module lies in."""
        return "/".join(self.path.parts[:2]) if len(self.path.parts) > 2 else self.path.parts[0]

    @property
    def lines(self) -> int:
        """Its length in lines."""
        return len(self.text.splitlines())


def read_modules(root: Path) -> dict[str, Module]:
    """Return every module of the project's own packages by its dotted name."""
    found = {}
    for package in PACKAGES:
        for path in sorted((root / package).rglob("*.py")):
            place = path.relative_to(root)
            parts = place.with_suffix("").parts
            name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
            found[name] = Module(name, place, path.read_text(encoding="utf-8"))
    return found


def read_imports(modules: dict[str, Module]) -> Graph:
    """Return for each module the project's own modules that it imports, inside functions too, not for types only."""
    return {name: {one for one in _imported(module, modules) if one != name} for name, module in modules.items()}


def _imported(module: Module, modules: dict[str, Module]) -> Iterator[str]:
    for node in _running(module.tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in modules)
        elif isinstance(node, ast.ImportFrom):
            base = _base(module, node)
            for alias in node.names:
                whole = f"{base}.{alias.name}"
                yield from ({whole} if whole in modules else {base} & modules.keys())


def _base(module: Module, node: ast.ImportFrom) -> str:
    if not node.level:
        return node.module or ""
    parts = module.path.parts[: len(module.path.parts) - node.level]
    return ".".join((*parts, *([node.module] if node.module else [])))


def _running(node: ast.AST) -> Iterator[ast.AST]:
    yield node
    for child in ast.iter_child_nodes(node):
        if not (isinstance(child, ast.If) and "TYPE_CHECKING" in ast.dump(child.test)):
            yield from _running(child)


def find_cycles(graph: Graph) -> list[list[str]]:
    """Return groups that reach each other: one cycle a round, its members then taken as one, until none is left."""
    groups = {name: frozenset({name}) for name in graph}
    while True:
        merged: dict[frozenset[str], set[frozenset[str]]] = {group: set() for group in groups.values()}
        for name, targets in graph.items():
            merged[groups[name]] |= {groups[target] for target in targets} - {groups[name]}
        try:
            list(graphlib.TopologicalSorter(merged).static_order())
        except graphlib.CycleError as error:
            whole = frozenset().union(*error.args[1])
            groups |= dict.fromkeys(whole, whole)
        else:
            return sorted(sorted(group) for group in merged if len(group) > 1)


def room_arrows(modules: dict[str, Module], imports: Graph) -> Counter[tuple[str, str]]:
    """Return between which rooms imports point, and how many."""
    pairs = ((modules[one].room, modules[other].room) for one in imports for other in imports[one])
    return Counter((one, other) for one, other in pairs if one != other)


def functions(tree: ast.AST, inside: str = "") -> Iterator[tuple[str, Function]]:
    """Yield every function and method with its name as it is reached."""
    for node in ast.iter_child_nodes(tree):
        name = f"{inside}{getattr(node, 'name', '')}"
        if isinstance(node, Function):
            yield name, node
        yield from functions(node, f"{name}." if isinstance(node, Function | ast.ClassDef) else inside)


def own_lines(function: Function) -> int:
    """Return how long a function is without its docstring."""
    doc = ast.get_docstring(function, clean=False)
    return (function.end_lineno or 0) - function.lineno + 1 - (len(doc.splitlines()) if doc else 0)


def relations(module: Module) -> list[Function]:
    """Return the public functions that state a relation: in such a room, with a parameter beside self, giving numbers.

    What a protocol asks for is none: it computes nothing.
    """
    return [function for _, function in named_relations(module)]


def named_relations(module: Module) -> list[tuple[str, Function]]:
    """Return the relations of a module, each with its name as it is reached."""
    if module.room not in RELATION_ROOMS:
        return []
    tree = module.tree
    protocols = {
        f"{node.name}."
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef) and any(ast.unparse(base) == "Protocol" for base in node.bases)
    }
    found = [(name, one) for name, one in functions(tree) if _is_public(name) and _gives_numbers(one)]
    return [(name, one) for name, one in found if not any(name.startswith(protocol) for protocol in protocols)]


def _is_public(name: str) -> bool:
    return not any(part.startswith("_") for part in name.split("."))


def _gives_numbers(function: Function) -> bool:
    return bool(parameters(function)) and _is_numeric(function.returns)


def parameters(function: Function) -> list[ast.arg]:
    """Return what a function takes, without self."""
    given = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    return [one for one in given if one.arg not in ("self", "cls")]


def _is_numeric(annotation: ast.expr | None) -> bool:
    names = set(re.findall(r"\w+", ast.unparse(annotation) if annotation else ""))
    return bool(names & NUMERIC) and names <= NUMERIC | BESIDE


def docstring_sections(function: Function) -> dict[str, str]:
    """Return the sections of a docstring by name; what stands before them under the empty name."""
    text = ast.get_docstring(function) or ""
    heads = re.split(r"^(\w+)\n-{3,}\n", text, flags=re.MULTILINE)
    return {"": heads[0]} | dict(zip(heads[1::2], heads[2::2], strict=True))


def stated_units(function: Function) -> dict[str, str]:
    """Return what stands in brackets beside each documented parameter and "return"; empty where nothing does."""
    sections = docstring_sections(function)
    heads = re.findall(r"^(\w[\w, ]*?) : (.+)$", sections.get("Parameters", ""), re.MULTILINE)
    heads += [("return", (sections.get("Returns", "").splitlines() or [""])[0])]
    found = [(names, re.search(r"\[([^\]]+)\]", line)) for names, line in heads]
    return {name.strip(): unit.group(1) if unit else "" for names, unit in found for name in names.split(",")}


def docstring_parts(function: Function) -> set[str]:
    """Return which of `PARTS` a docstring has: [unit] only where every number that goes in or comes out has one.

    An equation is anything said between the first sentence and the sections.
    """
    sections, units = docstring_sections(function), stated_units(function)
    parts = {name for name in ("Raises", "Examples", "References") if sections.get(name, "").strip()}
    numbers = [one.arg for one in parameters(function) if _is_numeric(one.annotation)]
    if all(units.get(name) for name in (*numbers, "return")):
        parts.add("[unit]")
    return parts | ({"equation"} if "\n\n" in sections[""].strip() else set())


def raises_itself(function: Function) -> bool:
    """Return whether a function's own body raises."""
    return any(isinstance(node, ast.Raise) for node in ast.walk(function))


def recipe_places(document: str) -> dict[str, list[str]]:
    """Return for each recipe of DEVELOPERS.md the distinct files and folders that it names in backticks."""
    section = document.partition("\n## Recipes\n")[2].partition("\n## ")[0]
    found = {}
    for title, body in re.findall(r"^\*\*(.+?)\*\*(.*?)(?=^\*\*|\Z)", section, re.MULTILINE | re.DOTALL):
        named = re.findall(r"`([^`\n]+)`", body)
        found[title.rstrip(".")] = sorted(
            {one for one in named if re.fullmatch(r"[\w./-]*(/|\.(py|html|css|md))", one)}
        )
    return found


def missing_places(root: Path, places: Iterable[str]) -> list[str]:
    """Return the named places that lie nowhere in the project, neither whole nor as the end of a path."""
    tops = [root / name for name in (*PACKAGES, "templates", "tests")]
    real = [path for top in tops for path in (top, *top.rglob("*"))]
    ends = [f"/{path.relative_to(root).as_posix()}{'/' if path.is_dir() else ''}" for path in real]
    return [one for one in places if not any(end.endswith(f"/{one}") for end in ends)]


def print_structure(root: Path) -> None:
    """Print all figures of the checkout at `root`."""
    modules = read_modules(root)
    imports = read_imports(modules)
    _print_rooms(modules)
    _print_longest(modules)
    _print_arrows(imports, room_arrows(modules, imports))
    _print_docstrings([one for module in modules.values() for one in relations(module)])
    _print_recipes(root)


def _print_rooms(modules: dict[str, Module]) -> None:
    print(f"{'room':<28}{'modules':>8}{'median':>8}{'p90':>6}{'longest':>9}   (lines)")
    rooms = {name: [m.lines for m in modules.values() if m.room == name] for name in {m.room for m in modules.values()}}
    for name, lines in [*sorted(rooms.items()), ("all", [m.lines for m in modules.values()])]:
        p90 = statistics.quantiles(lines, n=10, method="inclusive")[-1] if len(lines) > 1 else lines[0]
        print(f"{name:<28}{len(lines):>8}{statistics.median(lines):>8.0f}{p90:>6.0f}{max(lines):>9}")


def _print_longest(modules: dict[str, Module]) -> None:
    live = [module for module in modules.values() if "migrations" not in module.path.parts]
    found = [(own_lines(f), f"{m.name}.{name}") for m in live for name, f in functions(m.tree)]
    print(f"\nfunctions: {len(found)}, median {statistics.median(n for n, _ in found):.0f} lines; the longest:")
    for lines, name in sorted(found, reverse=True)[:LONGEST_SHOWN]:
        print(f"{lines:>6}  {name}")


def _print_arrows(imports: Graph, arrows: Counter[tuple[str, str]]) -> None:
    cycles = find_cycles(imports)
    rooms: Graph = {name: {other for one, other in arrows if one == name} for pair in arrows for name in pair}
    print(f"\nimport cycles between modules: {len(cycles)}", *("  " + " <-> ".join(one) for one in cycles), sep="\n")
    circles = find_cycles(rooms)
    print(f"import cycles between rooms: {len(circles)}", *("  " + " <-> ".join(one) for one in circles), sep="\n")
    print(f"arrows between rooms: {len(arrows)}")
    for (one, other), count in sorted(arrows.items()):
        print(f"{count:>6}  {one} -> {other}")


def _print_docstrings(found: list[Function]) -> None:
    print(f"\npublic relations, in {', '.join(sorted(RELATION_ROOMS))}: {len(found)}; their docstrings have")
    for part in PARTS:
        _print_share(part, [part in docstring_parts(one) for one in found])
    _print_share(
        "Raises, of those that raise", ["Raises" in docstring_parts(one) for one in found if raises_itself(one)]
    )


def _print_share(what: str, has: list[bool]) -> None:
    print(f"{what:>30}: {sum(has):>3} of {len(has):>3}, {100 * sum(has) / max(1, len(has)):.0f} %")


def _print_recipes(root: Path) -> None:
    print("\nfiles and folders that each recipe names:")
    for title, places in recipe_places((root / "DEVELOPERS.md").read_text(encoding="utf-8")).items():
        lost = missing_places(root, places)
        print(f"{len(places):>6}  {title}" + (f" (not found: {', '.join(lost)})" if lost else ""))


if __name__ == "__main__":
    print_structure(Path(sys.argv[1]).resolve() if len(sys.argv) > 1 else ROOT)
