"""The command that prints the structure's figures counts what is there, on a small made-up checkout."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests import structure

LAW = '''"""A law."""
from webapp.forms import box
class Gas:
    def pressure(self, volume: float) -> float:
        """Return the pressure.

        1 / V

        Parameters
        ----------
        volume : float [m³]
            Above zero.

        Returns
        -------
        float [Pa]

        Raises
        ------
        ValueError
            At zero.

        Examples
        --------
        >>> 1
        1
        """
        if not volume:
            raise ValueError
        return 1 / volume
    def named(self, what: int) -> str: ...
    def _hidden(self, what: int) -> float: ...
    @property
    def bare(self) -> float: ...
def pair(one: float) -> tuple[float, Any] | None: ...
def named_pair(one: float) -> tuple[str, float]: ...
'''
FILES = {
    "setup_rules/__init__.py": '"""Rules."""\n',
    "setup_rules/physics/law.py": LAW,
    "webapp/__init__.py": "",
    "webapp/forms/__init__.py": "",
    "webapp/forms/box.py": "from webapp.forms import lid\n",
    "webapp/forms/lid.py": "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import webapp.views.page\n",
    "webapp/views/page.py": "def show():\n    import webapp.forms.box\n    from ..forms import lid\n",
    "DEVELOPERS.md": "# x\n\n## Recipes\n\n"
    "**Add a law.** `setup_rules/physics/law.py` then `lid.py`, `lid.py` and `gone.py`.\n"
    "Run `python -m x.py`.\n\n**Rest.** Do nothing with `names`.\n\n## Decisions\n\n**None.** `webapp/a.py`\n",
}


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A small checkout with a room in the rules and two in the application."""
    for name, text in FILES.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_rooms_are_first_level_folders_and_arrows_run_between_them(checkout: Path) -> None:
    modules = structure.read_modules(checkout)
    assert {m.room for m in modules.values()} == {
        "setup_rules",
        "setup_rules/physics",
        "webapp",
        "webapp/forms",
        "webapp/views",
    }
    arrows = structure.room_arrows(modules, structure.read_imports(modules))
    assert arrows == {("setup_rules/physics", "webapp/forms"): 1, ("webapp/views", "webapp/forms"): 2}


def test_a_cycle_is_found_and_two_that_touch_are_one() -> None:
    graph = {"a": {"b"}, "b": {"a", "c"}, "c": {"b", "d"}, "d": set(), "x": {"y"}, "y": {"x", "a"}}
    assert structure.find_cycles(graph) == [["a", "b", "c"], ["x", "y"]]
    assert structure.find_cycles({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []


def test_an_import_for_types_only_closes_no_cycle(checkout: Path) -> None:
    (checkout / "webapp/forms/lid.py").write_text("import webapp.forms.box\n", encoding="utf-8")
    graph = structure.read_imports(structure.read_modules(checkout))
    assert structure.find_cycles(graph) == [["webapp.forms.box", "webapp.forms.lid"]]
    (checkout / "webapp/forms/lid.py").write_text(FILES["webapp/forms/lid.py"], encoding="utf-8")
    assert not structure.find_cycles(structure.read_imports(structure.read_modules(checkout)))


def test_relations_are_public_functions_from_something_to_numbers(checkout: Path) -> None:
    found = structure.relations(structure.read_modules(checkout)["setup_rules.physics.law"])
    assert [one.name for one in found] == ["pressure", "pair"]
    assert structure.docstring_parts(found[0]) == {"equation", "[unit]", "Raises", "Examples"}
    assert structure.stated_units(found[0]) == {"volume": "m³", "return": "Pa"}
    assert structure.raises_itself(found[0])
    assert structure.docstring_parts(found[1]) == set()
    assert structure.own_lines(found[0]) == 4


def test_a_recipe_counts_each_place_once_and_says_which_are_gone(checkout: Path) -> None:
    places = structure.recipe_places(FILES["DEVELOPERS.md"])
    assert places == {"Add a law": ["gone.py", "lid.py", "setup_rules/physics/law.py"], "Rest": []}
    assert structure.missing_places(checkout, places["Add a law"]) == ["gone.py"]


def test_this_checkout_has_no_import_cycle_and_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert not structure.find_cycles(structure.read_imports(structure.read_modules(structure.ROOT)))
    structure.print_structure(structure.ROOT)
    printed = capsys.readouterr().out
    assert "import cycles between modules: 0\n" in printed
    assert "Add a migration" in printed
    assert "(not found" not in printed
