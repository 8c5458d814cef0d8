"""Every statement that changes or erases a row of a shop names the shop, read from the source.

An action has looked the row up in the shop before it writes; should one forget that, the statement finds no row.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from typing import Final

import pytest

from tests.module_map import ROOT
from webapp.ground.database.setup_rows import Base
from webapp.ground.database.tables import metadata

#: Statements for all shops at once, each with its reason.
OF_ALL_SHOPS: Final = {
    "webapp/workshop/queries/records.py erase_old_drafts": "the purge erases every shop's old drafts",
    "webapp/stacks/queries.py hold_stack": "one worker makes the stacks of all shops",
    "webapp/stacks/queries.py let_go": "likewise",
    "webapp/stacks/queries.py set_state": "likewise; who cancels has found the stack among the shop's own",
    "webapp/stacks/queries.py take_back_cards": "cards of deleted setups are taken back wherever they lie",
    "webapp/stacks/queries.py erase_stacks": "the purge, and who has found the stacks among the shop's own",
}
#: The rows that carry their shop.
OWNED: Final = {
    mapper.class_.__name__
    for mapper in Base.registry.mappers
    if "shop_id" in metadata.tables[mapper.local_table.name].c
}


def writes(source: str) -> Iterator[tuple[str, str, bool]]:
    """Give (function, row, whether its condition holds the row's shop) for each update and delete of a shop's row."""
    tree = ast.parse(source)
    functions = [one for one in ast.walk(tree) if isinstance(one, ast.FunctionDef)]
    for scope in (*functions, tree):
        inner = {id(one) for other in functions if scope is tree for one in ast.walk(other)}
        for row, conditions in _statements(scope, inner):
            told = " ".join(_spelled_out(scope, condition) for condition in conditions)
            yield getattr(scope, "name", "the module"), row, f"{row}.shop_id ==" in told


def _statements(scope: ast.AST, inner: set[int]) -> Iterator[tuple[str, list[ast.expr]]]:
    chained = {id(one.value): one for one in ast.walk(scope) if isinstance(one, ast.Attribute)}
    called = {id(one.func): one for one in ast.walk(scope) if isinstance(one, ast.Call)}
    for one in ast.walk(scope):
        if id(one) in inner or not isinstance(one, ast.Call) or ast.unparse(one.func) not in {"update", "delete"}:
            continue
        row = ast.unparse(one.args[0]) if one.args else ""
        if row not in OWNED:
            continue
        conditions: list[ast.expr] = []
        call = one
        while (step := chained.get(id(call))) is not None and id(step) in called:
            call = called[id(step)]
            conditions += call.args if step.attr == "where" else []
        yield row, conditions


def _spelled_out(scope: ast.AST, condition: ast.expr) -> str:
    """Return a condition with the conditions that it takes from names of its function."""
    names = {name.id for name in ast.walk(condition) if isinstance(name, ast.Name)}
    given = [
        ast.unparse(one.value)
        for one in ast.walk(scope)
        if isinstance(one, ast.Assign) and any(isinstance(to, ast.Name) and to.id in names for to in one.targets)
    ]
    return " ".join([ast.unparse(condition), *given])


def test_every_write_of_a_shops_row_names_the_shop() -> None:
    found, without = 0, set()
    for path in sorted((ROOT / "webapp").rglob("*.py")):
        if "migrations" in path.parts:
            continue
        for function, _row, named in writes(path.read_text(encoding="utf-8")):
            found += 1
            if not named:
                without.add(f"{path.relative_to(ROOT).as_posix()} {function}")
    assert found >= 12
    assert without == set(OF_ALL_SHOPS)


def test_the_rows_of_shops_are_known() -> None:
    assert {"BikeRow", "ServiceRecordRow", "StaffRow", "SuspensionUnitRow", "ApiTokenRow", "ChecklistRow"} <= OWNED
    assert "SetupRow" not in OWNED


@pytest.mark.parametrize(
    ("condition", "named"),
    [
        ("BikeRow.shop_id == shop_id, BikeRow.id == n", True),
        ("BikeRow.id == n", False),
        ("*own", True),
        ("*other", False),
        ("StaffRow.shop_id == shop_id", False),
    ],
)
def test_a_statement_without_its_shop_is_noticed(condition: str, named: bool) -> None:
    source = f"""
def change(connection, shop_id, n):
    own = (BikeRow.shop_id == shop_id, BikeRow.id == n)
    other = (BikeRow.id == n,)
    connection.execute(update(BikeRow).where({condition}).values(label=""))
"""
    assert list(writes(source)) == [("change", "BikeRow", named)]
