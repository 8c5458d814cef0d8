"""Mutants of a package: one small change each, made by the operators of cosmic-ray.

Left out are changes that cannot be a wrong rule: of annotations, which never run; to operators that floats do not
have; of `is`, which for numbers and short strings is the interpreter's business; of caches, without which the same
answer comes later; and of zip's `strict` and a dataclass's `frozen` and `slots`, which change no answer and only refuse
what never comes.
"""

from __future__ import annotations

import ast
import difflib
import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.provider import OperatorProvider
from parso.tree import NodeOrLeaf

_ARITHMETIC = ("Add", "Sub", "Mul", "Div", "FloorDiv", "Mod", "Pow")
#: Into `//`, `%` and `**` nothing is changed: such rules are so far off that they would only flatter the figure.
_BASIC = ("Add", "Sub", "Mul", "Div")
_ORDER = ("Eq", "NotEq", "Lt", "LtE", "Gt", "GtE")
_ORDERED = tuple(f"Eq_{name}" for name in ("Lt", "LtE", "Gt", "GtE"))
#: The wrong turn that people take, which is near what stands there; a sum instead of a product is noticed anyway.
_NEAREST = (
    ("Add", "Sub"),
    ("Sub", "Add"),
    ("Mul", "Div"),
    ("Div", "Mul"),
    ("FloorDiv", "Div"),
    ("Mod", "Div"),
    ("Pow", "Mul"),
)
#: Whoever notices these notices every other replacement of a comparison: they ask for a test wherever another differs
#: (after Kaminski, Ammann and Offutt, "Improving logic-based testing", 2013, remembered; a test goes through all).
_HARDEST = {
    "Lt": ("LtE", "NotEq"),
    "LtE": ("Lt", "Eq"),
    "Gt": ("GtE", "NotEq"),
    "GtE": ("Gt", "Eq"),
    "Eq": ("NotEq", "LtE", "GtE"),
    "NotEq": ("Eq", "Lt", "Gt"),
}
_SINGLE = (
    "AddNot",
    "ReplaceTrueWithFalse",
    "ReplaceFalseWithTrue",
    "ReplaceAndWithOr",
    "ReplaceOrWithAnd",
    "ReplaceBreakWithContinue",
    "ReplaceContinueWithBreak",
    "ExceptionReplacer",
    "NumberReplacer",
    "RemoveDecorator",
    "ZeroIterationForLoop",
    "ReplaceUnaryOperator_Delete_USub",
    "ReplaceUnaryOperator_Delete_Not",
    "ReplaceBinaryOperator_BitOr_BitAnd",
    "ReplaceBinaryOperator_BitAnd_BitOr",
    "ReplaceComparisonOperator_Is_IsNot",
    "ReplaceComparisonOperator_IsNot_Is",
)


def _replacing(kind: str, pairs: Iterable[tuple[str, str]]) -> list[str]:
    return [f"Replace{kind}Operator_{one}_{other}" for one, other in pairs if one != other]


def operator_names(every: bool = False) -> list[str]:
    """Return the operators in use, by cosmic-ray's names: a sufficient set, or every one."""
    if every:
        binary = list(itertools.product(_ARITHMETIC, _BASIC))
        order = list(itertools.product(_ORDER, _ORDER))
        return [*_replacing("Binary", binary), *_replacing("Comparison", order), *_SINGLE]
    hardest = [(one, other) for one, others in _HARDEST.items() for other in others]
    return [*_replacing("Binary", _NEAREST), *_replacing("Comparison", hardest), *_SINGLE]


@dataclass(frozen=True)
class Module:
    """A module to change: its path below the project's root, as `setup_rules/physics/gas.py`, and its source."""

    path: str
    source: str

    @cached_property
    def running(self) -> str:
        """What of the module runs: its syntax without annotations and docstrings."""
        return running_syntax(self.source)


@dataclass(frozen=True)
class Mutant:
    """One change: which operator, at its how-manieth place in the module, which is on this line (from 1)."""

    module: Module
    operator: str
    occurrence: int
    line: int

    @cached_property
    def source(self) -> str | None:
        """The module's changed text; None where nothing that runs is changed, or where it is no Python any more."""
        changed = mutate_code(self.module.source, OperatorProvider()[self.operator](), self.occurrence)
        try:
            return changed if changed and running_syntax(changed) != self.module.running else None
        except SyntaxError:
            return None

    @cached_property
    def change(self) -> tuple[str, str]:
        """The changed lines before and after, without their indentation."""
        lines = list(difflib.ndiff(self.module.source.splitlines(), (self.source or "").splitlines()))
        before, after = ([line[2:].strip() for line in lines if line.startswith(sign)] for sign in ("- ", "+ "))
        return "\n".join(before), "\n".join(after)

    def diff(self) -> str:
        """Return the change as a diff of one hunk, with a line around it."""
        texts = (self.module.source.splitlines(), (self.source or "").splitlines())
        return "\n".join(difflib.unified_diff(*texts, self.module.path, self.module.path, n=1, lineterm=""))


_CACHES = ("functools.cache", "functools.lru_cache", "lru_cache", "cache")


class _Running(ast.NodeTransformer):
    """Takes away what never runs."""

    def visit_arg(self, node: ast.arg) -> ast.arg:
        node.annotation = None
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.FunctionDef:
        node.returns = None
        node.decorator_list = [one for one in node.decorator_list if ast.unparse(one).partition("(")[0] not in _CACHES]
        self.generic_visit(node)
        return node

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AnnAssign:
        node.annotation = ast.Constant(None)
        self.generic_visit(node)
        return node

    def visit_keyword(self, node: ast.keyword) -> ast.keyword | None:
        self.generic_visit(node)
        return None if node.arg in ("strict", "frozen", "slots") else node

    def visit_Expr(self, node: ast.Expr) -> ast.Expr | ast.Pass:
        return ast.Pass() if isinstance(node.value, ast.Constant) else node


def running_syntax(source: str) -> str:
    """Return a module's syntax without annotations (all are lazy here) and docstrings, to compare."""
    return ast.dump(_Running().visit(ast.parse(source)))


def read_modules(root: Path, package: str, left_out: tuple[str, ...] = ()) -> list[Module]:
    """Return a package's modules but for its `__init__`s and those below the paths left out."""
    paths = sorted(path for path in (root / package).rglob("*.py") if path.name != "__init__.py")
    named = [(path.relative_to(root).as_posix(), path) for path in paths]
    return [Module(name, path.read_text("utf-8")) for name, path in named if not name.startswith(left_out)]


def find_mutants(module: Module, every: bool = True) -> Iterator[Mutant]:
    """Yield the changes that the operators can make to a module, also those that turn out to change nothing.

    Without `every` by the sufficient set of operators, and of a number only the next one (the one before it is left
    out: who notices one nearly always notices the other).
    """
    nodes = list(ast_nodes(get_ast(module.source)))
    provider = OperatorProvider()
    for name in operator_names(every):
        operator = provider[name]()
        places = ((node, place) for node in nodes for place in operator.mutation_positions(node))
        for number, (node, (start, _)) in enumerate(places):
            left_out = not every and name == "NumberReplacer" and number % 2
            if not left_out and not (name.endswith(_ORDERED) and _compares_text(node)):
                yield Mutant(module, name, number, start[0])


def _compares_text(node: NodeOrLeaf) -> bool:
    """Return whether a comparison has a written text on a side: that one text comes before another means nothing."""
    return any(child.type == "string" for child in getattr(node, "children", ()))
