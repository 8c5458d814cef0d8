"""The maps that `python -m tests.module_map` writes anew from the modules' docstrings.

DEVELOPERS.md has one line a room; each room's own `__init__` docstring has one line a module.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DOCUMENT = ROOT / "DEVELOPERS.md"
PACKAGES = ("setup_rules", "webapp")
_SECTION = re.compile(r"(^## Rooms\n\n<!-- [^\n]* -->\n\n)(.*?)(?=^## )", re.MULTILINE | re.DOTALL)
_LINE_LENGTH = 120


def sources() -> list[Path]:
    """Return every module of the project's own packages."""
    return [path for package in PACKAGES for path in sorted((ROOT / package).rglob("*.py"))]


def rooms() -> list[Path]:
    """Return the folder of every room: the first-level packages below `setup_rules` and `webapp`."""
    return [path.parent for package in PACKAGES for path in sorted((ROOT / package).glob("*/__init__.py"))]


def first_line(path: Path) -> str:
    """Return what a module says it is, in the first line of its docstring."""
    return (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").split("\n")[0]


def drawn_room(room: Path) -> str:
    """Return the text that a room's `__init__` should hold: its own first line, and a line a module below it."""
    lines = [f'"""{first_line(room / "__init__.py")}', ""]
    for path in sorted(room.rglob("*.py")):
        name = path.relative_to(room)
        if name.name != "__init__.py" and "migrations" not in name.parts:
            lines.append(_shortened(f"- {name.with_suffix('')}: {first_line(path)}"))
    return "\n".join([*lines, '"""', ""])


def _shortened(line: str) -> str:
    return line if len(line) <= _LINE_LENGTH else line[: _LINE_LENGTH - 2].rsplit(" ", 1)[0] + " …"


def drawn_map() -> str:
    """Return the rooms as DEVELOPERS.md should list them: a line each."""
    lines = (f"- `{room.relative_to(ROOT)}/`: {first_line(room / '__init__.py')}\n" for room in rooms())
    return "".join(lines) + "\n"


def written_map() -> str:
    """Return the rooms as DEVELOPERS.md lists them."""
    section = _SECTION.search(DOCUMENT.read_text(encoding="utf-8"))
    if section is None:
        raise LookupError("DEVELOPERS.md has no section called Rooms with its comment.")
    return section.group(2)


def write_map() -> None:
    """Put the rooms into DEVELOPERS.md, and each room's modules into its own `__init__`."""
    for room in rooms():
        (room / "__init__.py").write_text(drawn_room(room), encoding="utf-8")
    written_map()
    text = _SECTION.sub(lambda found: found.group(1) + drawn_map(), DOCUMENT.read_text(encoding="utf-8"))
    DOCUMENT.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write_map()
